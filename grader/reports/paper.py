"""The problems as students meet them: texts, schematics, what is asked.  Made once per rubric, used by every report."""

from msgspec import Struct

from grader.problem import Item, Problem, Rubric
from grader.quantities.catalogue import asked
from grader.quantities.records import CHOICE, CHOICES, PERSON, RESPONSE, VALUE
from grader.reading.words import lettered
from grader.reports.caution import cautions
from grader.reports.schematic import describe, schematic
from grader.rubric.personal import ranges
from grader.values.dimension import NUMBER, unit_symbol

PERSONAL = (
    "The values here are personal: every student has a sheet with values of their own, and works with those. "
    "The ones shown on this sheet stand in the middle of their ranges:"
)
"""Said of a problem whose values have not been drawn for a student."""


class PaperItem(Struct, frozen=True, kw_only=True):
    """One item: its question with the answers to choose from, its points; ``unit`` is the SI symbol of the answer or "".

    ``options`` are those of which one is to be chosen.
    """

    id: str
    question: str
    points: float
    unit: str = ""
    units: str = "required"
    options: tuple[str, ...] = ()
    long: bool = False
    """Whether the answer takes several lines: a sentence, or an expression for each interval."""


class PaperProblem(Struct, frozen=True, kw_only=True):
    """One problem; ``figure`` is its schematic (SVG), ``elements`` the same in sentences."""

    id: str
    title: str
    paragraphs: tuple[str, ...]
    figure: str
    elements: tuple[str, ...]
    cautions: tuple[str, ...]
    items: tuple[PaperItem, ...]

    @property
    def caution(self) -> str:
        """The cautions as one paragraph, "" where there is none."""
        return " ".join(("Caution.", *self.cautions)) if self.cautions else ""

    @property
    def points(self) -> float:
        """Points of all items."""
        return sum(item.points for item in self.items)


class Paper(Struct, frozen=True, kw_only=True):
    """A rubric without its answers; ``student`` is the id it is made out to, "" for a blank one."""

    title: str
    course: str
    problems: tuple[PaperProblem, ...]
    student: str = ""

    @property
    def points(self) -> float:
        """Points of all problems."""
        return sum(problem.points for problem in self.problems)

    @property
    def heading(self) -> str:
        """Course and title in one line."""
        return f"{self.course} – {self.title}" if self.course else self.title


def paper(rubric: Rubric, student: str = "") -> Paper:
    """The problems of a rubric, ready to print; schematics are drawn here, once."""
    return Paper(
        title=rubric.title,
        course=rubric.course,
        problems=tuple(_problem(problem) for problem in rubric.problems),
        student=student,
    )


def questions(rubric: Rubric) -> dict[tuple[str, str], str]:
    """What each item asks, by problem id and item id."""
    return {
        (problem.id, item.id): item.text or asked(item.find).text(problem, item)
        for problem in rubric.problems
        for item in problem.items
    }


def _problem(problem: Problem) -> PaperProblem:
    paragraphs = tuple(" ".join(part.split()) for part in problem.text.split("\n\n") if part.strip())
    drawn = ranges(problem)
    if drawn:
        listed = ", ".join(f"{name} ({text})" for name, text in drawn)
        paragraphs = (*paragraphs, f"{PERSONAL} {listed}.")
    circuit = problem.circuit
    return PaperProblem(
        id=problem.id,
        title=problem.title or problem.id,
        paragraphs=paragraphs,
        figure=schematic(problem),
        elements=describe(circuit, dict(problem.values)) if circuit is not None else (),
        cautions=cautions(circuit),
        items=tuple(_item(problem, item) for item in problem.items),
    )


def with_figures(question: str, item: Item, kind: str) -> str:
    """A question for a value with the significant figures that are expected, where the rubric asks for some."""
    wanted = item.marking.significant_figures if kind == VALUE else 0
    return f"{question} (to {wanted} significant figures)" if wanted else question


def _question(problem: Problem, item: Item) -> str:
    """What is asked; a text of the rubric's own need not name the answers to choose from."""
    entry = asked(item.find)
    question = with_figures(item.text or entry.text(problem, item), item, entry.kind(problem, item))
    if all(option in question for option in item.options):
        return question
    several = entry.kind(problem, item) == CHOICES
    offered = f"name all that hold: {lettered(item.options)}" if several else f"choose: {'; '.join(item.options)}"
    return f"{question} ({offered})"


def _item(problem: Problem, item: Item) -> PaperItem:
    entry = asked(item.find)
    dimension = entry.dimension(problem, item)
    return PaperItem(
        id=item.id,
        question=_question(problem, item),
        points=item.points,
        unit="" if dimension is None or dimension == NUMBER else unit_symbol(dimension),
        units=item.marking.units,
        options=item.options if entry.kind(problem, item) == CHOICE else (),
        long=entry.kind(problem, item) in (PERSON, RESPONSE),
    )
