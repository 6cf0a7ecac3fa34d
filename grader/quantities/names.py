"""What a formula may name: the elements of a circuit, whose values it stands for, and earlier items."""

from collections.abc import Iterator
from typing import NamedTuple

from flint import fmpq

from grader.circuit.elements import Circuit, Passive, Source
from grader.circuit.network import instant_of
from grader.problem import Item, Problem
from grader.values.dimension import Dimension
from grader.values.waveform import Waveform, constant


class NamedValue(NamedTuple):
    """A name, what it is worth in SI base units, and its dimension where that is known."""

    name: str
    value: Waveform
    dimension: Dimension | None


def element_values(circuit: Circuit | None, index: int = 1) -> Iterator[NamedValue]:
    """Resistances, capacitances, inductances and what sources deliver on an interval, by the elements' names."""
    for element in () if circuit is None else circuit.elements:
        if isinstance(element, Passive):
            yield NamedValue(element.name, constant(element.value), element.dimension)
        elif isinstance(element, Source) and circuit is not None:
            delivered = _delivered(element, instant_of(circuit, index))
            if delivered is not None and delivered.is_constant:
                yield NamedValue(element.name, delivered, element.dimension)


def _delivered(source: Source, opened: fmpq | None) -> Waveform | None:
    """What a source delivers from an instant on; before it begins, what it will.

    None where it is over: of a pulse its name may mean the height then, or nothing.
    """
    pieces = source.drive.pieces
    begun = [one for start, one in pieces if start is None or (opened is not None and start <= opened)]
    if begun[-1].terms:
        return begun[-1]
    return None if any(one.terms for one in begun) else next((one for _, one in pieces if one.terms), begun[-1])


def items_before(problem: Problem, item: Item) -> Iterator[Item]:
    """The items listed before one (all of them while it is still being read)."""
    for one in problem.items:
        if one.id == item.id:
            return
        yield one
