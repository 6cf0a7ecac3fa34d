"""The equations of a circuit in one interval between actions, exact and as its elements state them.

Unknowns are all node voltages (ground is zero), all element currents and the derivatives of the states;
data are the states (capacitor voltages, inductor currents) and the states of the sources.  Every element
contributes its law and every node but ground its current law (the sparse tableau form of nodal analysis),
so that any voltage or current is read off directly.

References
----------
G. D. Hachtel, R. K. Brayton, F. G. Gustavson, The sparse tableau approach to network analysis and design,
IEEE Trans. Circuit Theory CT-18 (1971) 101 (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from flint import fmpq

from grader.circuit.elements import (
    Capacitor,
    ChangeoverSwitch,
    Circuit,
    CoupledInductors,
    CurrentSource,
    DependentSource,
    Element,
    IdealOpAmp,
    Inductor,
    Nodes,
    Resistor,
    Switch,
    VoltageSource,
)
from grader.circuit.elimination import Row
from grader.errors import CircuitError
from grader.values.scalar import ONE, ZERO

Positions = Mapping[str, bool | str]
"""Where each switch stands: closed or not, or the throw of a changeover switch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnknownIndex:
    """Which column holds what; the columns of the sources' states follow the last state."""

    nodes: dict[str, int]
    currents: dict[str, int]
    derivatives: dict[str, int]
    states: dict[str, int]

    @property
    def unknowns(self) -> range:
        """Columns of the unknowns."""
        return range(len(self.nodes) + len(self.currents) + len(self.derivatives))

    @property
    def state_columns(self) -> range:
        """Columns of the states."""
        first = len(self.unknowns)
        return range(first, first + len(self.states))

    @property
    def first_source_column(self) -> int:
        """Column of the sources' first state."""
        return self.state_columns.stop


class Equation(NamedTuple):
    """A row and what it states: an element's law (its name) or a node's current law (``node x``)."""

    states: str
    row: Row


def positions(circuit: Circuit, instant: fmpq | None) -> Positions:
    """Where the switches stand from an instant on (None: before every action)."""
    found: dict[str, bool | str] = {}
    for element in circuit.elements:
        if isinstance(element, Switch):
            found[element.name] = element.closed_before
        elif isinstance(element, ChangeoverSwitch):
            found[element.name] = element.throw_before
        else:
            continue
        if instant is not None:
            for time, state in element.actions:
                if time <= instant:
                    found[element.name] = state
    return found


def instants(circuit: Circuit) -> list[fmpq]:
    """All instants at which a switch or a source acts; 0 where nothing does."""
    found: set[fmpq] = set()
    for element in circuit.elements:
        if isinstance(element, (Switch, ChangeoverSwitch)):
            found.update(time for time, _ in element.actions)
        elif isinstance(element, (VoltageSource, CurrentSource)):
            found.update(start for start, _ in element.drive.pieces if start is not None)
    return sorted(found) or [ZERO]


def instant_of(circuit: Circuit, index: int) -> fmpq | None:
    """The instant that opens an interval (None for the time before the first action)."""
    return None if index == 0 else instants(circuit)[index - 1]


def branch(circuit: Circuit, element: Element, where: Positions) -> Nodes:
    """The two nodes an element's voltage and current are counted between."""
    if isinstance(element, ChangeoverSwitch):
        return element.common, str(where[element.name])
    if isinstance(element, IdealOpAmp):
        return element.output, circuit.ground
    if isinstance(element, CoupledInductors):
        raise CircuitError(f"'{element.name}' is a coupling: ask for one of its inductors instead", (element.name,))
    return element.between


def layout(circuit: Circuit) -> UnknownIndex:
    """Give every node, current and state its column."""
    names: dict[str, None] = {}
    for element in circuit.elements:
        for node in _terminals(element):
            names.setdefault(node)
    names.pop(circuit.ground, None)
    branches = [e.name for e in circuit.elements if not isinstance(e, CoupledInductors)]
    storage = [e.name for e in circuit.elements if isinstance(e, (Capacitor, Inductor))]
    currents = len(names)
    derivatives = currents + len(branches)
    states = derivatives + len(storage)
    return UnknownIndex(
        nodes={name: column for column, name in enumerate(names)},
        currents={name: currents + i for i, name in enumerate(branches)},
        derivatives={name: derivatives + i for i, name in enumerate(storage)},
        states={name: states + i for i, name in enumerate(storage)},
    )


