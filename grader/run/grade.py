"""A run from end to end: key, uploads, marks, results on disk; resumed where it was stopped, compared with the one before."""

import os
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager, closing, suppress
from functools import cached_property, partial
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace

from grader.errors import OutputError, UsageError
from grader.jobs import bounds
from grader.jobs.pool import Pool
from grader.marking.beliefs import predictions_of
from grader.marking.marks import Marked
from grader.opening import content_of
from grader.run.backend import Engine, own_engine
from grader.run.collect import SMALL_TOGETHER, CollectedUpload, Collector, Section, Workers, queue_length, section_of
from grader.run.decisions import Decisions, load_decisions
from grader.run.graded import Graded
from grader.run.personal import classmates_of, needed_secret
from grader.run.record import inputs_of, write_run
from grader.run.review import REVIEW
from grader.run.rubric_key import RubricKey, key_of
from grader.run.storage.folder import StagedResults, copy_whole, locked
from grader.run.storage.journal import Journal
from grader.run.storage.moving import OWN
from grader.run.storage.previous_run import CHANGES, RUN, Earlier, fingerprint, write_changes
from grader.run.storage.private import identity
from grader.run.storage.software import software
from grader.run.summary import Summary, summary_of
from grader.run.work import ReadUpload, RowJob, Task, make, unmarked
from grader.run.write import Feedback, Figures, write_results
from grader.uploads.files.source import Source
from grader.uploads.files.sources import sources
from grader.uploads.roster import Roster, load_roster
from grader.uploads.upload import Upload

if TYPE_CHECKING:
    from grader.reports.paper import Paper

Progress = Callable[[str, int, int | None], None]
"""Told what is being done (``"uploads"``, ``"feedback"``), how many are done, and of how many where that is known."""


class RunOptions(Struct, frozen=True, kw_only=True):
    """What a run was asked to do."""

    rubric: Path
    uploads: Path
    """The folder, zip or wide table."""
    results: Path
    """The folder for the results, made if need be."""
    table: Path | None = None
    """A table with a row for each student, among the uploads or elsewhere."""
    roster: Path | None = None
    decisions: Path | None = None
    """A review list with decisions filled in."""
    secret: Path | None = None
    """The secret that personal values follow from."""
    workers: int = 1
    """Worker processes, at least 1."""
    seconds: float = bounds.SECONDS
    """How long reading, or marking, one upload may take."""
    cluster: str = ""
    """Address of a scheduler, to mark there and not on this machine."""
    workbooks: bool = True
    """Whether each student gets a workbook beside the page."""
    solutions: bool = False
    """Whether each student gets the worked solution, too."""


_EACH = 16
"""Workers of one processor: more only take memory."""


_TOGETHER = 8
"""Jobs handed to a worker at once, so that it need not wait for the next one; they end one by one."""


