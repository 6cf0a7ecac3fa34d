"""Everything the pages work with: sheets, roster, database, rules, limits, keys and the clock."""

import logging
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from types import MappingProxyType
from typing import Generic, NamedTuple, TypeVar

import anyio
import anyio.to_thread
from msgspec.structs import replace
from starlette.responses import Response

from grader.errors import UsageError
from grader.marking.marks import Marked
from grader.rubric.personal import is_personal
from grader.run.storage.serialization import decoded
from grader.run.work import AnswersJob, unmarked
from grader.uploads.roster import Roster
from grader.uploads.upload import Student
from grader.web.access.codes import FILE_NAME, CodeRecord, read_records
from grader.web.access.limits import Failures, InHand, Rates
from grader.web.access.sessions import COOKIE, LIFETIME, Session, Signer
from grader.web.attempts import AttemptWriter
from grader.web.data.decisions import with_decisions
from grader.web.data.records import Attempt, Decided, Request
from grader.web.data.store import Store, legible
from grader.web.rules import Rules, answers_shown, span
from grader.web.sheets import SheetView
from grader.web.visit import FileSent, Refused
from grader.web.work import Count, Counted, LayOut, Which, marks_text
from grader.web.workers import JobFailed, Workers

V = TypeVar("V")


class LruCache(Generic[V]):
    """Remembers what is costly to make, up to a number, the one used longest ago going first; one is made at a time."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = threading.Lock()
        self._making = threading.Lock()
        self._found: OrderedDict[Hashable, V] = OrderedDict()

    def known(self, key: Hashable) -> V | None:
        """What is remembered under a key, or None."""
        with self._lock:
            if key in self._found:
                self._found.move_to_end(key)
            return self._found.get(key)

    def made(self, key: Hashable, make: Callable[[], V]) -> V:
        """What is remembered under a key, or is made now."""
        with self._making:
            value = self.known(key)
            if value is None:
                value = make()
                with self._lock:
                    self._found[key] = value
                    while len(self._found) > self._most:
                        self._found.popitem(last=False)
            return value


log = logging.getLogger("grader.web")

HASHING_THREADS = 2
"""Secrets checked at the same time; each takes 16 or 32 MiB and some hundredths of a second of a core."""

PERSONAL_KEPT = 1000
"""Students whose own sheets are kept ready; the largest courses have about as many."""

SOLUTIONS_KEPT = 50
"""Worked solutions kept ready, as pages."""

PRACTISED_KEPT = 200
"""Practice sets kept ready."""

ANSWERED_KEPT = 300
"""Pages kept that answered a form, some 100 KB each: for Back and for loading again."""

FILES_KEPT = 100
KEPT_FILE_BYTES = 256 * 1024
"""Files kept after they were checked, so that they need not be chosen again; larger ones are not."""


class Result(NamedTuple):
    """An attempt and its marks, with the instructor's decisions, and what its student asks to look at again.

    ``asked`` has the requests by problem and item; those in ``open`` wait for a decision.
    """

    attempt: Attempt
    marked: Marked
    asked: Mapping[tuple[str, str], Request] = MappingProxyType({})
    open: frozenset[tuple[str, str]] = frozenset()

    @property
    def at(self) -> datetime:
        """When it was made."""
        return self.attempt.at

    @property
    def total(self) -> float:
        """Points earned, decisions included."""
        return self.marked.total


@dataclass(slots=True, kw_only=True)
class AppState:
    """A running server's parts."""

    sheets: Mapping[str, SheetView]
    """By name, in the order given."""
    roster: Roster
    store: Store
    rules: Rules
    signer: Signer
    passphrase: str
    """The kept hash of the instructor's."""
    workers: Workers
    """They read and mark."""
    folder: Path
    """The data folder; the file of access codes in it is read again whenever it changes."""
    tls: bool = False
    """Whether browsers come by https, through a reverse proxy."""
    now: Callable[[], datetime]
    """The time of day (UTC)."""
    seconds: Callable[[], float]
    """Monotonic seconds, for rates and failures."""
    register: AttemptWriter = field(init=False)
    rates: Rates = field(init=False)
    failures: Failures = field(init=False)
    in_hand: InHand = field(default_factory=InHand)
    hashing: anyio.CapacityLimiter = field(default_factory=lambda: anyio.CapacityLimiter(HASHING_THREADS))
    laid_out: LruCache[SheetView] = field(default_factory=lambda: LruCache(PERSONAL_KEPT))
    solutions: LruCache[str] = field(default_factory=lambda: LruCache(SOLUTIONS_KEPT))
    practised: LruCache[SheetView] = field(default_factory=lambda: LruCache(PRACTISED_KEPT))
    answered: LruCache[Response] = field(default_factory=lambda: LruCache(ANSWERED_KEPT))
    checked: LruCache[FileSent] = field(default_factory=lambda: LruCache(FILES_KEPT))
    students: Mapping[str, Student] = field(init=False)
    personal: frozenset[str] = field(init=False)
    left: set[str] = field(init=False)
    _by_name: Mapping[str, CodeRecord] = field(default_factory=dict)
    _by_student: Mapping[str, CodeRecord] = field(default_factory=dict)
    _read_at: int = -1

    def __post_init__(self) -> None:
        self.register = AttemptWriter(self.store, self.rules_for)
        self.rates = Rates(self.seconds)
        self.failures = Failures(self.seconds)
        self.left = set(self.store.left(self.now() - timedelta(seconds=LIFETIME)))
        self.students = {student.id: student for student in self.roster.students}
        self.personal = frozenset(name for name, sheet in self.sheets.items() if is_personal(sheet.key.rubric))

    @property
    def course(self) -> str:
        """The course, if all rubrics agree on it."""
        courses = {sheet.key.rubric.course for sheet in self.sheets.values()}
        return courses.pop() if len(courses) == 1 else ""

    def sheet(self, name: str) -> SheetView:
        """The sheet of that name, with the values that stand for ranges.

        Raises
        ------
        Refused
            If there is none.
        """
        if name not in self.sheets:
            raise Refused(404, "There is no such sheet.")
        return self.sheets[name]

    def take_turn(self, what: str, who: str, refusal: str) -> None:
        """Take one of somebody's turns at something.

        Raises
        ------
        Refused
            With the sentence and when to try again, if there is none now.
        """
        seconds = self.rates.wait(what, who)
        if seconds:
            raise Refused(429, f"{refusal} Try again in {span(seconds)}.", seconds)

    def rules_for(self, student: str) -> Rules:
        """The rules with the due time that a student has, by the roster."""
        own = self.students[student].due if student in self.students else None
        return self.rules if own is None else replace(self.rules, due=own)

    def last_due(self) -> datetime | None:
        """When the last of all due times passes; None where somebody has none."""
        dues = [self.rules.due] if self.rules.due is not None else []
        dues += [student.due for student in self.roster.students if student.due is not None]
        everybody = self.rules.due is not None or len(dues) == len(self.roster.students)
        return max(dues) if dues and everybody else None

    def answers_shown(self, sheet: str, now: datetime) -> bool:
        """Whether reference answers may be seen: when the last of all due times has passed for everybody."""
        return answers_shown(replace(self.rules, due=self.last_due()), self.store.state(sheet), now)

    def which(self, name: str, student: str) -> Which:
        """The sheet as one student has it, named for the workers."""
        return Which(name, student if name in self.personal else "")

    def sheet_of(self, name: str, student: str) -> SheetView:
        """The sheet as one student has it: with their own values, where the rubric gives ranges."""
        if name not in self.personal:
            return self.sheet(name)
        which = self.which(name, student)
        return self.laid_out.made(which, lambda: self._laid_out(which))

    async def own_sheet(self, name: str, student: str) -> SheetView:
        """The same for whoever does not work in a thread."""
        if name not in self.personal:
            return self.sheet(name)
        known = self.laid_out.known(self.which(name, student))
        return await anyio.to_thread.run_sync(self.sheet_of, name, student) if known is None else known

    def practice_set(self, which: Which, before: Callable[[], None]) -> SheetView:
        """A problem of a sheet with other values; `before` runs first if it has to be worked out.

        Raises
        ------
        Refused
            If there are no other values.
        """
        known = self.practised.known(which)
        if known is not None:
            return known
        before()
        return self.practised.made(which, lambda: self._laid_out(which))

    def _laid_out(self, which: Which) -> SheetView:
        made: SheetView | str = self.workers.do(LayOut(which))
        if isinstance(made, str):
            raise Refused(409, made)
        return made

    def basis(self, sheet: SheetView) -> str:
        """What the marks of an attempt depend on besides its answers; the class too, where values are personal."""
        return f"{sheet.digest} {self.roster.digest[:16]}" if sheet.name in self.personal else sheet.digest

    async def counted(self, sheet: SheetView, job: Count) -> Counted:
        """Answers marked; where a worker does not finish, those that it did not come to an end with are left to a person.

        Everything is where none of them is to blame, or too many are; nothing is lost.
        """
        now: Count | AnswersJob[Count] | None = job
        why = ""
        while now is not None:
            try:
                counted: Counted = await self.workers.done(now)
            except JobFailed as undone:
                why = why or undone.why
                now = now.after(undone.result) if isinstance(now, AnswersJob) else AnswersJob.of(job, why)
            else:
                return counted
        marked = unmarked(job.upload, sheet.points, why)
        return Counted(marks_text(marked), marked.total)

    def _look_at_codes(self) -> None:
        path = self.folder / FILE_NAME
        changed = path.stat().st_mtime_ns if path.exists() else 0
        if changed != self._read_at:
            first, self._read_at = self._read_at < 0, changed
            try:
                records = read_records(self.folder)
            except UsageError as error:
                if first:
                    raise
                log.error("%s Until then the codes of before hold.", error)  # noqa: TRY400 - it says all
                return
            self._by_name = {record.name: record for record in records}
            self._by_student = {record.student: record for record in records}

    def session(self, cookie: str | None) -> Session:
        """The session of a cookie; a new one where it is worth nothing, or its owner has left."""
        found = self.signer.session(cookie)
        return Session() if found is None or found.nonce in self.left else found

    def end(self, session: Session) -> None:
        """End a session, so that its cookie, should anybody have kept it, is worth nothing."""
        self.left.add(session.nonce)
        self.store.leave(session.nonce, self.now())

    def code_of(self, student: str) -> CodeRecord | None:
        """The record of a student's code."""
        self._look_at_codes()
        return self._by_student.get(student)

    def codes_by_name(self) -> Mapping[str, CodeRecord]:
        """All records by the public part of their codes."""
        self._look_at_codes()
        return self._by_name

    def results(
        self, attempts: Iterable[Attempt], decisions: Sequence[Decided], requests: Sequence[Request] = ()
    ) -> tuple[Result, ...]:
        """Attempts of one student with their marks, decisions applied."""
        found = []
        for attempt in attempts:
            with legible(f"the marks of attempt {attempt.id}"):
                marked = decoded(attempt.marks, Marked)
            marked = with_decisions(marked, decisions)
            answers = {mark.place: mark.answer for mark in marked.marks}
            asked = {one.place: one for one in requests if one.place in answers and one.is_on(answers[one.place])}
            waits = asked.keys() - {
                one.place
                for one in decisions
                if one.place in asked and one.is_on(asked[one.place].answer) and one.at >= asked[one.place].at
            }
            found.append(Result(attempt, marked, asked, frozenset(waits)))
        return tuple(found)

    def results_of(self, sheet: str, student: str) -> tuple[Result, ...]:
        """All attempts of one student at one sheet, oldest first."""
        store = self.store
        return self.results(
            store.attempts(sheet, student), store.decisions(sheet, student), store.requests(sheet, student)
        )

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
