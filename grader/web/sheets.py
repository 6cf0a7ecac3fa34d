"""A rubric as students meet it: its fields, its figures, and how what they write is read, which knows no reference answer."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from msgspec import Struct

from grader.marking.another_kind import another_kind
from grader.marking.follow import CarriedForward
from grader.marking.interpretation import Interpretation, Unreadable
from grader.marking.itemkey import ItemKey
from grader.marking.key import Key
from grader.marking.no_value import says_none
from grader.marking.own_names import in_place_of
from grader.marking.understand import understand
from grader.place import Placed
from grader.problem import Item, Problem
from grader.quantities.catalogue import asked
from grader.quantities.records import CHOICE, CHOICES, EXPRESSION, PERSON, RESPONSE, ROOTS, TRANSFORM
from grader.reading.damping import DAMPING
from grader.reading.reader import says_nothing
from grader.reading.tree import Name, walk
from grader.reading.tree.alternatives import TIME_UNIT_ASSUMED
from grader.reading.words import APART
from grader.reports.paper import Paper, PaperProblem, paper, with_figures
from grader.rubric.variation import can_vary
from grader.run.storage.software import software
from grader.uploads.content.items import Pair
from grader.uploads.upload import Written
from grader.values.dimension import NUMBER, Dimension, called, unit_symbol
from grader.values.waveform import Waveform
from grader.web.visit import ANSWER

NO_ANSWER = "No answer was read here: this counts as left blank."
FOR_A_PERSON = "A person reads this, as you wrote it."
NEVER = "Infinity: never, or without bound."
NONE = "Understood as saying that there is no such value."


class Understood(NamedTuple):
    """One way to read an answer, as it is shown: in MathML ("" of words), with sentences that say which reading it is."""

    mathml: str
    notes: tuple[str, ...]


class Looked(Struct, frozen=True, kw_only=True):
    """How an answer is understood: readings, most plausible first, or the sentence that refuses it.

    ``warnings`` say what will cost points whatever the value is, or whose value a name stands for.
    """

    readings: tuple[Understood, ...] = ()
    refusal: str = ""
    warnings: tuple[str, ...] = ()


class Field(Placed, Struct, frozen=True, kw_only=True):
    """One item as a field of a form.

    ``hint`` says what is expected, with its unit; ``options`` are those to choose from.
    """

    problem: str
    item: str
    label: str
    hint: str
    points: float
    kind: str
    dimension: Dimension | None
    options: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Name of the form's field: ``"answer:valve.tau"``."""
        return f"{ANSWER}{self.problem}.{self.item}"

    @property
    def several(self) -> bool:
        """Whether more than one option may be chosen."""
        return self.kind == CHOICES

    @property
    def long(self) -> bool:
        """Whether it takes several lines: a sentence, or an expression for each interval."""
        return self.kind in (PERSON, RESPONSE)

    def ticked(self, value: str) -> list[str]:
        """What an answer names of several, as the boxes of a form send it."""
        return value.split(APART) if value else []

    @property
    def id(self) -> str:
        """Id of the element on the page; no two ids of problems and items run into each other."""
        return f"{self.problem}.{self.item}"


class SheetProblem(NamedTuple):
    """A problem as a page shows it; ``practice``: whether other values can be had."""

    paper: PaperProblem
    fields: tuple[Field, ...]
    practice: bool


class SheetView(Struct, frozen=True, kw_only=True):
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
            fields=tuple(_field(problem, item, key.item(problem.id, item.id)) for item in problem.items),
            practice=can_vary(problem),
        )
        for problem, one in zip(rubric.problems, papers.problems, strict=True)
    )
    return SheetView(name=name, key=key, paper=papers, problems=problems)


def _field(problem: Problem, item: Item, marked: ItemKey) -> Field:
    entry = asked(item.find)
    kind, dimension = entry.kind(problem, item), entry.dimension(problem, item)
    return Field(
        problem=problem.id,
        item=item.id,
        label=with_figures(item.text or entry.text(problem, item), item, kind),
        hint=_hint(kind, dimension, marked),
        points=item.points,
        kind=kind,
        dimension=dimension,
        options=(item.options or DAMPING) if kind in (CHOICE, CHOICES) else (),
    )


_UNIT_ASKED = {"required": ", with its unit ({})", "assumed": ", unit ({})", "ignored": ""}


def _hint(kind: str, dimension: Dimension | None, item: ItemKey) -> str:
    """What is expected, in a few words; says nothing that the question does not."""
    if kind == TRANSFORM:
        return "A quotient of polynomials in s; fractions may be added."
    if kind == CHOICES:
        return "Tick all that hold."
    if kind == CHOICE or dimension is None:
        return ""
    symbol = unit_symbol(dimension)
    unit = ", no unit" if dimension == NUMBER else _UNIT_ASKED[item.marking.units].format(symbol)
    if kind == ROOTS:
        return f"All roots, separated by semicolons, in {symbol}."
    if kind == EXPRESSION:
        return f"A function of t in seconds{unit}."
    if kind == RESPONSE:
        return f"A function of t in seconds for each interval, or with u(t){unit}."
    if dimension == NUMBER:
        needs_sign = item.marking.units == "required"
        return (
            "A plain number."
            if not item.percent
            else f"A number, {'with its unit (%)' if needs_sign else 'in per cent'}."
        )
    kind_asked = called(dimension)
    return f"{kind_asked[0].upper()}{kind_asked[1:]}{unit}."


