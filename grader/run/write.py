"""Writes everything a run hands over, beside the results of the run before: one way through the marks for all of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, closing
from functools import lru_cache
from typing import TYPE_CHECKING

from msgspec import Struct, field

from grader.marking.marks import REMEMBERED, Mark, Marked
from grader.reports.gradebook import GradebookCell
from grader.reports.wording import nothing_answered, with_others_values
from grader.run.collect import Workers, by_id
from grader.run.given import Points, same
from grader.run.graded import Graded
from grader.run.review import REVIEW, Review
from grader.run.storage.folder import FEEDBACK, StagedResults, file_name
from grader.run.storage.previous_run import MARKS
from grader.run.storage.serialization import as_bytes, encoded
from grader.run.work import FeedbackJob

if TYPE_CHECKING:
    from grader.problem import Rubric
    from grader.reports.audit import Gathered
    from grader.reports.paper import Paper
    from grader.run.rubric_key import RubricKey


class Figures(Struct):
    """What the marks add up to, gathered while they are written.

    ``waiting`` counts rows of the review list, ``blank`` uploads without any answer, ``others`` those that wait for the values of somebody else, ``unmarked`` answers that nobody has
    marked yet: they stand in no sum.  ``unfinished`` are the items with such answers.
    """

    students: int = 0
    awarded: float = 0.0
    possible: float = 0.0
    waiting: int = 0
    unmarked: int = 0
    decided: int = 0
    blank: int = 0
    others: int = 0
    items: dict[tuple[str, str], tuple[float, float]] = field(default_factory=dict)
    unfinished: set[tuple[str, str]] = field(default_factory=set)
    decisions: Mapping[tuple[str, str, str], tuple[Points, ...]] = field(default_factory=dict)

    def add(self, marked: Marked) -> None:
        """Take one student's marks."""
        self.students += 1
        self.blank += nothing_answered(marked)
        self.others += with_others_values(marked)
        for mark in marked.marks:
            if mark.unmarked:
                self.unmarked += 1
                self.unfinished.add(mark.place)
                continue
            awarded, possible = self.items.get(mark.place, (0.0, 0.0))
            self.items[mark.place] = (awarded + mark.awarded, possible + mark.possible)
            self.awarded += mark.awarded
            self.possible += mark.possible
            self.decided += bool(mark.decision)


class Feedback:
    """Has every student's feedback made by workers, a few at a time, and writes it.

    Attributes
    ----------
    unwritten : list of (str, str)
        Students whose feedback could not be made, and why.
    """

    def __init__(self, stage: StagedResults, workers: Workers, queue: int, progress: Callable[[int], None]) -> None:
        self._stage, self._workers, self._queue, self._progress = stage, workers, queue, progress
        self._written = 0
        self.unwritten: list[tuple[str, str]] = []

    def add(self, job: FeedbackJob) -> None:
        """Hand one student's marks to the workers, and write what is done meanwhile."""
        self._workers.submit(job)
        while self._workers.backlog >= self._queue:
            self._take()

    def finish(self) -> None:
        """Wait for what is still being made."""
        while self._workers.working:
            self._take()
        self.unwritten.sort()

    def _take(self) -> None:
        done = self._workers.next()
        student = done.job.student.id
        if done.failure:
            self.unwritten.append((student, done.failure))
        else:
            for suffix, made in done.messages[0].items():
                keep = self._stage.note if isinstance(made, str) else self._stage.write
                keep(f"{FEEDBACK}/{file_name(student)}{suffix}", made)
        self._written += 1
        self._progress(self._written)


def write_results(stage: StagedResults, graded: Graded, paper: Paper, feedback: Feedback, key: RubricKey) -> Figures:
    """Write everything but ``changes.csv`` and ``run.json``.

    ``marks.jsonl`` has a line per student and item, in order of student; those of problems with personal values say so.
    """
    from grader.reports.audit import RUBRIC, Gathered
    from grader.reports.audit_lines import line_of
    from grader.reports.explained import EXPLAINED, explanation_values
    from grader.reports.gradebook import GradebookBook, gradebook_header, gradebook_row
    from grader.reports.table import Table

    figures, gathered = Figures(), Gathered()
    with ExitStack() as files:
        book = files.enter_context(closing(GradebookBook(paper)))
        marks = files.enter_context(stage.open(MARKS))
        table = Table(files.enter_context(stage.open("gradebook.csv")), gradebook_header(paper))
        review = Review(files.enter_context(stage.open(REVIEW)), graded)
        for entry in gradebook_lines(graded):
            row = gradebook_row(paper, entry)
            table.add(row)
            book.add(row)
            if entry.marked is None:
                continue
            student, section = entry.student.id, entry.student.section
            about = {"student": student, "section": section, "file": entry.marked.file}
            general, personal = encoded(about)[:-1], encoded({**about, "personal": True})[:-1]
            feedback.add(
                FeedbackJob(as_bytes(entry.marked), entry.student, graded.section.not_counted.get(student, ()))
            )
            figures.add(entry.marked)
            review.add(entry.marked)
            for mark in entry.marked.marks:
                own = mark.problem in key.personal
                marks.write(f"{personal if own else general},{_encoded(mark)[1:]}\n")
                gathered.add(line_of(student, section, mark, personal=own))
        feedback.finish()
        review.finish(feedback.unwritten)
        stage.write("gradebook.xlsx", book.content())
        with stage.open(EXPLAINED) as file:
            for student in graded.students:
                file.write(encoded(explanation_values(graded.explanations[student])) + "\n")
    gathered.explanations = {student: graded.explanations[student] for student in sorted(graded.students)}
    figures.waiting, figures.decisions = review.waiting, review.kept
    stage.write(RUBRIC, key.content)
    if figures.students:
        _write_audit(stage, gathered, key.key.rubric)
    return figures


@lru_cache(REMEMBERED)
def _encoded(mark: Mark) -> str:
    return encoded(mark)


def _write_audit(stage: StagedResults, gathered: Gathered, rubric: Rubric) -> None:
    from grader.reports.audit import audit_html, audit_of, audit_xlsx

    found = audit_of({stage.folder.name: gathered})
    stage.write("audit.html", audit_html(found, {stage.folder.name: rubric}))
    stage.write("audit.xlsx", audit_xlsx(found))


def gradebook_lines(graded: Graded) -> Iterator[GradebookCell]:
    """A line for everybody on the roster and everybody who has marks or sent something, in order of id."""
    listed = [student.id for student in graded.roster.students] if graded.roster is not None else []
    marked = set(graded.students)
    for student in sorted({*listed, *marked, *graded.section.counted}, key=by_id):
        yield GradebookCell(
            student=graded.about(student),
            marked=graded.of(student) if student in marked else None,
            flags=tuple(_flags(graded, student)),
        )


def _flags(graded: Graded, student: str) -> Iterator[str]:
    entry = graded.section.counted.get(student)
    if entry is None:
        return
    if earlier := graded.section.superseded[student]:
        yield f"{earlier} other upload{'s' if earlier > 1 else ''} not counted"
    if entry.failed:
        yield "upload could not be read"
    elif any(graded.decisions.reason_seen(entry.file, entry.digest, same(fault)) is None for fault in entry.faults):
        yield "remarks on the file in the review list"
