"""What a worker does: read a file and mark it, mark a row of a wide table, or write a student's feedback."""

import zlib
from collections.abc import Callable, Generator, Mapping, Sequence
from functools import cache
from itertools import chain, islice
from pathlib import Path
from typing import Any, Generic, NamedTuple, Protocol, TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from grader.errors import RubricError
from grader.jobs.pool import JobResult
from grader.jobs.worker import Handle
from grader.marking.beliefs import predictions_of
from grader.marking.marks import NOT_DECIDED, Mark, Marked
from grader.run.personal import Keys
from grader.run.rubric_key import RubricKey
from grader.run.storage.folder import as_utf8, file_name, written
from grader.run.storage.serialization import as_bytes, decoded
from grader.uploads.content.items import Pair
from grader.uploads.files.source import Source
from grader.uploads.owner import Assignments
from grader.uploads.reader import uploads_in
from grader.uploads.roster import Ids
from grader.uploads.upload import Student, Upload


class FileJob(NamedTuple):
    """Read this file; answered with `ReadUpload`, and with encoded marks where it can be marked; or, of a wide table, with `Rows`."""

    source: Source


class ReadUpload(NamedTuple):
    """An upload on its way: what decides whose it is and whether it counts; the rest stays encoded.

    ``failed`` tells that nothing could be read in it; ``answers`` how many items it answers.
    """

    file: str
    digest: str
    modified: str
    student: str | None
    vouched: bool
    failed: bool
    faults: tuple[str, ...]
    content: bytes
    answers: int

    @staticmethod
    def of(upload: Upload) -> "ReadUpload":
        """With the upload itself encoded."""
        return ReadUpload(
            file=upload.file, digest=upload.digest, modified=upload.modified, student=upload.student, vouched=upload.vouched,
            failed=bool(upload.faults) and not upload.answers, faults=upload.faults, content=as_bytes(upload),
            answers=len({(one.problem, one.item) for one in upload.answers if one.text.strip()}),
        )  # fmt: skip

    @property
    def can_be_marked(self) -> bool:
        """Whether it has a student and something was read in it (a sheet left blank is something)."""
        return self.student is not None and not self.failed


ROWS = 500
"""Rows of a wide table told together: a second's work on a slow machine, whose end starts the time of a job anew."""


class Rows(NamedTuple):
    """Some rows of a wide table as read, packed: most of them wait until others are marked."""

    size: int
    packed: bytes

    @staticmethod
    def of(uploads: Sequence[Upload]) -> "Rows":
        """Pack them."""
        return Rows(len(uploads), zlib.compress(as_bytes(uploads), 1))

    @property
    def read(self) -> tuple[ReadUpload, ...]:
        """The rows themselves."""
        return tuple(map(ReadUpload.of, decoded(zlib.decompress(self.packed), tuple[Upload, ...])))


class EncodedMarks(NamedTuple):
    """Marks on their way, and whether the program came to no end with some of them."""

    content: bytes
    undecided: bool

    @staticmethod
    def of(marked: Marked) -> "EncodedMarks":
        """With the marks encoded."""
        undecided = any(mark.verdict == NOT_DECIDED for mark in marked.marks)
        return EncodedMarks(as_bytes(marked), undecided)

    @property
    def marked(self) -> Marked:
        """The marks themselves."""
        return decoded(self.content, Marked)


class RowJob(NamedTuple):
    """Mark this upload, one of several in a file; answered with encoded marks."""

    read: ReadUpload
    key: str
    number: int
    of: int

    @property
    def upload(self) -> Upload:
        """The upload itself."""
        return decoded(self.read.content, Upload)


MAX_SET_ASIDE = 3
"""Answers of one upload that may fail, each in its own time, until the whole upload is left to a person."""


class HasUpload(Protocol):
    """Work on an upload."""

    @property
    def upload(self) -> Upload:
        """The upload."""


Whole = TypeVar("Whole", bound=HasUpload)
Found = TypeVar("Found")


class AnswersJob(NamedTuple, Generic[Whole]):
    """Mark an upload that failed as a whole: each answer by itself, to find those that fail, then all the others together.

    Answered with a message for each answer that did not fail, then with the marks.
    """

    row: Whole
    """What failed: here a `RowJob`."""
    failure: str
    """Why it failed."""
    begin: int = 0
    """Place of the answer to begin with."""
    set_aside: tuple[int, ...] = ()
    """Places of answers that failed by themselves."""

    @staticmethod
    def of(row: Whole, failure: str) -> "AnswersJob[Whole] | None":
        """What to do first; None where nothing was answered.  Of a single answer it is known that it is to blame."""
        if len(row.upload.answers) == 1:
            return AnswersJob(row, failure, begin=1, set_aside=(0,))
        return AnswersJob(row, failure) if row.upload.answers else None

    def after(self, result: JobResult) -> "AnswersJob[Whole] | None":
        """What to do next where this failed, too; None where no answer is to blame, or too many are."""
        place = self.begin + len(result.messages)
        if place >= len(self.row.upload.answers) or len(self.set_aside) == MAX_SET_ASIDE:
            return None
        return AnswersJob(self.row, result.failure, place + 1, (*self.set_aside, place))

    def parted(self) -> tuple[Upload, Upload]:
        """The upload with the answers that did not fail, and with those that did."""
        upload, answers = self.row.upload, self.row.upload.answers
        kept = tuple(answer for place, answer in enumerate(answers) if place not in self.set_aside)
        return replace(upload, answers=kept), replace(upload, answers=tuple(answers[at] for at in self.set_aside))


