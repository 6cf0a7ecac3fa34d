"""An item asked of the part of the circuit that it lives in: a storage element that does not act on it changes nothing."""

from collections.abc import Iterator

from msgspec.structs import replace

from grader.circuit.elements import Circuit, Storage
from grader.circuit.parts import Parts, Wanted
from grader.circuit.response import Solved, solve
from grader.errors import CircuitError, NotDefined
from grader.problem import Item
from grader.quantities.catalogue import asked
from grader.quantities.question import Question


def in_own_part(question: Question) -> Question:
    """The same question without the parts of the circuit that have a response of their own, and without the items about these.

    It stays as it is where the item names nothing of the circuit, or where instants would be lost that an item speaks of.
    """
    problem, item = question.problem, question.item
    wanted = tuple(_wanted(item))
    if question.response is None or not wanted or any(one.goal is not None for one in problem.items):
        return question
    parts: Parts = question.once("parts", lambda: Parts.of(question.circuit))
    foreign = parts.foreign_to(wanted)
    if not foreign:
        return question
    own: tuple[Circuit, Solved] | None = question.once(("part", foreign), lambda: _solved(parts.without(foreign)))
    if own is None:
        return question
    circuit, solved = own
    items = tuple(one for one in problem.items if _lives_in(parts, one, foreign))
    known = question.once(("known", foreign), dict)
    cut = replace(question, problem=replace(problem, circuit=circuit, items=items), response=solved, known=known)
    return cut if _same_instants(question, cut) else question


def _wanted(item: Item) -> Iterator[Wanted]:
    """The elements and voltages that an item names."""
    if item.signal is not None:
        yield item.signal.of
    yield from item.of
    yield from (name.strip() for name in dict(item.settings).get("out_of", "").replace(",", " ").split())
    if item.by is not None:
        yield item.by
    if item.between is not None:
        yield item.between


def _lives_in(parts: Parts, item: Item, foreign: frozenset[int]) -> bool:
    """Whether no foreign part acts on what an item asks; what names nothing of the circuit is everybody's."""
    return not parts.behind(_wanted(item)) & foreign


def _solved(circuit: Circuit) -> tuple[Circuit, Solved] | None:
    try:
        return circuit, solve(circuit)
    except (CircuitError, NotDefined):
        return None


def _same_instants(whole: Question, cut: Question) -> bool:
    """Whether the items mean the same intervals in both, and initial values count from the same instant."""
    given = any(isinstance(one, Storage) and one.initial is not None for one in cut.circuit.elements)
    if given and whole.solved.intervals[1].start != cut.solved.intervals[1].start:
        return False
    try:
        return all(
            whole.solved.intervals[whole.index_of(one)].start == cut.solved.intervals[cut.index_of(one)].start
            for one in cut.problem.items
            if one.at is None and asked(one.find).circuit
        )
    except NotDefined:
        return False
