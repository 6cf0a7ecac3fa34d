"""Writes everything a run hands over, beside the results of the run before."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from grader.reports.wording import awaits_person
from grader.run.collect import Workers
from grader.run.earlier import MARKS
from grader.run.folder import Stage, file_name
from grader.run.graded import Graded
from grader.run.plain import line, plain
from grader.run.review import REVIEW, rows
from grader.run.work import FeedbackJob


@dataclass(slots=True)
class Figures:
    """What the marks add up to, gathered while they are written."""

    students: int = 0
    awarded: float = 0.0
    possible: float = 0.0
    waiting: int = 0
    decided: int = 0
    items: dict[tuple[str, str], tuple[float, float]] = field(default_factory=dict)


def write_marks(stage: Stage, graded: Graded, personal: frozenset[str] = frozenset()) -> Figures:
    """Write ``marks.jsonl``: a line per student and item, in order of student; those of `personal` problems say so."""
    figures = Figures()
    with stage.open(MARKS) as file:
        for marked in graded:
            section = graded.about(marked.student).section
            figures.students += 1
            for mark in marked.marks:
                about = {"student": marked.student, "section": section, "file": marked.file}
                own = {"personal": True} if mark.problem in personal else {}
                file.write(line({**about, **own, **plain(mark)}) + "\n")
                awarded, possible = figures.items.get((mark.problem, mark.item), (0.0, 0.0))
                figures.items[mark.problem, mark.item] = (awarded + mark.awarded, possible + mark.possible)
                figures.awarded += mark.awarded
                figures.possible += mark.possible
                figures.waiting += awaits_person(mark)
                figures.decided += bool(mark.decision)
    return figures


def write_feedback(
    stage: Stage, graded: Graded, workers: Workers, queue: int, progress: Callable[[int], None]
) -> list[tuple[str, str]]:
    """Write every student's page and workbook; gives back whose could not be written, and why."""
    unwritten: list[tuple[str, str]] = []
    written = 0

    def take() -> None:
        nonlocal written
        done = workers.next()
        student = done.job.marked.student
        if done.failure:
            unwritten.append((student, done.failure))
        else:
            page, workbook = done.messages[0]
            stage.write(f"feedback/{file_name(student)}.html", page)
            stage.write(f"feedback/{file_name(student)}.xlsx", workbook)
        written += 1
        progress(written)

    for marked in graded:
        workers.submit(FeedbackJob(marked, graded.about(marked.student)))
        while workers.backlog >= queue:
            take()
    while workers.working:
        take()
    return sorted(unwritten)


def write_tables(stage: Stage, graded: Graded, paper: Any, unwritten: list[tuple[str, str]]) -> int:
    """Write the gradebook and the review list; gives back how many rows of that wait for a person."""
    from grader.reports.gradebook import gradebook_csv, gradebook_xlsx
    from grader.reports.review import review_csv
    from grader.run.lines import Gradebook

    gradebook = Gradebook(graded)
    stage.write("gradebook.csv", gradebook_csv(paper, gradebook))
    stage.write("gradebook.xlsx", gradebook_xlsx(paper, gradebook))
    listed = list(rows(graded, unwritten))
    stage.write(REVIEW, review_csv(row.cells for row in listed))
    return sum(row.waits for row in listed)


def write_audit(stage: Stage) -> None:
    """Write the audit of the class from the marks just written; a class without marks has none."""
    from grader.reports.audit import audit, audit_html, audit_xlsx

    found = audit([stage.folder])
    stage.write("audit.html", audit_html(found))
    stage.write("audit.xlsx", audit_xlsx(found))
