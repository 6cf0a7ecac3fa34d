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

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple, TypeAlias

from flint import fmpq
from msgspec import Struct

from grader.circuit.elements import Circuit, Element, Nodes, Positions
from grader.circuit.elimination import Row
from grader.errors import CircuitError
from grader.values.scalar import ONE, ZERO, Scalar


class UnknownIndex(Struct, frozen=True, kw_only=True):
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


Islands: TypeAlias = tuple[tuple[str, ...], ...]
"""Groups of nodes whose voltages among themselves are fixed but nothing refers to ground."""


def positions(circuit: Circuit, instant: fmpq | None) -> Positions:
    """Where the switches stand from an instant on (None: before every action)."""
    found = ((element.name, element.position(instant)) for element in circuit.elements)
    return {name: position for name, position in found if position is not None}


def instants(circuit: Circuit) -> list[fmpq]:
    """All instants at which a switch or a source acts; 0 where nothing does."""
    return sorted({time for element in circuit.elements for time in element.acts()}) or [ZERO]


def instant_of(circuit: Circuit, index: int) -> fmpq | None:
    """The instant that opens an interval (None for the time before the first action)."""
    return None if index == 0 else instants(circuit)[index - 1]


def branch(circuit: Circuit, element: Element, where: Positions) -> Nodes:
    """The two nodes an element's voltage and current are counted between."""
    found = element.branches(circuit.ground, where)
    if not found:
        raise CircuitError(f"'{element.name}' is a coupling: ask for one of its inductors instead", (element.name,))
    return found[element.name]


def layout(circuit: Circuit, where: Positions) -> UnknownIndex:
    """Give every node, current and state its column."""
    names: dict[str, None] = {}
    for element in circuit.elements:
        names.update(dict.fromkeys(element.terminals()))
    names.pop(circuit.ground, None)
    branches = [name for e in circuit.elements for name in e.branches(circuit.ground, where)]
    storage = [e.name for e in circuit.elements if e.stores]
    currents = len(names)
    derivatives = currents + len(branches)
    states = derivatives + len(storage)
    return UnknownIndex(
        nodes={name: column for column, name in enumerate(names)},
        currents={name: currents + i for i, name in enumerate(branches)},
        derivatives={name: derivatives + i for i, name in enumerate(storage)},
        states={name: states + i for i, name in enumerate(storage)},
    )


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


def grouped(nodes: Iterable[str], joined: Iterable[Nodes], ground: str) -> dict[str, str]:
    """For every node the name of its group: ground's where ground is in it, else that of its first node."""
    name = {node: node for node in (*nodes, ground)}
    for a, b in joined:
        kept, dropped = name[a], name[b]
        if dropped == ground:
            kept, dropped = dropped, kept
        if kept != dropped:
            name = {node: kept if own == dropped else own for node, own in name.items()}
    return name


def joined(circuit: Circuit, where: Positions) -> dict[str, str]:
    """`grouped` by the switches that are closed."""
    wires = (branch(circuit, one, where) for one in circuit.elements if where.get(one.name, False) is not False)
    return grouped(circuit.nodes, wires, circuit.ground)


def equations(
    circuit: Circuit, columns: UnknownIndex, where: Positions, drives: Mapping[str, Row]
) -> tuple[list[Equation], Islands]:
    """All equations of the circuit with its switches as given, and what floats, each part tied to ground at one node.

    ``drives`` are sources as rows over the sources' states.
    """
    laws: list[Equation] = []
    sums: dict[str, Row] = {node: {} for node in columns.nodes}
    at = _Rows(circuit=circuit, columns=columns, where=where, drives=drives)
    for element in circuit.elements:
        for name, (first, second) in element.branches(circuit.ground, where).items():
            current = columns.currents[name]
            if first != second:
                for node, direction in ((first, ONE), (second, -ONE)):
                    if node in sums:
                        sums[node][current] = direction
        laws.extend(Equation(element.name, row) for row in element.law(at))
    stated = laws + [Equation(f"node {node}", row) for node, row in sums.items()]
    islands = _islands(circuit, columns, where, stated)
    return stated + [Equation(f"node {nodes[0]}", {columns.nodes[nodes[0]]: ONE}) for nodes in islands], islands


def _islands(circuit: Circuit, columns: UnknownIndex, where: Positions, stated: Sequence[Equation]) -> Islands:
    """The islands, by the elements that say nothing about their voltage (open switches, current sources, op amp outputs).

    A group that these do not refer to ground is one only where no law notices all its voltages shifted.
    """
    named = (nodes for element in circuit.elements for nodes in element.refers(where, circuit.ground))
    members: dict[str, list[str]] = {}
    for node, group in grouped(columns.nodes, named, circuit.ground).items():
        members.setdefault(group, []).append(node)
    members.pop(circuit.ground)
    found = []
    for nodes in members.values():
        held = [columns.nodes[node] for node in nodes]
        if all(sum((equation.row[c] for c in held if c in equation.row), start=0) == 0 for equation in stated):
            found.append(tuple(nodes))
    return tuple(found)


class _Rows(Struct, frozen=True, kw_only=True):
    """What the laws of the elements are stated in: `grader.circuit.elements.base.Surroundings`."""

    circuit: Circuit
    columns: UnknownIndex
    where: Positions
    drives: Mapping[str, Row]

    def difference(self, nodes: Nodes) -> Row:
        """The voltage from the first node to the second."""
        return difference(self.columns, nodes)

    def across(self, name: str) -> Row:
        """An element's voltage."""
        return difference(self.columns, branch(self.circuit, self.circuit.element(name), self.where))

    def through(self, name: str) -> Row:
        """An element's current."""
        return {self.columns.currents[name]: ONE}

    def rate(self, name: str) -> Row:
        """The derivative of a storage element's own quantity."""
        return {self.columns.derivatives[name]: ONE}

    def state(self, name: str) -> Row:
        """A storage element's own quantity."""
        return {self.columns.states[name]: ONE}

    def delivered(self, name: str) -> Row:
        """What an independent source delivers."""
        return self.drives[name]

    def mutual(self, name: str) -> dict[str, Scalar]:
        """The inductors that one is coupled to, and the mutual inductances."""
        return self.circuit.coupled_to(name)
