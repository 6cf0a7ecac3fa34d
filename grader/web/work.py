"""What the server's workers do: read and mark what students send, read files, lay out sheets with values of their own.

A job is a small record, and so is its answer; both pass between processes.
"""

import asyncio
from collections.abc import Generator, Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from msgspec import Struct

from grader.errors import GraderError
from grader.jobs.worker import Handle
from grader.marking.beliefs import with_own_explanation
from grader.marking.classmates import BLANK_SHEET, Classmates, right_answers, together, with_classmates
from grader.marking.key import Key, build_key
from grader.marking.mark import mark_upload
from grader.marking.marks import Marked
from grader.problem import Rubric
from grader.rubric.personal import is_personal, personal_rubric
from grader.rubric.variation import practice
from grader.run.personal import MAX_CLASSMATES
from grader.run.storage.serialization import encoded
from grader.run.work import AnswersJob, one_by_one, with_set_aside
from grader.uploads.roster import Roster
from grader.uploads.upload import Upload, Written
from grader.web.received import Unusable, answers_of_file
from grader.web.sheets import Looked, SheetView, build_sheet, look_at, unread
from grader.web.visit import FileSent, Form, Refused, parse_form

SHEETS_KEPT = 1000
"""Sheets with values of their own that a worker keeps ready; each takes some hundred kilobytes."""


class Which(NamedTuple):
    """A sheet: its name, whose values it has ("": everybody's), and for practice the problem and the number of the set."""

    name: str
    owner: str = ""
    problem: str = ""
    seed: int = 0


class LayOut(NamedTuple):
    """Make the sheet; answered with it, or with the sentence that says why there is none."""

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

    @property
    def upload(self) -> Upload:
        """The answers as an upload, to be marked as the command line marks one."""
        return Upload(file=self.file, digest="", student=self.student, answers=self.answers)


class ReadFile(NamedTuple):
    """Read a file; answered with what was received (but not the file again), or the sentence that says why not."""

    which: Which
    student: str
    sent: FileSent


class Unpack(NamedTuple):
    """Take a large form apart; answered with it, or with why it is refused."""

    content_type: str
    body: bytes


SheetJob = LayOut | Look | Count | ReadFile
Job = Unpack | SheetJob | AnswersJob[Count]


class Counted(NamedTuple):
    """Marks as they are kept and their total; or, where something cannot be read, how everything is."""

    marks: str = ""
    total: float = 0.0
    looked: Mapping[str, Looked] | None = None


class WorkerState(Struct, frozen=True, kw_only=True):
    """What every worker knows.

    ``keys`` and ``classmates``, the right answers of the whole class where values are personal, by the names of sheets.
    """

    keys: Mapping[str, Key]
    classmates: Mapping[str, Classmates]
    secret: bytes
    roster: Roster


def shelf_of(keys: Mapping[str, Key], secret: bytes, roster: Roster) -> WorkerState:
    """Work out what would be right for everybody, so that no student meets a problem without an answer.

    Raises
    ------
    RubricError
        If some student's own values leave an item without one.
    """
    classmates = {
        name: _everybodys(key.rubric, secret, roster) for name, key in keys.items() if is_personal(key.rubric)
    }
    return WorkerState(keys=keys, classmates=classmates, secret=secret, roster=roster)


def _everybodys(rubric: Rubric, secret: bytes, roster: Roster) -> Classmates:
    students = [student.id for student in roster.students]
    found = [right for one in (BLANK_SHEET, *students) for right in right_answers(rubric, one, secret)]
    return together(found) if len(students) <= MAX_CLASSMATES else {}


def make(shelf: WorkerState) -> Handle:
    """Prepare a worker."""
    sheets = {name: build_sheet(key, name) for name, key in shelf.keys.items()}

    @lru_cache(maxsize=SHEETS_KEPT)
    def own(which: Which) -> SheetView:
        return build_sheet(build_key(_rubric(sheets[which.name].key.rubric, which, shelf.secret)), which.name)

    def sheet_of(which: Which) -> SheetView:
        return own(which) if which.owner or which.problem else sheets[which.name]

    def on_sheet(job: SheetJob) -> Any:
        try:
            sheet = sheet_of(job.which)
        except GraderError as error:
            return str(error)
        return _done(job, sheet, shelf)

    def handle(job: Job) -> Generator[Any, None, Any]:
        if isinstance(job, AnswersJob):
            return (yield from _counted_one_by_one(sheet_of(job.row.which), job, shelf))
        return _unpacked(job) if isinstance(job, Unpack) else on_sheet(job)

    for sheet in sheets.values():  # the first student need not wait until everything has been used once
        _counted(sheet, Count(Which(sheet.name), "", _references(sheet), "", insists=False), shelf)
    return handle


def _references(sheet: SheetView) -> tuple[Written, ...]:
    places = (one.place for one in sheet.fields)
    return tuple(
        Written(problem=problem, item=item, text=sheet.key.item(problem, item).reference.text)
        for problem, item in places
    )


def _rubric(rubric: Rubric, which: Which, secret: bytes) -> Rubric:
    own = personal_rubric(rubric, which.owner, secret) if which.owner else rubric
    return practice(own, which.problem, which.seed).rubric if which.problem else own


def _done(job: SheetJob, sheet: SheetView, shelf: WorkerState) -> Any:
    if isinstance(job, LayOut):
        return sheet
    if isinstance(job, Look):
        return look_at(sheet, job.answers)
    if isinstance(job, Count):
        return _counted(sheet, job, shelf)
    try:
        return answers_of_file(sheet, job.student, job.sent, shelf.roster)._replace(content=b"")
    except Unusable as unusable:
        return unusable.sentence


def _unpacked(job: Unpack) -> Form | Refused:
    try:
        return asyncio.run(parse_form(job.content_type, job.body))
    except Refused as refused:
        return refused


def _counted(sheet: SheetView, job: Count, shelf: WorkerState) -> Counted:
    return _as_kept(_marked(sheet, job, shelf))


def _counted_one_by_one(sheet: SheetView, job: AnswersJob[Count], shelf: WorkerState) -> Generator[None, None, Counted]:
    found = yield from one_by_one(job, lambda one: _marked(sheet, job.row._replace(answers=one.answers), shelf))
    return _as_kept(with_set_aside(found, job, sheet.points) if isinstance(found, Marked) else found)


def _marked(sheet: SheetView, job: Count, shelf: WorkerState) -> Marked | dict[str, Looked]:
    """The marks; or, where something cannot be read and the student does not insist, how everything is."""
    if not job.insists and unread(sheet, job.answers):
        return look_at(sheet, job.answers)
    marked = with_own_explanation(sheet.key, mark_upload(sheet.key, job.upload))
    others = shelf.classmates.get(job.which.name)
    if others and not job.which.problem:
        marked = with_classmates(sheet.key, job.upload, marked, others)
    return marked


def _as_kept(found: Marked | dict[str, Looked]) -> Counted:
    return Counted(marks_text(found), found.total) if isinstance(found, Marked) else Counted(looked=found)


def marks_text(marked: Marked) -> str:
    """Marks as they are kept."""
    return encoded(marked)
