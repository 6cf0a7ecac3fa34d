"""Settings of items that are formulas of the elements' names: worked out with the values that the circuit has."""

from collections.abc import Iterator, Sequence
from typing import Any

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import Circuit
from grader.circuit.network import instants
from grader.errors import RubricError
from grader.problem import Goal, Item, Problem
from grader.quantities import asked
from grader.quantities.design import UNKNOWN
from grader.quantities.names import NamedValue, element_values
from grader.quantities.quantities import quantity
from grader.values.dimension import TIME, Dimension
from grader.values.scalar import to_float
from grader.values.symbolic import Symbolic
from grader.values.text import value_text
from grader.values.waveform import Waveform, constant, number_of

INSTANTS = {"at": "at", "from": "start", "until": "until"}
"""Keys of a rubric that say when, and the item's fields."""


def known_names(problem: Problem, after: fmpq | None) -> tuple[NamedValue, ...]:
    """What a formula may name: the elements' values on the interval that an instant opens, but for those to be designed; symbols."""
    unknown = {name for name, text in problem.values if text == UNKNOWN}
    elements = element_values(problem.circuit, _interval(problem.circuit, after))
    symbols = (NamedValue(one, constant(Symbolic.symbol(one, problem.symbols)), None) for one in problem.symbols)
    return (*(one for one in elements if one.name not in unknown), *symbols)


def _interval(circuit: Circuit | None, after: fmpq | None) -> int:
    """The interval that an instant opens; the first one where nothing happens then, which is told elsewhere."""
    opening = [] if circuit is None else instants(circuit)
    return opening.index(after) + 1 if after in opening else 1


def worked_out(text: str, dimension: Dimension, names: Sequence[NamedValue]) -> Waveform:
    """What a formula of names gives; `ValueError` as of `quantity`."""
    values = {one.name: one.value for one in names}
    measures = {one.name: one.dimension for one in names}
    return quantity(text, dimension, values, measures=measures).waveform


def is_formula(text: str, dimension: Dimension) -> bool:
    """Whether a setting that can be worked out says nothing without its names.

    Examples
    --------
    >>> is_formula("2*R1*C1", TIME), is_formula("2 ms", TIME)
    (True, False)
    """
    try:
        quantity(text, dimension)
    except ValueError:
        return True
    return False


def with_formulas(problem: Problem, before: Problem) -> Problem:
    """A problem whose formulas hold for the values of its own circuit, and no longer for those that it had ``before``.

    Raises
    ------
    RubricError
        If a formula has no value with these.
    """
    return replace(problem, items=tuple(_item(item, problem, before) for item in problem.items))


def _item(item: Item, problem: Problem, before: Problem) -> Item:
    """An item with other values for its formulas; a text made of these is made anew, one of the instructor's own stays."""
    goal = None if item.goal is None else _goal(item.goal, problem, before)
    if not item.formulas and goal == item.goal:
        return item
    made = item.text == asked(item.find).text(before, item)
    found = replace(item, goal=goal, **dict(_worked_out(item, problem)))
    return replace(found, text=asked(item.find).text(problem, found)) if made else found


def _goal(goal: Goal, problem: Problem, before: Problem) -> Goal:
    item = _item(goal.item, problem, before)
    dimension = asked(item.find).dimension(problem, item)
    if not goal.formula or dimension is None:
        return replace(goal, item=item)
    target = number_of(_value(problem, item, goal.relation, goal.formula, dimension))
    return replace(goal, item=item, target=target, text=value_text(to_float(target), dimension))


def _worked_out(item: Item, problem: Problem) -> Iterator[tuple[str, Any]]:
    """Field by field; an instant or a level that these values do not make exact, to many digits."""
    for key, text in item.formulas:
        dimension = TIME if item.signal is None or key in INSTANTS else item.signal.dimension
        found = _value(problem, item, key, text, dimension)
        exact = key not in INSTANTS and found.is_number and found.exact
        yield INSTANTS.get(key, key), found.number if exact else number_of(found)


def _value(problem: Problem, item: Item, key: str, text: str, dimension: Dimension) -> Waveform:
    try:
        return worked_out(text, dimension, known_names(problem, item.after))
    except ValueError as error:
        raise RubricError((f"problem '{problem.id}', item '{item.id}': '{key}': {error}.",)) from None
