"""What a student gets back: one self-contained page that reads on a phone, on paper and aloud."""

from functools import lru_cache
from typing import NamedTuple

from grader.marking.marks import REMEMBERED, Mark, Marked
from grader.reports.pages import environment, page
from grader.reports.paper import Paper, PaperItem, PaperProblem
from grader.reports.wording import awaits_person, percent
from grader.uploads.upload import Student


class Row(NamedTuple):
    """An item and its mark."""

    item: PaperItem
    mark: Mark


class ProblemRows(NamedTuple):
    """A problem with its marks."""

    paper: PaperProblem
    rows: tuple[Row, ...]

    @property
    def awarded(self) -> float:
        """Points earned."""
        return sum(row.mark.awarded for row in self.rows)

    @property
    def possible(self) -> float:
        """Points that could be earned."""
        return sum(row.mark.possible for row in self.rows)


def rows_by_problem(paper: Paper, marked: Marked) -> tuple[ProblemRows, ...]:
    """The marks beside the items they belong to, in the rubric's order."""
    marks = {mark.place: mark for mark in marked.marks}
    return tuple(
        ProblemRows(
            problem,
            tuple(Row(item, marks[problem.id, item.id]) for item in problem.items if (problem.id, item.id) in marks),
        )
        for problem in paper.problems
    )


def look_at_first(marked: Marked) -> tuple[str, str] | None:
    """Problem and item of the first answer to look at: a wrong one that others follow from, or else the one that lost most.

    None that a person decided or has still to mark.
    """
    marks = [mark for mark in marked.marks if mark.answer and not (mark.unmarked or mark.decision)]
    wrong = [mark for mark in marks if mark.awarded < mark.possible and not mark.follows_from]
    sources = {(mark.problem, item) for mark in marked.marks for item in mark.follows_from}
    wrong.sort(key=lambda mark: (mark.place not in sources, mark.awarded - mark.possible))
    return (wrong[0].problem, wrong[0].item) if wrong else None


def _shown(problem: ProblemRows) -> str:
    """The items of a problem with their marks, as the page shows them."""
    labels = tuple(((problem.paper.id, item.id), item.question) for item in problem.paper.items)
    return "".join(f"{_mark(row, number, labels)}\n" for number, row in enumerate(problem.rows, start=1))


@lru_cache(REMEMBERED)
def _mark(row: Row, number: int, labels: tuple[tuple[tuple[str, str], str], ...]) -> str:
    shown: str = environment().get_template("_marks.html").module.mark(*row, number, labels=dict(labels))  # type: ignore[attr-defined]
    return shown


def feedback_html(
    paper: Paper, marked: Marked, student: Student | None = None, not_counted: tuple[str, ...] = ()
) -> str:
    """The page for one student; `not_counted` says of each other file of theirs why it is not the one marked.

    It shows what was asked, written and read, points and verdicts, and for what is not right reasons and questions that
    lead on; never the reference answer, never the notes meant for the instructor.
    """
    labels = {(problem.id, item.id): item.question for problem in paper.problems for item in problem.items}
    possible = marked.possible
    return page(
        "feedback.html",
        paper=paper,
        student=student if student is not None else Student(id=marked.student),
        file=marked.file,
        not_counted=not_counted,
        problems=rows_by_problem(paper, marked),
        first=look_at_first(marked),
        labels=labels,
        total=marked.total,
        possible=possible,
        shown=_shown,
        share=percent(marked.total, possible),
        open_count=sum(awaits_person(mark) for mark in marked.marks),
    )
