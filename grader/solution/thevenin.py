"""The Thévenin resistance on the board: the circuit's own resistors combined, or a test source that drives 1 A."""

from __future__ import annotations

from collections.abc import Mapping

from flint import fmpq

from grader.circuit.elements import Nodes, Resistor, Signal
from grader.circuit.equivalent import Combination
from grader.circuit.network import branch, instant_of, positions
from grader.circuit.series_parallel import Compound, Structure, combination_text, resistance, structure_between
from grader.circuit.statics import as_current, dc, sources_off
from grader.errors import CircuitError, NotDefined
from grader.solution.formatting import BoardLine, bracketed, node_equations, tight, written
from grader.solution.words import IntervalContext, value_line
from grader.values.dimension import RESISTANCE, VOLTAGE
from grader.values.scalar import ONE, Scalar
from grader.values.waveform import constant


def thevenin_resistance(
    interval: IntervalContext, group: Combination, seen: Scalar
) -> tuple[tuple[str, ...], tuple[BoardLine, ...]]:
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
            return (), (value_line("R_th", combined_text(structure, values), seen, RESISTANCE),)
    if not others:
        lines = _driven(interval, first, when)
        if lines:
            told = f"A test source drives 1 A in where {first} was taken out; R_th is its voltage over that current."
            quotient = f"v_test/(1 A) = {bracketed(written(seen, VOLTAGE))}/(1 A)"
            return (told,), (*lines, value_line("R_th", quotient, seen, RESISTANCE))
    return (), (value_line("R_th", "", seen, RESISTANCE),)


def combined_text(structure: Structure, values: Mapping[str, Scalar]) -> str:
    """``R3 + R1 ∥ R2 = 2 Ω + 3 Ω ∥ 6 Ω``; one resistor, or letters that are the names, need no second half."""
    names = combination_text(structure)
    numbers = combination_text(_measured(structure, values))
    return names if isinstance(structure, str) or names == numbers else f"{names} = {numbers}"


def _measured(structure: Structure, values: Mapping[str, Scalar]) -> Structure:
    """The structure with values in the place of names."""
    if isinstance(structure, str):
        return tight(written(values[structure], RESISTANCE))
    return Compound(structure.parallel, tuple(_measured(part, values) for part in structure.parts))


def _driven(interval: IntervalContext, name: str, when: fmpq | None) -> tuple[BoardLine, ...]:
    """The node equations with 1 A driven in at an element's first node, and the voltage that it makes."""
    circuit = interval.circuit
    try:
        static = dc(circuit, when, sources_off(circuit) | {name: as_current(constant(-ONE))})
        voltage = static.value(Signal(kind="voltage", of=name))
        return (*node_equations(static), BoardLine(left="v_test", value=voltage, dimension=VOLTAGE))
    except (CircuitError, NotDefined):
        return ()
