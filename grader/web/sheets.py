"""A rubric as students meet it: its fields, its figures, and how what they write is read, which knows no reference answer."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from grader.marking.another_kind import another_kind
from grader.marking.interpretation import Unreadable
from grader.marking.key import Key
from grader.marking.understand import understand
from grader.place import Placed
from grader.problem import Item, Problem
from grader.quantities.catalogue import asked
from grader.quantities.records import CHOICE, CHOICES, EXPRESSION, PERSON, RESPONSE, ROOTS, TRANSFORM, read_as
from grader.reading.reader import read
from grader.reading.record import Reading
from grader.reading.refusals import Refusal
from grader.reading.tree import Name, walk
from grader.reading.tree.alternatives import TIME_UNIT_ASSUMED
from grader.reading.words import DAMPING
from grader.reports.paper import Paper, PaperProblem, paper
from grader.rubric.variation import can_vary
from grader.run.storage.software import software
from grader.uploads.content.items import Pair
from grader.uploads.upload import Written
from grader.values.dimension import NUMBER, Dimension, called, unit_symbol
from grader.values.waveform import Waveform

NO_ANSWER = "No answer was read here: this counts as left blank."


class Understood(NamedTuple):
    """One way to read an answer, as it is shown: in MathML, with sentences that say which reading it is."""

    mathml: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """How an answer is understood: readings, most plausible first, or the sentence that refuses it.

    ``warnings`` say what will cost points whatever the value is, or whose value a name stands for.
    """

    readings: tuple[Understood, ...] = ()
    refusal: str = ""
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Field(Placed):
    """One item as a field of a form.

    ``hint`` says what is expected, with its unit; ``options`` are those of a choice; ``names`` what may be used.
    """

    problem: str
    item: str
    label: str
    hint: str
    points: float
    kind: str
    dimension: Dimension | None
    options: tuple[str, ...] = ()
    names: Mapping[str, Dimension | None] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """Name of the form's field: ``"answer:valve.tau"``."""
        return f"answer:{self.problem}.{self.item}"

    @property
    def id(self) -> str:
        """Id of the element on the page; no two ids of problems and items run into each other."""
        return f"{self.problem}.{self.item}"


class SheetProblem(NamedTuple):
    """A problem as a page shows it; ``practice``: whether other values can be had."""

    paper: PaperProblem
    fields: tuple[Field, ...]
    practice: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetView:
    """A rubric ready to be answered; ``name`` is unique on the server and stands in addresses."""

    name: str
    key: Key
    paper: Paper
    problems: tuple[SheetProblem, ...]

    @property
    def title(self) -> str:
        """The rubric's title."""
        return self.paper.title

    @property
    def fields(self) -> tuple[Field, ...]:
        """Every field, in order."""
        return tuple(one for problem in self.problems for one in problem.fields)

    @property
    def points(self) -> dict[Pair, float]:
        """Every item with its points, in order."""
        return {one.place: one.points for one in self.fields}

    @property
    def digest(self) -> str:
        """What the marks of an attempt depend on, besides its answers: the rubric and the program."""
        return f"{self.key.rubric.digest[:32]} {software()}"


def build_sheet(key: Key, name: str) -> SheetView:
    """Lay out the fields and draw the schematics."""
    rubric = key.rubric
    papers = paper(rubric)
    problems = tuple(
        SheetProblem(
            paper=one,
            fields=tuple(_field(key, problem, item) for item in problem.items),
            practice=can_vary(problem),
        )
        for problem, one in zip(rubric.problems, papers.problems, strict=True)
    )
    return SheetView(name=name, key=key, paper=papers, problems=problems)


def _field(key: Key, problem: Problem, item: Item) -> Field:
    entry = asked(item.find)
    kind, dimension = entry.kind(problem, item), entry.dimension(problem, item)
    return Field(
        problem=problem.id,
        item=item.id,
        label=item.text or entry.text(problem, item),
        hint=_hint(kind, dimension, item),
        points=item.points,
        kind=kind,
        dimension=dimension,
        options=(item.options or DAMPING) if kind == CHOICE else (),
        names=key.item(problem.id, item.id).names,
    )