def _understood(
    sheet: SheetView, answers: Iterable[Written]
) -> Iterator[tuple[Field, list[Interpretation] | Unreadable | None]]:
    """How marking understands each answer that is written, names standing for the student's own answers before it."""
    written = {answer.place: answer for answer in answers if answer.text}
    for problem in sheet.problems:
        carried: dict[str, CarriedForward] = {}
        for number, one in enumerate(problem.fields):
            item, answer = sheet.key.item(one.problem, one.item), written.get(one.place)
            found: list[Interpretation] | Unreadable | None = []
            if answer is not None and one.kind == PERSON:
                found = None if says_nothing(answer.as_written) else []
            elif answer is not None:
                read = understand(item, answer, carried)
                found = read if read is None or isinstance(read, Unreadable) else list(read)
            if answer is not None:
                yield one, found
            of_options = one.kind in (CHOICE, CHOICES)
            own = (
                found[0].answer
                if isinstance(found, list) and found and not of_options
                else in_place_of(item.reference.answer, number)
            )
            carried[one.item] = CarriedForward(answer=own, right=own)


def look_at(sheet: SheetView, answers: Iterable[Written]) -> dict[str, Looked]:
    """How each answer is understood, by the name of its field; blank ones are left out."""
    answers = tuple(answers)
    written = {answer.place: answer.text for answer in answers}
    looked = {}
    for one, found in _understood(sheet, answers):
        if found is None:
            looked[one.name] = Looked(warnings=(NO_ANSWER,))
        elif isinstance(found, Unreadable) and says_none(written[one.place]):
            looked[one.name] = Looked(readings=(Understood("", (NONE,)),))
        elif isinstance(found, Unreadable):
            # that it is wrong is for the marks to say
            read = (Understood(found.mathml, (NEVER,)),) if found.wrong else ()
            looked[one.name] = Looked(readings=read, refusal="" if found.wrong else found.sentence)
        elif one.kind == PERSON:
            looked[one.name] = Looked(readings=(Understood("", (FOR_A_PERSON,)),))
        else:
            shown = _that_matter(one, found)
            readings = dict.fromkeys(Understood(each.reading.mathml, each.notes) for each in shown)
            looked[one.name] = Looked(
                readings=tuple(readings),
                warnings=(*_unit_warnings(sheet, one, found), *_name_warnings(sheet, one, shown)),
            )
    return looked


def _that_matter(one: Field, found: list[Interpretation]) -> list[Interpretation]:
    """The readings that may decide what an answer earns: the first, and others of the kind asked that say something else.

    Told by what is written alone, never by the right answer, which could be tried out else.
    """
    first, *others = (each for each in found if TIME_UNIT_ASSUMED not in each.reading.slips)  # no right answer needs it
    fits = {one.dimension, None}
    return [
        first,
        *(
            each
            for each in others
            if "thousands-point" not in each.reading.slips  # a point is the decimal sign, here as in the schematics
            and (each.dimension in fits or first.dimension not in fits)
            and (each.answer != first.answer or each.dimension != first.dimension)
        ),
    ]


def _unit_warnings(sheet: SheetView, one: Field, read: list[Interpretation]) -> Iterator[str]:
    """What is wrong with the unit of an answer, where no reading has the one that is asked."""
    item, asked_for = sheet.key.item(one.problem, one.item), one.dimension
    if not read or asked_for is None or item.marking.units == "ignored":
        return
    required = item.marking.units == "required"
    fits = {asked_for, None} if asked_for == NUMBER and not (item.percent and required) else {asked_for}
    if any(one.dimension in fits for one in read):
        return
    if asked_for == NUMBER and all(one.dimension is None for one in read):
        yield "No percent sign was read; write it if the number is meant in per cent."
        return
    kind = another_kind(item, read[0].answer, read[0].dimension)
    if kind:
        yield kind
    elif (
        required and one.kind != ROOTS and not (isinstance(read[0].answer, Waveform) and not read[0].answer.terms)
    ):  # zero is zero in every unit
        yield f"No unit was read; the answer is asked with its unit ({unit_symbol(asked_for)})."


def _name_warnings(sheet: SheetView, one: Field, found: list[Interpretation]) -> Iterator[str]:
    """Which names in an answer stand for the student's own earlier answers."""
    carries = dict(sheet.key.item(one.problem, one.item).carries)
    labels = {other.place: other.label for other in sheet.fields}
    named = {node.name for each in found for node in walk(each.reading.tree) if isinstance(node, Name)}
    for name in sorted(named & set(carries)):
        label = labels.get((one.problem, carries[name]), "")
        yield f"{name} stands for your own answer to “{label}”; if that is wrong, this goes on with it."


def unread(sheet: SheetView, answers: Iterable[Written]) -> bool:
    """Whether any answer cannot be read."""
    return any(one.refusal for one in look_at(sheet, answers).values())
