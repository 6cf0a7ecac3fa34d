"""The Thévenin resistance on the board: the circuit's own resistors combined, or a test source that drives 1 A."""

from __future__ import annotations

from collections.abc import Callable

from flint import fmpq

from grader.circuit.elements import Nodes, Resistor, Signal
from grader.circuit.equivalent import Combination
from grader.circuit.network import branch, instant_of, positions
from grader.circuit.series_parallel import Structure, resistance, structure_between
from grader.circuit.statics import as_current, dc, sources_off
from grader.errors import CircuitError, NotDefined
from grader.reading.tree import Parallel
from grader.solution.board import BoardLine, Prose
from grader.solution.formula import Formula, added, amount, name
from grader.solution.node_equations import node_equations
from grader.solution.words import IntervalContext, value_line
from grader.values.dimension import CURRENT, RESISTANCE, VOLTAGE
from grader.values.scalar import ONE, Scalar
from grader.values.waveform import constant

R_TH = name("R_th")


def thevenin_resistance(
    interval: IntervalContext, group: Combination, seen: Scalar
) -> tuple[tuple[Prose, ...], tuple[BoardLine, ...]]:
    """How the resistance (Ω) that storage elements see is found: sentences to add, and the lines that end in R_th.

    Parameters
    ----------
    group : Combination
        The storage elements that act as one.
    seen : Scalar
        The resistance, as the solver found it.
    """
    circuit, when = interval.circuit, instant_of(interval.circuit, interval.index)
    where = positions(circuit, when)
    values = {e.name: e.value for e in circuit.elements if isinstance(e, Resistor)}
    first, *others = group.members
    nodes: Nodes = group.nodes or branch(circuit, circuit.element(first), where)
    if group.nodes is not None or not others:
        structure = structure_between(circuit, where, nodes, group.members)
        if structure is not None and resistance(structure, values) == seen:
            sides = (
                combined(structure, name),
                combined(structure, lambda each: amount(values[each], RESISTANCE)),
            )
            return (), (value_line(R_TH, *sides, value=seen, dimension=RESISTANCE),)
    if not others:
        lines = _driven(interval, first, when)
        if lines:
            told = (
                f"A test source drives 1 A in where {first} was taken out; ",
                R_TH,
                " is its voltage over that current.",
            )
            driving = amount(ONE, CURRENT)
            quotients = (name("v_test") / driving, amount(seen, VOLTAGE) / driving)
            return (told,), (*lines, value_line(R_TH, *quotients, value=seen, dimension=RESISTANCE))
    return (), (value_line(R_TH, value=seen, dimension=RESISTANCE),)


def combined(structure: Structure, leaf: Callable[[str], Formula]) -> Formula:
    """``R3 + R1 ∥ R2``, with a formula for every resistor."""
    if isinstance(structure, str):
        return leaf(structure)
    parts = [combined(part, leaf) for part in structure.parts]
    return Formula(Parallel(tuple(part.tree for part in parts), 0)) if structure.parallel else added(parts)


def _driven(interval: IntervalContext, element: str, when: fmpq | None) -> tuple[BoardLine, ...]:
    """The node equations with 1 A driven in at an element's first node, and the voltage that it makes."""
    circuit = interval.circuit
    try:
        static = dc(circuit, when, sources_off(circuit) | {element: as_current(constant(-ONE))})
        voltage = static.value(Signal(kind="voltage", of=element))
        return (*node_equations(static), value_line(name("v_test"), value=voltage, dimension=VOLTAGE))
    except (CircuitError, NotDefined):
        return ()
