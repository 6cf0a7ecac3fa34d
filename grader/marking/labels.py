"""What a label names in a circuit: the values of the quantities that may be called so."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from typing import NamedTuple

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import Signal
from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined
from grader.marking.itemkey import ItemKey
from grader.marking.key import Key
from grader.problem import Item
from grader.quantities import Answer, asked
from grader.quantities.catalogue import question_of
from grader.quantities.finding import Find
from grader.quantities.names import element_values
from grader.quantities.question import Question
from grader.quantities.records import EQUATION, TRANSFORM
from grader.reading.tokens.units import look_up
from grader.reading.tokens.vocabulary import normalized_name
from grader.regex import regex
from grader.rubric.names import called
from grader.values.dimension import ENERGY
from grader.values.scalar import rational

_AT = regex(r"(?P<stem>.+)\((?P<number>[0-9]*\.?[0-9]+)(?P<unit>[mun]?s)(?P<sign>[-+]?)\)")
"""``i(20ms)``: a signal at an instant of the student's own."""
_SYMBOLS = (Find.TAU, Find.ALPHA, Find.OMEGA0, Find.OMEGA_D, Find.ZETA, "quality factor")
"""What has a symbol of its own, the same in every circuit."""


class _Labels(NamedTuple):
    """What an item's answer may be taken for: a question to work it out with, and items by what a student calls them."""

    question: Question
    items: Mapping[str, Sequence[Item]]


def values_named(key: Key, item: ItemKey, label: str) -> Iterator[Answer]:
    """What a label may stand for in the item's circuit; nothing where it names no quantity of it for certain."""
    labels = _labels(key, item)
    if labels is None:
        return
    name = normalized_name(label).removesuffix("(t)").removesuffix("(s)")
    name = f"v{name[1:]}" if name.startswith("u") and name not in labels.items else name
    circuit = labels.question.circuit
    for element in element_values(circuit, labels.question.index_asked):
        if normalized_name(element.name) == name and element.dimension == item.reference.dimension:
            yield element.value
    found = labels.items.get(name, ())
    at = _AT.fullmatch(name)
    if at is not None:
        instant = rational(at["number"]) * look_up(at["unit"])[0].scale
        elsewhere = {instant, *(instant + clock for clock in item.reference.clocks)}  # on a clock of the student's own
        found = [
            replace(one, find=Find.JUST_BEFORE, after=time)
            if at["sign"] == "-"
            else replace(one, find=Find.AT, at=time, after=None)
            for one in labels.items.get(at["stem"], ())
            for time in elsewhere
        ]
    for one in found:
        with suppress(NotDefined, CircuitError):
            yield labels.question.answer_to(one)


def values_of(key: Key, item: ItemKey, find: str) -> Iterator[Answer]:
    """What is asked at another instant or as another quantity, a find; nothing where it has no value."""
    labels = _labels(key, item)
    if labels is not None:
        with suppress(NotDefined, CircuitError):
            yield labels.question.answer_to(replace(labels.question.item, find=find))


def values_at(key: Key, item: ItemKey, instant: fmpq) -> Iterator[Answer]:
    """The quantity asked at another instant, seconds, on the problem's clock and on one of the student's own."""
    labels = _labels(key, item)
    if labels is None or (find := _AT_INSTANT.get(labels.question.item.find)) is None:
        return
    for time in {instant, *(instant + clock for clock in item.reference.clocks)}:
        with suppress(NotDefined, CircuitError):
            yield labels.question.answer_to(replace(labels.question.item, find=find, at=time, after=None))


_AT_INSTANT = {
    **dict.fromkeys((Find.JUST_BEFORE, Find.INITIAL, Find.FINAL, Find.AT, Find.EXPRESSION), Find.AT),
    Find.SLOPE: "slope at",
    "slope at": "slope at",
    Find.STORED: Find.STORED,
}
"""How a quantity is asked for at an instant of the rubric's."""


def asked_item(key: Key, item: ItemKey) -> Item:
    """The item as the rubric has it."""
    problem = next(one for one in key.rubric.problems if one.id == item.problem)
    return problem.item(item.id)


def _labels(key: Key, item: ItemKey) -> _Labels | None:
    """Those of an item, worked out when the first label is met that is not its own."""
    place = "labels", item.problem, item.id
    if place not in key.remembered:
        key.remembered[place] = _worked_out(key, item)
    found: _Labels | None = key.remembered[place]
    return found


def _worked_out(key: Key, item: ItemKey) -> _Labels | None:
    problem = next(one for one in key.rubric.problems if one.id == item.problem)
    if problem.circuit is None:
        return None
    question = question_of(problem, problem.item(item.id), solve(problem.circuit))
    items: defaultdict[str, list[Item]] = defaultdict(list)
    for other, name in _others(question):
        items[normalized_name(name)].append(other)
    return _Labels(question, items)


def _others(question: Question) -> Iterator[tuple[Item, str]]:
    """Items that ask for something else, each with what it is called; a letter alone says no more than its kind."""
    item, signal = question.item, question.item.signal
    entry = asked(item.find)
    dimension = entry.dimension(question.problem, item)
    for find in _SYMBOLS:
        for name in asked(find).called:
            if (len(name) > 1 and dimension != ENERGY) or asked(find).measures == dimension:  # W_0, Q
                yield replace(item, find=find, signal=None), name
    if signal is None or (dimension != signal.dimension and item.find != TRANSFORM and entry.answers != EQUATION):
        return
    elements = [element.name for element in question.circuit.elements]
    others = (Signal(kind=kind, of=name) for kind in ("current", "voltage") for name in elements)
    for one in (signal, *others):
        for other, name in _of_signal(question, replace(item, signal=one), one):
            if one == signal or one.kind != signal.kind or not _LETTER.match(name):
                yield other, name


def _of_signal(question: Question, item: Item, signal: Signal) -> Iterator[tuple[Item, str]]:
    """A signal as an item asks for it and at other instants, each with what it is called; ``R3: 2 V`` names it, too."""
    for name in called(replace(question, item=item), signal.dimension):
        yield item, name
    if isinstance(signal.of, str) and question.item.signal is not None and signal.kind == question.item.signal.kind:
        yield item, signal.of
    for find in (Find.JUST_BEFORE, Find.INITIAL, Find.FINAL):
        other = replace(item, find=find)
        for name in asked(find).names(other):
            yield other, name


_LETTER = regex(r"[^\W\d_](?:_0|\(.*\))?$")
