"""What a formula may name: the elements of a circuit, whose values it stands for, and earlier items."""

from collections.abc import Iterator
from typing import NamedTuple

from grader.circuit.elements import Circuit, Passive, Source
from grader.problem import Item, Problem
from grader.values.dimension import Dimension
from grader.values.waveform import Waveform, constant


class NamedValue(NamedTuple):
    """A name, what it is worth in SI base units, and its dimension where that is known."""

    name: str
    value: Waveform
    dimension: Dimension | None


def element_values(circuit: Circuit | None) -> Iterator[NamedValue]:
    """Resistances, capacitances, inductances and what dc sources and steps deliver, by the elements' names."""
    for element in () if circuit is None else circuit.elements:
        if isinstance(element, Passive):
            yield NamedValue(element.name, constant(element.value), element.dimension)
        elif isinstance(element, Source) and element.drive.pieces[-1][1].is_constant:
            yield NamedValue(
                element.name, element.drive.pieces[-1][1], element.dimension
            )  # of a step: what it steps to


def items_before(problem: Problem, item: Item) -> Iterator[Item]:
    """The items listed before one (all of them while it is still being read)."""
    for one in problem.items:
        if one.id == item.id:
            return
        yield one