def _hint(kind: str, dimension: Dimension | None, item: Item) -> str:
    """What is expected, in a few words; says nothing that the question does not."""
    if kind == TRANSFORM:
        return "A quotient of polynomials in s; fractions may be added."
    if kind == CHOICE or dimension is None:
        return ""
    symbol = unit_symbol(dimension)
    unit = (
        "no unit"
        if dimension == NUMBER
        else f"{'with its unit' if item.marking.units == 'required' else 'unit'} ({symbol})"
    )
    if kind == ROOTS:
        return f"All roots, separated by semicolons, in {symbol}."
    if kind == EXPRESSION:
        return f"A function of t in seconds, {unit}."
    if kind == RESPONSE:
        return f"A function of t in seconds for each interval, or with u(t), {unit}."
    if dimension == NUMBER:
        return "A number, in per cent." if asked(item.find).in_percent else "A plain number."
    kind_asked = called(dimension)
    return f"{kind_asked[0].upper()}{kind_asked[1:]}, {unit}."


def _read(one: Field, text: str) -> tuple[Reading, ...] | Refusal:
    """The readings of an answer; none where there is nothing to read."""
    if one.kind in (CHOICE, CHOICES, PERSON) or not text:
        return ()
    found = read(text, expects=read_as(one.kind), dimension=one.dimension, names=one.names)
    if isinstance(found, Refusal):
        return found
    return tuple(
        reading for reading in found if TIME_UNIT_ASSUMED not in reading.slips
    )  # never needed by a right answer


def _answered(sheet: SheetView, answers: Iterable[Written]) -> Iterator[tuple[Field, str]]:
    fields = {one.place: one for one in sheet.fields}
    for answer in answers:
        one = fields.get(answer.place)
        if one is not None and answer.text:
            yield one, answer.as_written


def look_at(sheet: SheetView, answers: Iterable[Written]) -> dict[str, Looked]:
    """How each answer is understood, by the name of its field; blank ones are left out."""
    looked = {}
    for one, text in _answered(sheet, answers):
        found = _read(one, text)
        if isinstance(found, Refusal):
            looked[one.name] = Looked(warnings=(NO_ANSWER,)) if found.is_blank else Looked(refusal=found.sentence)
            continue
        looked[one.name] = Looked(
            readings=tuple(Understood(reading.mathml, reading.notes) for reading in found),
            warnings=(*_unit_warnings(sheet, one, text), *_name_warnings(sheet, one, found)),
        )
    return looked


def _unit_warnings(sheet: SheetView, one: Field, text: str) -> Iterator[str]:
    """What is wrong with the unit of an answer, where no reading has the one that is asked."""
    item, asked_for = sheet.key.item(one.problem, one.item), one.dimension
    if asked_for is None or item.marking.units == "ignored":
        return
    found = understand(item, Written(problem=one.problem, item=one.item, text=text), {})
    if found is None or isinstance(found, Unreadable):
        return
    read = list(found)
    fits = {asked_for, None} if asked_for == NUMBER else {asked_for}
    if any(one.dimension in fits for one in read):
        return
    kind = another_kind(item, read[0].answer, read[0].dimension)
    if kind:
        yield kind
    elif (
        item.marking.units == "required"
        and one.kind != ROOTS
        and not (isinstance(read[0].answer, Waveform) and not read[0].answer.terms)
    ):  # zero is zero in every unit
        yield f"No unit was read; the answer is asked with its unit ({unit_symbol(asked_for)})."


def _name_warnings(sheet: SheetView, one: Field, found: Iterable[Reading]) -> Iterator[str]:
    """Which names in an answer stand for the student's own earlier answers."""
    carries = dict(sheet.key.item(one.problem, one.item).carries)
    labels = {other.place: other.label for other in sheet.fields}
    named = {node.name for reading in found for node in walk(reading.tree) if isinstance(node, Name)}
    for name in sorted(named & set(carries)):
        label = labels.get((one.problem, carries[name]), "")
        yield f"{name} stands for your own answer to “{label}”; if that is wrong, this goes on with it."


def unread(sheet: SheetView, answers: Iterable[Written]) -> bool:
    """Whether any answer cannot be read."""
    readings = (_read(one, text) for one, text in _answered(sheet, answers))
    return any(isinstance(found, Refusal) and not found.is_blank for found in readings)
