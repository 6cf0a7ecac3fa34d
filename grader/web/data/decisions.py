"""The instructor's decisions, laid over the marks of the very answers they were made on."""

from collections.abc import Iterable, Iterator

from grader.marking.marks import Mark, Marked
from grader.reports.review import review_csv
from grader.reports.wording import points_text
from grader.run.decisions import Decisions, decided
from grader.run.given import Points
from grader.web.data.records import Decided


def with_decisions(marked: Marked, decisions: Iterable[Decided]) -> Marked:
    """One student's marks with the decisions that are about these answers, put over them as a run does."""
    points = {(one.student, *one.place): (_points(one),) for one, _ in applying(marked, decisions)}
    return decided(marked, Decisions(points=points)) if points else marked


def applying(marked: Marked, decisions: Iterable[Decided]) -> Iterator[tuple[Decided, Mark]]:
    """The decisions that are about these answers, each with its mark."""
    marks = {(marked.student, *mark.place): mark for mark in marked.marks}
    for one in decisions:
        mark = marks.get((one.student, *one.place))
        if mark is not None and one.is_on(mark.answer):
            yield one, mark


def _points(decided: Decided) -> Points:
    return Points(points=decided.points, reason=decided.reason, answer=" ".join(decided.answer.split()))


def decisions_csv(found: Iterable[tuple[Decided, Mark]]) -> bytes:
    """Decisions as a filled-in review list, which ``grader grade --decisions`` reads."""
    return review_csv(
        (
            one.student, "1", "", one.problem, one.item, " ".join(one.answer.split()), mark.reading, points_text(mark.awarded),
            points_text(mark.possible), mark.verdict, " ".join(mark.reasons), " ".join(mark.notes),
            repr(one.points), one.reason,
        )
        for one, mark in found
    )  # fmt: skip