def _terminals(element: Element) -> tuple[str, ...]:
    if isinstance(element, CoupledInductors):
        return ()
    if isinstance(element, ChangeoverSwitch):
        return (element.common, element.throw_before, *(throw for _, throw in element.actions))
    if isinstance(element, IdealOpAmp):
        return (element.non_inverting, element.inverting, element.output)
    return element.between


def difference(columns: UnknownIndex, nodes: Nodes) -> Row:
    """The voltage from the first node to the second, as a row."""
    row: Row = {}
    first, second = (columns.nodes.get(node) for node in nodes)
    if first == second:
        return row
    if first is not None:
        row[first] = ONE
    if second is not None:
        row[second] = -ONE
    return row


def equations(circuit: Circuit, columns: UnknownIndex, where: Positions, drives: Mapping[str, Row]) -> list[Equation]:
    """All equations of the circuit with its switches as given.

    Parameters
    ----------
    drives : mapping
        For every independent source, what it delivers as a row over the columns of the sources' states.
    """
    laws: list[Equation] = []
    sums: dict[str, Row] = {node: {} for node in columns.nodes}
    for element in circuit.elements:
        if isinstance(element, CoupledInductors):
            continue
        first, second = branch(circuit, element, where)
        current = columns.currents[element.name]
        if first != second:
            for node, direction in ((first, ONE), (second, -ONE)):
                if node in sums:
                    sums[node][current] = direction
        laws.extend(Equation(element.name, row) for row in _law(circuit, columns, where, drives, element))
    return laws + [Equation(f"node {node}", row) for node, row in sums.items()]


def _law(
    circuit: Circuit, columns: UnknownIndex, where: Positions, drives: Mapping[str, Row], element: Element
) -> tuple[Row, ...]:
    """What an element demands of its voltage and current."""
    name = element.name
    voltage = difference(columns, branch(circuit, element, where))
    current = columns.currents[name]
    match element:
        case Resistor(value=value):
            return (_without_zeros(voltage | {current: -value}),)
        case Capacitor(value=value):
            charging = _without_zeros({columns.derivatives[name]: value, current: -ONE})
            return voltage | {columns.states[name]: -ONE}, charging
        case Inductor():
            return {current: ONE, columns.states[name]: -ONE}, _flux_law(circuit, columns, element, voltage)
        case VoltageSource():
            return (voltage | _negative(drives[name]),)
        case CurrentSource():
            return ({current: ONE} | _negative(drives[name]),)
        case DependentSource():
            control = _control(circuit, columns, where, element)
            delivered = voltage if element.delivers == "voltage" else {current: ONE}
            return (_minus(delivered, control, element.gain),)
        case IdealOpAmp():
            return (difference(columns, (element.non_inverting, element.inverting)),)
        case Switch():
            return (voltage if where[name] else {current: ONE},)
        case _:
            return (voltage,)


def _flux_law(circuit: Circuit, columns: UnknownIndex, inductor: Inductor, voltage: Row) -> Row:
    law = _negative(voltage) | {columns.derivatives[inductor.name]: inductor.value}
    for coupling in circuit.elements:
        if isinstance(coupling, CoupledInductors) and inductor.name in coupling.inductors:
            first, second = coupling.inductors
            law[columns.derivatives[second if inductor.name == first else first]] = coupling.mutual
    return _without_zeros(law)


def _control(circuit: Circuit, columns: UnknownIndex, where: Positions, source: DependentSource) -> Row:
    if not isinstance(source.control, str):
        return difference(columns, source.control)
    if source.controlled_by == "current":
        return {columns.currents[source.control]: ONE}
    return difference(columns, branch(circuit, circuit.element(source.control), where))


def _negative(row: Row) -> Row:
    return {column: -value for column, value in row.items()}


def _without_zeros(row: Row) -> Row:
    return {column: value for column, value in row.items() if value != 0}


def _minus(left: Row, right: Row, factor: fmpq) -> Row:
    row = dict(left)
    for column, value in right.items():
        row[column] = row[column] - value * factor if column in row else -value * factor
    return _without_zeros(row)