class FeedbackJob(NamedTuple):
    """Write what this student gets back; answered with a page, a workbook and the worked solution, by the suffixes of their files.

    Where the worker could write them itself, their digests stand in their places.
    """

    marks: bytes
    student: Student
    not_counted: tuple[str, ...] = ()


class PredictionsJob(NamedTuple):
    """Say what every item can show: a worker that has marked knows most of it already."""


Job = FileJob | RowJob | AnswersJob[RowJob] | FeedbackJob | PredictionsJob


class Task(Struct, frozen=True, kw_only=True):
    """What every worker of a run knows; picklable.

    ``secret`` and ``classmates`` (see `grader.marking.classmates`) are there where values are personal;
    ``workbooks`` and ``solutions`` say what feedback is besides pages, ``feedback`` where workers of this machine write it.
    """

    key: RubricKey
    mark: Callable[[Any, Upload], Marked]
    pairs: tuple[Pair, ...]
    roster: Ids | None
    assignments: Assignments
    workbooks: bool = True
    solutions: bool = False
    feedback: Path | None = None
    secret: bytes | None = None
    classmates: Mapping[Pair, Any] = field(default_factory=dict)


def make(task: Task) -> Handle:
    """Prepare a worker."""
    keys = Keys(task.key.key, task.secret)

    @cache
    def paper() -> Any:
        from grader.reports.paper import paper

        return paper(keys.key.rubric)

    def paper_of(student: str) -> Any:
        from grader.reports.paper import paper as own

        return paper() if keys.secret is None else own(keys.rubric(student), student)

    def marked(upload: Upload) -> Marked:
        try:
            key = keys.of(upload.student or "")
        except RubricError:
            return unmarked(upload, task.key.points, "with these personal values an item has no answer")
        marks = task.mark(key, upload)
        if not task.classmates:
            return marks
        from grader.marking.classmates import with_classmates

        return with_classmates(key, upload, marks, task.classmates)

    def solution(marks: Marked) -> dict[str, bytes]:
        from grader.reports.worked import own_solution

        try:
            key = keys.of(marks.student)
        except RubricError:
            return {}
        return {".solution.html": as_utf8(own_solution(key, marks.student, marks.marks))}

    def handle(job: Job) -> Generator[Any, None, Any]:
        if isinstance(job, FileJob):
            uploads = uploads_in(job.source, task.pairs, task.roster, task.assignments)
            first, second = next(uploads), next(uploads, None)
            if second is None:
                read = ReadUpload.of(first)
                yield read
                return EncodedMarks.of(marked(first)) if read.can_be_marked else None
            rows = chain((first, second), uploads)
            while some := tuple(islice(rows, ROWS)):
                yield Rows.of(some)
            return None
        if isinstance(job, RowJob):
            return EncodedMarks.of(marked(job.upload))
        if isinstance(job, AnswersJob):
            kept = yield from one_by_one(job, marked)
            return EncodedMarks.of(with_set_aside(kept, job, task.key.points))
        if isinstance(job, PredictionsJob):
            return predictions_of(keys.key)
        marks = decoded(job.marks, Marked)
        made = _feedback(paper_of(marks.student), marks, job, workbook=task.workbooks)
        if task.solutions:
            made |= solution(marks)
        return made if task.feedback is None else _kept(task.feedback / file_name(job.student.id), made)

    return handle


def _kept(place: Path, made: Mapping[str, bytes]) -> dict[str, bytes | str]:
    """Digests of what could be written; the content of what could not, so that the command says why."""
    kept: dict[str, bytes | str] = {}
    for suffix, content in made.items():
        try:
            kept[suffix] = written(place.with_name(f"{place.name}{suffix}"), content)
        except OSError:
            kept[suffix] = content
    return kept


def _feedback(paper: Any, marked: Marked, job: FeedbackJob, *, workbook: bool) -> dict[str, bytes]:
    from grader.reports.feedback import feedback_html

    made = {".html": as_utf8(feedback_html(paper, marked, job.student, job.not_counted))}
    if workbook:
        from grader.reports.annotated import annotated_xlsx

        made[".xlsx"] = annotated_xlsx(paper, marked, job.student, job.not_counted)
    return made


def one_by_one(job: AnswersJob[Any], work: Callable[[Upload], Found]) -> Generator[None, None, Found]:
    """Do the work with each answer by itself, a message after each; gives back what it gives for all but those set aside."""
    for answer in job.row.upload.answers[job.begin :]:
        work(replace(job.row.upload, answers=(answer,)))
        yield None
    return work(job.parted()[0])


def with_set_aside(marked: Marked, job: AnswersJob[Any], points: Mapping[Pair, float]) -> Marked:
    """Marks of all answers but those set aside, and these left to a person."""
    _, failed = job.parted()
    left = {answer.place for answer in failed.answers}
    instead = {mark.place: mark for mark in unmarked(failed, points, job.failure).marks}
    marks = (instead[one.place] if one.place in left else one for one in marked.marks)
    return replace(marked, marks=tuple(marks))


def unmarked(upload: Upload, points: Mapping[Pair, float], why: str) -> Marked:
    """Marks that leave everything to a person, for an upload that was read and could not be marked; ``why`` without a full stop."""
    written = {answer.place: answer for answer in upload.answers}
    blank = Mark(
        problem="", item="", answer="", awarded=0.0, possible=0.0, verdict=NOT_DECIDED, review=True,
        reasons=(f"This was not marked: {why}. A person will look at it.",),
    )  # fmt: skip
    marks = []
    for (problem, item), possible in points.items():
        answer = written.get((problem, item))
        text = "" if answer is None else answer.as_written
        marks.append(replace(blank, problem=problem, item=item, answer=text, possible=possible))
    return Marked(student=upload.student or "", file=upload.file, marks=tuple(marks))