def processors() -> int:
    """How many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def grade(
    call: RunOptions, engine: Engine | None = None, progress: Progress = lambda _what, _done, _of: None
) -> Summary:
    """Mark all uploads and write all results; the program has its own engine where none is given.

    Raises
    ------
    RubricError, UsageError
        If the rubric, roster or decisions are wrong, or something named is not there.
    OutputError
        If the results cannot be written; those of the run before are then as they were.
    """
    if call.workers < 1:
        raise UsageError("At least one worker is needed; give --workers 1 or more.")
    if call.workers > (most := _EACH * processors()):
        raise UsageError(f"{call.workers} workers are more than this machine can use; give --workers {most} or fewer.")
    if call.uploads.resolve() == call.results.resolve():
        raise UsageError(f"{call.results}: the results cannot go into the folder of the uploads; name another with -o.")
    if not call.uploads.exists():
        raise UsageError(f"{call.uploads}: there is no such folder, zip or file; name the uploads of the section.")
    if call.table is not None and not call.table.is_file():
        raise UsageError(
            f"{call.table}: there is no such file; --table takes the table of the class, with a row per student."
        )
    started = time.perf_counter()
    engine = engine or own_engine()
    key = key_of(call.rubric, engine.build)
    roster = None if call.roster is None else load_roster(call.roster)
    secret = needed_secret(call.rubric.name, call.secret) if key.personal else None
    if secret is not None and roster is None:
        raise UsageError(f"{call.rubric.name} has personal values, which follow from the roster's ids; add --roster.")
    with locked(call.results):
        try:
            run = _Run(call, engine, key, roster, secret, progress, started)
            with closing(run.journal):
                return run.go()
        except OSError as error:  # files of the uploads never raise here: their room turns that into a sentence
            raise OutputError(
                f"{error.filename or call.results}: the results cannot be written ({error.strerror or error}); see to that "
                "and run again. Those of the run before are as they were, and what is done is kept for the next try."
            ) from None


def _begun(found: Iterable[Source], then: Callable[[], object]) -> Iterator[Source]:
    """The same sources; once the first is being marked, something else is begun that would keep it waiting."""
    for number, source in enumerate(found):
        if number == 1:
            then()
        yield source


class _Run:
    """One run with everything it works on."""

    def __init__(
        self,
        call: RunOptions,
        engine: Engine,
        key: RubricKey,
        roster: Roster | None,
        secret: bytes | None,
        progress: Progress,
        started: float,
    ) -> None:
        self.call, self.engine, self.key, self.roster, self.progress = call, engine, key, roster, progress
        self.secret, self.started = secret, started
        self.points = key.points
        self.stage = StagedResults(call.results)
        self.earlier = Earlier.of(call.results)
        self.journal = Journal.open(call.results / OWN / "journal.jsonl")
        self.issued = call.results / OWN / "issued.csv"
        self.decisions = self._decisions()
        self.queue = queue_length(call.workers)

    def go(self) -> Summary:
        """Do it all."""
        with self._workers() as workers, ThreadPoolExecutor(1) as meanwhile:
            collector = Collector(
                journal=self.journal, workers=workers, basis=self._basis, points=self.points, roster=self.roster,
                assignments=self.decisions.owners, progress=lambda done: self.progress("uploads", done, None), queue=self.queue,
            )  # fmt: skip
            found = sources(self.call.uploads, self._apart(), self.call.table)
            entries = collector.collect(_begun(found, lambda: meanwhile.submit(self._prepare)))
            if not entries:
                raise UsageError(
                    f"{self.call.uploads}: there is nothing in it; put the section's uploads there and run again."
                )
            section = section_of(entries)
            graded = Graded(
                section=section, journal=self.journal, decisions=self.decisions, roster=self.roster,
                absent=self._absent(section, workers),
            ).explained(collector.predictions or predictions_of(self.key.key))  # fmt: skip
            feedback = Feedback(
                self.stage,
                workers,
                SMALL_TOGETHER * self.queue,
                lambda done: self.progress("feedback", done, len(graded.students)),
            )
            figures = write_results(self.stage, graded, self.paper, feedback, self.key)
        return self._finish(entries, graded, figures, collector.reused)

    def _finish(self, entries: list[CollectedUpload], graded: Graded, figures: Figures, reused: int) -> Summary:
        inputs = self._inputs(graded.section, replace(self.decisions, points=figures.decisions))
        changed = self._changes(graded, inputs)
        summary = summary_of(graded, figures, changed=changed, reused=reused, review=self.call.results / REVIEW)
        outputs, seconds = self.stage.digests(), time.perf_counter() - self.started
        with self.stage.open(RUN) as file:
            write_run(file, inputs, summary, outputs, seconds, self.call.workers)
        del inputs, outputs  # a line for each student, and what follows makes as many again
        stale = tuple(sorted({*self.earlier.outputs} - {*self.stage.names()}))
        self.journal.keep_only(entry.place for entry in entries if entry.place is not None)
        self.stage.publish(stale)
        with suppress(OSError):  # the results are there; without it an edited decision is taken as it reads
            copy_whole(self.call.results / REVIEW, self.issued)
        return summary

    def _prepare(self) -> object:
        """What takes a while and is needed once everything is marked."""
        return import_module("grader.reports.audit").prepare(), self.paper

    @cached_property
    def paper(self) -> "Paper":
        """What the rubric asks, with its drawings."""
        from grader.reports.paper import paper

        return paper(self.key.key.rubric)

    def _workers(self) -> AbstractContextManager[Workers]:
        task = Task(
            key=self.key, mark=self.engine.mark, pairs=tuple(self.points), roster=self.roster and self.roster.ids,
            assignments=dict(self.decisions.owners), workbooks=self.call.workbooks, solutions=self.call.solutions, secret=self.secret, classmates=self._classmates(),
            feedback=None if self.call.cluster else self.stage.feedback,
        )  # fmt: skip
        if self.call.cluster:
            from grader.run.cluster import Cluster

            return Cluster(self.call.cluster, make, task)
        return Pool(make, (task,), self.call.workers, self.call.seconds, together=_TOGETHER)

    def _classmates(self) -> Any:
        if self.secret is None or self.roster is None:
            return {}
        students = [student.id for student in self.roster.students]
        return classmates_of(self.key, students, self.secret, self.call.workers)

    def _basis(self) -> str:
        """What every mark depends on besides the upload."""
        roster = self.roster.digest if self.roster is not None else ""
        secret = () if self.secret is None else (identity(self.secret),)
        return "\0".join((self.key.digest, software(), roster, *secret))

    def _inputs(self, section: Section, decisions: Decisions) -> dict[str, Any]:
        roster = None if self.call.roster is None or self.roster is None else (self.call.roster, self.roster)
        return inputs_of(self.call.rubric, self.key.digest, self.call.uploads, roster, decisions, section, self.secret)

    def _apart(self) -> Mapping[Path, str]:
        """Files that may lie among the uploads and are none."""
        named = {
            self.call.rubric: "the rubric", self.call.roster: "the roster", self.call.decisions: "the decisions",
            self.call.secret: "the secret",
        }  # fmt: skip
        return {self.call.results: "the results", **{path: what for path, what in named.items() if path is not None}}

    def _decisions(self) -> Decisions:
        """What was decided: in the file given, and in the review list of the run before, edited where it lies or not."""
        given, kept = self.call.decisions, self.call.results / REVIEW
        earlier = Decisions()
        if kept.exists():
            issued = Decisions()
            with suppress(UsageError):  # damaged, or there was no run before
                issued = load_decisions(self.issued, self.points, None)  # a student may have left since
            earlier = load_decisions(kept, self.points, self.roster).edited(issued)
            if given is None or given.resolve() == kept.resolve():
                return earlier
        if given is None:
            return earlier
        return load_decisions(given, self.points, self.roster).over(earlier)

    def _absent(self, section: Section, workers: Workers) -> dict[str, Marked]:
        """Blank marks for students who have decisions and nothing else."""
        named = {student for student, _, _ in self.decisions.points}
        absent = sorted(named - {student for student, entry in section.counted.items() if entry.marked})
        unknown = [student for student in absent if student not in section.counted] if self.roster is None else []
        if unknown:
            raise UsageError(
                "\n".join(f"The decisions name the student '{student}', who sent nothing." for student in unknown)
            )
        for student in absent:
            nothing = Upload(file="", digest="", student=student, answers=())
            workers.submit(RowJob(ReadUpload.of(nothing), "", 0, 1))
        marks: dict[str, Marked] = {}
        while workers.working:
            done = workers.next()
            upload = done.job.upload
            marks[upload.student] = (
                done.messages[0].marked if done.messages else unmarked(upload, self.points, done.failure)
            )
        return marks

    def _changes(self, graded: Graded, inputs: Mapping[str, Any]) -> tuple[int, int] | None:
        """Write what changed since the run before; the same inputs again leave the table of the run before as it is."""
        if not self.earlier.exists:
            return None
        if self.earlier.inputs == fingerprint(inputs):
            kept = self.call.results / CHANGES
            if kept.exists():
                self.stage.write(CHANGES, content_of(kept))
            return None
        return write_changes(partial(self.stage.open, CHANGES), self.earlier.changes(graded, inputs))
