"""What the server's workers do: read and mark what students send, read files, lay out sheets with values of their own.

A job is a small record, and so is its answer; both pass between processes.
"""

from __future__ import annotations

import gc
import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

from grader.errors import GraderError
from grader.marking.key import Key, build_key
from grader.marking.records import Marked
from grader.problem import Rubric
from grader.rubric.personal import personal_rubric
from grader.rubric.variation import practice
from grader.run.plain import plain
from grader.uploads.records import Written
from grader.uploads.roster import Roster
from grader.web.received import Unusable, answers_of_file
from grader.web.sheets import Looked, Sheet, build_sheet, look_at, mark, unread
from grader.web.visit import FileSent

SHEETS_KEPT = 1000
"""Sheets with values of their own that a worker keeps ready; each takes some hundred kilobytes."""


class Which(NamedTuple):
    """A sheet: its name, whose values it has ("": everybody's), and for practice the problem and the number of the set."""

    name: str
    owner: str = ""
    problem: str = ""
    seed: int = 0


class LayOut(NamedTuple):
    """Make the sheet; answered with it, or with a sentence."""

    which: Which


class Look(NamedTuple):
    """Say how answers are read; answered with `Looked` by the names of their fields."""

    which: Which
    answers: tuple[Written, ...]


class Count(NamedTuple):
    """Mark answers; unless `insists`, not if one cannot be read."""

    which: Which
    student: str
    answers: tuple[Written, ...]
    file: str
    insists: bool


class ReadFile(NamedTuple):
    """Read a file; answered with what was received, or the sentence that says why not."""

    which: Which
    student: str
    sent: FileSent


Job = LayOut | Look | Count | ReadFile


class Counted(NamedTuple):
    """Marks as they are kept and their total; or, where something cannot be read, how everything is."""

    marks: str = ""
    total: float = 0.0
    looked: Mapping[str, Looked] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """What every worker knows: the keys by the names of their sheets, the secret of personal values, the roster."""

    keys: Mapping[str, Key]
    secret: bytes
    roster: Roster


def make(shelf: Shelf) -> Callable[[tuple[Job, ...]], Iterator[Any]]:
    """Prepare a worker."""
    sheets = {name: build_sheet(key, name) for name, key in shelf.keys.items()}

    @lru_cache(maxsize=SHEETS_KEPT)
    def own(which: Which) -> Sheet:
        return build_sheet(build_key(_rubric(sheets[which.name].key.rubric, which, shelf.secret)), which.name)

    def sheet_of(which: Which) -> Sheet:
        return own(which) if which.owner or which.problem else sheets[which.name]

    def handle(jobs: tuple[Job, ...]) -> Iterator[Any]:
        for job in jobs:
            yield _done(job, sheet_of, shelf.roster)

    for sheet in sheets.values():  # the first student need not wait until everything has been used once
        _counted(sheet, Count(Which(sheet.name), "", _references(sheet), "", insists=False))
    gc.collect()
    gc.freeze()  # what is here now stays; looking through it again and again would cost every answer some time
    return handle


def _references(sheet: Sheet) -> tuple[Written, ...]:
    places = ((one.problem, one.item) for one in sheet.fields)
    return tuple(
        Written(problem=problem, item=item, text=sheet.key.item(problem, item).reference.text)
        for problem, item in places
    )


def _rubric(rubric: Rubric, which: Which, secret: bytes) -> Rubric:
    own = personal_rubric(rubric, which.owner, secret) if which.owner else rubric
    return practice(own, which.problem, which.seed).rubric if which.problem else own


def _done(job: Job, sheet_of: Callable[[Which], Sheet], roster: Roster) -> Any:
    if isinstance(job, LayOut):
        try:
            return sheet_of(job.which)
        except GraderError as error:
            return str(error)
    sheet = sheet_of(job.which)
    if isinstance(job, Look):
        return look_at(sheet, job.answers)
    if isinstance(job, Count):
        return _counted(sheet, job)
    try:
        return answers_of_file(sheet, job.student, job.sent, roster)
    except Unusable as unusable:
        return unusable.sentence


def _counted(sheet: Sheet, job: Count) -> Counted:
    if not job.insists and unread(sheet, job.answers):
        return Counted(looked=look_at(sheet, job.answers))
    marked = mark(sheet, job.student, job.answers, job.file)
    return Counted(marks_text(marked), marked.total)


def marks_text(marked: Marked) -> str:
    """Marks as they are kept."""
    return json.dumps(plain(marked))
