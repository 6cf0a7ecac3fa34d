"""Reading and marking everything, and whose is whose: what is held in memory of an upload is a line, not its answers."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple, Protocol

from msgspec import Struct, field
from msgspec.structs import replace

from grader.ideas.records import Predictions
from grader.jobs import bounds
from grader.jobs.pool import JobResult
from grader.run.storage.journal import Journal, JournalPosition, key_of_file
from grader.run.work import (
    AnswersJob,
    EncodedMarks,
    FileJob,
    Job,
    PredictionsJob,
    ReadUpload,
    RowJob,
    Rows,
    unmarked,
)
from grader.uploads.content.items import Pair
from grader.uploads.files.source import Source
from grader.uploads.latest import chosen, why_superseded
from grader.uploads.names import natural, tokens
from grader.uploads.owner import Assignments
from grader.uploads.reader import read_source
from grader.uploads.roster import Roster

COUNTED, SUPERSEDED, UNREADABLE, NO_STUDENT, IGNORED = "counted", "superseded", "unreadable", "no student", "ignored"
"""What becomes of a file or of a row of a wide table; exactly one of these."""


UNDECIDED = "-undecided"
"""Ends the key of a result that came to no end, or of a file that could not be read: no later run finds it, so that each
tries again."""


SMALL, SMALL_TOGETHER = 1 << 16, 8
"""Bytes of a file of which that many times as many may wait in memory."""


class Workers(Protocol):
    """A pool of processes, or a cluster."""

    def submit(self, job: Job) -> object:
        """Add a job."""

    @property
    def backlog(self) -> int:
        """Jobs that wait."""

    @property
    def working(self) -> bool:
        """Whether any job is unanswered."""

    def next(self) -> JobResult:
        """The next job that is done."""


class CollectedUpload(Struct, frozen=True, kw_only=True):
    """One upload, in short; the rest of it stands in the journal at `place`."""

    file: str
    digest: str
    modified: str
    student: str | None
    vouched: bool
    failed: bool
    marked: bool
    faults: tuple[str, ...]
    place: JournalPosition | None
    answers: int = 0
    ignored: str = ""


class Collector(Struct, kw_only=True):
    """Goes through all files once; what the journal has is not done again."""

    journal: Journal
    """Where results are kept."""
    workers: Workers
    """Who does the work."""
    basis: Callable[[], str]
    """What every mark depends on besides its file: rubric, software, roster; asked again and again, but not before the first upload is sent off."""
    points: Mapping[Pair, float]
    """Every item with its points."""
    roster: Roster | None
    """As for `read_source`."""
    assignments: Assignments
    """As for `read_source`."""
    progress: Callable[[int], None]
    """Called with the number of uploads done."""
    queue: int
    entries: list[CollectedUpload] = field(default_factory=list)
    reused: int = 0
    predictions: Predictions | None = None
    """What every item can show, as a worker said it; None where it could not."""

    def collect(self, sources: Iterable[Source]) -> list[CollectedUpload]:
        """Read and mark every source; gives back the entries in order of file."""
        begun = not self.journal.empty
        for source in sources:
            if source.ignored:
                self.entries.append(_ignored(source))
            elif begun and (places := self.journal.complete(self._key(source))):
                self.reused += len(places)
                for place in places:
                    self._reuse(place, source)
            elif source.fault:
                self._keep(RowJob(self._unread(source), f"{self._key(source)}{UNDECIDED}", 0, 1), None)
            else:
                self.workers.submit(FileJob(source))
                self._make_room(self.queue if len(source.data) > SMALL else SMALL_TOGETHER * self.queue)
        self.workers.submit(PredictionsJob())
        while self.workers.working:
            self._take(self.workers.next())
        return sorted(self.entries, key=lambda entry: entry.file)

    def _make_room(self, most: int) -> None:
        """Take what is done until fewer jobs than that wait."""
        while self.workers.backlog >= most:
            self._take(self.workers.next())

    def _key(self, source: Source) -> str:
        decided = sorted(
            (*place, said.student)
            for place, said in self.assignments.items()
            if place[0] == source.file or place[0].startswith(f"{source.file}, ")
        )
        basis = f"{self.basis()}\0{decided}" if decided else self.basis()
        return key_of_file(f"{basis}\0table" if source.table else basis, source.file, source.digest)

    def _take(self, done: JobResult) -> None:
        if isinstance(done.job, FileJob):
            self._take_file(done.job, done)
        elif isinstance(done.job, RowJob):
            self._take_marks(done.job, done)
        elif isinstance(done.job, AnswersJob):
            if done.failure and (again := done.job.after(done)):
                self.workers.submit(again)
            else:
                marks = () if done.failure else done.messages[-1:]
                self._take_marks(done.job.row, JobResult(done.job, marks, done.job.failure))
        elif isinstance(done.job, PredictionsJob) and done.messages:
            self.predictions = done.messages[0]

    def _take_marks(self, job: RowJob, done: JobResult) -> None:
        """Keep the marks of one upload; where it failed as a whole, look first which of its answers does."""
        if done.messages:
            marks: EncodedMarks = done.messages[0]
        elif done.job is job and (apart := AnswersJob.of(job, done.failure)):
            self.workers.submit(apart)
            return
        else:
            marks = EncodedMarks.of(unmarked(job.upload, self.points, done.failure))
        kept = job._replace(key=f"{job.key}{UNDECIDED}") if marks.undecided else job
        self._keep(kept, marks)

    def _take_file(self, job: FileJob, done: JobResult) -> None:
        source, key = job.source, self._key(job.source)
        if not done.messages or (done.failure and isinstance(done.messages[0], Rows)):  # not all rows are there
            stopped = Source(file=source.file, digest=source.digest, modified=source.modified, fault=done.failure)
            self._keep(RowJob(self._unread(stopped), f"{key}{UNDECIDED}", 0, 1), None)
            return
        if isinstance(done.messages[0], Rows):
            self._take_rows(source, key, done.messages)
            return
        row = RowJob(done.messages[0], key, 0, 1)
        if row.read.can_be_marked:
            self._take_marks(row, JobResult(row, done.messages[1:], done.failure))
        else:
            self._keep(row, None)

    def _take_rows(self, source: Source, key: str, parts: tuple[Rows, ...]) -> None:
        """Have the rows of a wide table marked, a few at a time."""
        known, of = self.journal.done(key), sum(rows.size for rows in parts)
        for number, read in enumerate(read for rows in parts for read in rows.read):
            row = RowJob(read, key, number, of)
            if place := known.get(number):
                self.reused += 1
                self._reuse(place, source)
            elif read.can_be_marked:
                self.workers.submit(row)
                self._make_room(SMALL_TOGETHER * self.queue)
            else:
                self._keep(row, None)

    def _unread(self, source: Source) -> ReadUpload:
        """A file that could not even be read, with the sentence that says so."""
        (upload,) = read_source(source, tuple(self.points), self.roster, self.assignments)
        return ReadUpload.of(upload)

    def _keep(self, row: RowJob, marks: EncodedMarks | None) -> None:
        place = self.journal.add(
            row.key, row.number, row.of, row.read.content, None if marks is None else marks.content
        )
        self._enter(row.read, place, marked=marks is not None)

    def _reuse(self, place: JournalPosition, source: Source) -> None:
        upload, marked = self.journal.load(place)
        read = ReadUpload.of(upload)._replace(modified=source.modified)
        self._enter(read, place, marked=marked is not None)

    def _enter(self, read: ReadUpload, place: JournalPosition, *, marked: bool) -> None:
        self.entries.append(
            CollectedUpload(
                file=read.file, digest=read.digest, modified=read.modified, student=read.student, vouched=read.vouched,
                failed=read.failed, marked=marked, faults=read.faults, place=place, answers=read.answers,
            )
        )  # fmt: skip
        self.progress(len(self.entries))


def _ignored(source: Source) -> CollectedUpload:
    return CollectedUpload(
        file=source.file, digest=source.digest, modified=source.modified, student=None, vouched=False, failed=False,
        marked=False, faults=(), place=None, ignored=source.ignored,
    )  # fmt: skip


class UploadStatus(NamedTuple):
    """What became of one upload, and the student it belongs to ("" where that is not known)."""

    entry: CollectedUpload
    state: str
    student: str


class Section(Struct, frozen=True, kw_only=True, dict=True):
    """Who handed in what: for every student the upload that counts, in order of id, and what became of every file."""

    counted: dict[str, CollectedUpload]
    fates: tuple[UploadStatus, ...]

    @cached_property
    def superseded(self) -> Counter[str]:
        """How many uploads of each student do not count since a later one does."""
        return Counter(fate.student for fate in self.fates if fate.state == SUPERSEDED)

    @cached_property
    def not_counted(self) -> dict[str, tuple[str, ...]]:
        """What to tell each student whose marks are on one file, of every other file that they sent."""
        told: dict[str, tuple[str, ...]] = {}
        for entry, state, student in self.fates:
            counted = self.counted.get(student)
            if entry is counted or counted is None or counted.failed:
                continue
            why = (
                "it could not be read"
                if state == UNREADABLE
                else f"{counted.file} is {why_superseded(entry, counted, 'you')}"
            )
            said = f"Your upload {entry.file} does not count: {why}."
            if _answers_far_fewer(counted, entry):
                said += f" It answers {_items(entry)}, the one that counts {_items(counted)}: if that was meant to correct it, tell your instructor."
            told[student] = (*told.get(student, ()), said)
        return told


def section_of(entries: Sequence[CollectedUpload]) -> Section:
    """Choose the upload that counts for every student; of ids that differ in case alone the first by order is meant."""
    groups: dict[tuple[str, ...], list[CollectedUpload]] = {}
    for entry in entries:
        if entry.student is not None:
            groups.setdefault(tokens(entry.student) or (entry.student,), []).append(entry)
    counted: dict[str, CollectedUpload] = {}
    fates: dict[int, UploadStatus] = {}
    for group in groups.values():
        student = min(entry.student for entry in group if entry.student is not None)
        latest, waiting = chosen(group)
        counted[student] = _beside(latest, group)
        fates |= {id(entry): UploadStatus(entry, _state(entry, counts=False), student) for entry in group}
        fates[id(latest)] = UploadStatus(counted[student], _state(latest, counts=True), student)
        fates |= {id(entry): _in_doubt(entry, counted[student]) for entry in waiting}
    return Section(
        counted={student: counted[student] for student in sorted(counted, key=by_id)},
        fates=tuple(fates.get(id(entry)) or UploadStatus(entry, _state(entry, counts=False), "") for entry in entries),
    )


def _beside(latest: CollectedUpload, group: Sequence[CollectedUpload]) -> CollectedUpload:
    """The upload that counts; where another answers far more, a person is to look whether it only corrects that one."""
    fullest = max(group, key=lambda entry: entry.answers)
    if not _answers_far_fewer(latest, fullest):
        return latest
    fault = (
        f"This upload counts, and answers {_items(latest)}; {fullest.file}, which does not, answers {_items(fullest)}. "
        f"If it only corrects that one, decide 'nobody' here, so that the other counts, and add a row with its points for "
        "each answer that it corrects."
    )
    return replace(latest, faults=(*latest.faults, fault))


def _answers_far_fewer(entry: CollectedUpload, other: CollectedUpload) -> bool:
    """Whether an upload answers fewer than half of what another does: a correction, say, in place of the sheet."""
    return not entry.failed and 2 * entry.answers < other.answers


def _items(entry: CollectedUpload) -> str:
    return f"{entry.answers} item{'' if entry.answers == 1 else 's'}"


def _in_doubt(entry: CollectedUpload, standing: CollectedUpload) -> UploadStatus:
    """What becomes of an upload that may not take the place of another until a person says whose it is."""
    fault = (
        f"This file says student {entry.student} and its name does not, and another upload of that student is there: "
        f"{standing.file}, which counts until a person says whose this is. Given to {entry.student}, this later file counts alone, and "
        f"no answer of {standing.file} does any more: look first which of them is whole."
    )
    return UploadStatus(replace(entry, faults=(fault, *entry.faults)), NO_STUDENT, "")


def by_id(student: str) -> tuple[object, ...]:
    """Order of students: by id, numbers in it by size."""
    return natural(student), student


def _state(entry: CollectedUpload, *, counts: bool) -> str:
    if entry.ignored:
        return IGNORED
    if entry.failed:
        return UNREADABLE
    if entry.student is None:
        return NO_STUDENT
    return COUNTED if counts else SUPERSEDED


def queue_length(workers: int) -> int:
    """How many files may wait in memory."""
    return bounds.BACKLOG * workers
