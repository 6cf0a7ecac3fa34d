"""Everything the pages work with: sheets, roster, database, rules, limits, keys and the clock."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from starlette.responses import Response

from grader.marking.key import build_key
from grader.marking.records import Marked
from grader.rubric.personal import is_personal, personal_rubric
from grader.rubric.variation import practice
from grader.run.plain import marked_of
from grader.uploads.records import Student
from grader.uploads.roster import Roster
from grader.web.access.codes import FILE_NAME, CodeRecord, read_records
from grader.web.access.limits import Locks, Rates
from grader.web.access.sessions import COOKIE, LIFETIME, Session, Signer
from grader.web.data.decisions import with_decisions
from grader.web.data.store import Attempt, Decided, Store
from grader.web.rules import Rules
from grader.web.sets import Kept
from grader.web.sheets import Sheet, build_sheet
from grader.web.visit import Refused

PERSONAL_KEPT = 1000
"""Students whose own sheets are kept ready; the largest courses have about as many."""

SOLUTIONS_KEPT = 50
"""Worked solutions kept ready, as pages."""

PRACTISED_KEPT = 200
"""Practice sets kept ready."""


class Result(NamedTuple):
    """An attempt and its marks, with the instructor's decisions."""

    attempt: Attempt
    marked: Marked

    @property
    def at(self) -> datetime:
        """When it was made."""
        return self.attempt.at

    @property
    def total(self) -> float:
        """Points earned, decisions included."""
        return self.marked.total


@dataclass(slots=True, kw_only=True)
class Site:
    """A running server's parts.

    Attributes
    ----------
    sheets : mapping
        By name, in the order given.
    roster : Roster
    passphrase : str
        The kept hash of the instructor's.
    secret : bytes
        Personal values follow from it and the roster id.
    folder : Path
        The data folder; the file of access codes in it is read again whenever it changes.
    tls : bool
        Whether browsers come by https, through a reverse proxy.
    now : callable
        The time of day (UTC).
    seconds : callable
        Monotonic seconds, for rates and locks.
    """

    sheets: Mapping[str, Sheet]
    roster: Roster
    store: Store
    rules: Rules
    signer: Signer
    passphrase: str
    secret: bytes
    folder: Path
    tls: bool = False
    now: Callable[[], datetime]
    seconds: Callable[[], float]
    rates: Rates = field(init=False)
    locks: Locks = field(init=False)
    personal: Kept[Sheet] = field(default_factory=lambda: Kept(PERSONAL_KEPT))
    solutions: Kept[str] = field(default_factory=lambda: Kept(SOLUTIONS_KEPT))
    practised: Kept[Sheet] = field(default_factory=lambda: Kept(PRACTISED_KEPT))
    students: Mapping[str, Student] = field(init=False)
    _by_name: Mapping[str, CodeRecord] = field(default_factory=dict)
    _by_student: Mapping[str, CodeRecord] = field(default_factory=dict)
    _read_at: int = -1

    def __post_init__(self) -> None:
        self.rates = Rates(self.seconds)
        self.locks = Locks(self.seconds)
        self.students = {student.id: student for student in self.roster.students}

    @property
    def course(self) -> str:
        """The course, if all rubrics agree on it."""
        courses = {sheet.key.rubric.course for sheet in self.sheets.values()}
        return courses.pop() if len(courses) == 1 else ""

    def sheet(self, name: str) -> Sheet:
        """The sheet of that name, with the values that stand for ranges.

        Raises
        ------
        Refused
            If there is none.
        """
        if name not in self.sheets:
            raise Refused(404, "There is no such sheet.")
        return self.sheets[name]

    def sheet_of(self, name: str, student: str) -> Sheet:
        """The sheet as one student has it: with their own values, where the rubric gives ranges."""
        sheet = self.sheet(name)
        rubric = sheet.key.rubric
        if not is_personal(rubric):
            return sheet
        return self.personal.made(
            (name, student), lambda: build_sheet(build_key(personal_rubric(rubric, student, self.secret)), name)
        )

    def practice_set(self, sheet: Sheet, problem: str, seed: int, before: Callable[[], None]) -> Sheet:
        """A problem of a sheet with other values; `before` runs first if it has to be worked out.

        Raises
        ------
        NotDefined
            If there are no other values.
        """
        place = (sheet.digest, problem, seed)
        known = self.practised.known(place)
        if known is not None:
            return known
        before()
        return self.practised.made(
            place, lambda: build_sheet(build_key(practice(sheet.key.rubric, problem, seed).rubric), sheet.name)
        )

    def _look_at_codes(self) -> None:
        path = self.folder / FILE_NAME
        changed = path.stat().st_mtime_ns if path.exists() else 0
        if changed != self._read_at:
            records = read_records(self.folder)
            self._by_name = {record.name: record for record in records}
            self._by_student = {record.student: record for record in records}
            self._read_at = changed

    def code_of(self, student: str) -> CodeRecord | None:
        """The record of a student's code."""
        self._look_at_codes()
        return self._by_student.get(student)

    def codes_by_name(self) -> Mapping[str, CodeRecord]:
        """All records by the public part of their codes."""
        self._look_at_codes()
        return self._by_name

    def results(self, attempts: Iterable[Attempt], decisions: Sequence[Decided]) -> tuple[Result, ...]:
        """Attempts of one student with their marks, decisions applied."""
        return tuple(
            Result(attempt, with_decisions(marked_of(json.loads(attempt.marks)), decisions)) for attempt in attempts
        )

    def results_of(self, sheet: str, student: str) -> tuple[Result, ...]:
        """All attempts of one student at one sheet, oldest first."""
        return self.results(self.store.attempts(sheet, student), self.store.decisions(sheet, student))

    def remember(self, response: Response, session: Session) -> None:
        """Give the browser its cookie."""
        response.set_cookie(
            COOKIE,
            self.signer.cookie(session),
            max_age=LIFETIME,
            httponly=True,
            samesite="lax",
            secure=self.tls,
            path="/",
        )

    @staticmethod
    def local_time(at: datetime) -> str:
        """A time as the server's clock shows it: ``"Mon 2 Mar 2026, 14:05 CET"``."""
        here = at.astimezone()
        return f"{here:%a} {here.day} {here:%b %Y, %H:%M %Z}"
