"""Several inductors, or several capacitors, as one: series, parallel and coupled combinations.

The equivalent inductance at two nodes is found as a resistance: to the rate of its current an inductor is what a resistor
of L ohms is to the current.  Capacitances alike, as resistors of 1/C ohms.
"""

from collections.abc import Collection, Iterator, Sequence
from itertools import pairwise

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elements import (
    Capacitor,
    Circuit,
    CoupledInductors,
    CurrentSource,
    DependentSource,
    Element,
    IdealOpAmp,
    IdealTransformer,
    Inductor,
    Nodes,
    Positions,
    Resistor,
    Storage,
)
from grader.circuit.network import branch, instant_of, joined, positions
from grader.circuit.ports import resistance_between
from grader.circuit.reduction import Reduced
from grader.circuit.response import reduced_at
from grader.circuit.statics import OPEN, SHORT
from grader.errors import CircuitError, NotDefined
from grader.values.scalar import ONE, ZERO, Scalar


class Combination(Struct, frozen=True, kw_only=True):
    """Storage elements of one kind that act as one.

    ``value`` is in henries or farads.  ``nodes`` are the terminals of the combination; None where its members are in
    series with other elements between them.
    """

    kind: type[Storage]
    members: tuple[str, ...]
    value: Scalar
    nodes: Nodes | None


def equivalent_inductance(
    circuit: Circuit, at: Nodes | str | None = None, of: Collection[str] = (), index: int = 1
) -> Scalar:
    """The inductance (H) of the inductors seen at a node pair or at an element's terminals.

    Parameters
    ----------
    at : node pair, element name or None
        Where to look; an element named is taken out, unless it is an inductor.  None: at the terminals of the
        combination itself.
    of : collection of str
        The inductors meant; empty: all.
    index : int
        The interval whose switch positions count, as in `Solved.intervals`.

    Raises
    ------
    CircuitError
        If the inductors do not form one combination.
    NotDefined
        If none is seen there.
    """
    return _equivalent(circuit, Inductor, at, of, instant_of(circuit, index))


def equivalent_capacitance(
    circuit: Circuit, at: Nodes | str | None = None, of: Collection[str] = (), index: int = 1
) -> Scalar:
    """The capacitance (F) of the capacitors seen, as `equivalent_inductance`."""
    return _equivalent(circuit, Capacitor, at, of, instant_of(circuit, index))


def _equivalent(
    circuit: Circuit,
    kind: type[Storage],
    at: Nodes | str | None,
    of: Collection[str],
    when: fmpq | None,
) -> Scalar:
    members = tuple(e.name for e in circuit.elements if isinstance(e, kind) and (not of or e.name in of))
    word = "inductor" if kind is Inductor else "capacitor"
    if not members:
        raise NotDefined(f"the circuit has no {word} to combine")
    if at is None:
        return combination(circuit, members, when).value
    nodes = branch(circuit, circuit.element(at), positions(circuit, when)) if isinstance(at, str) else at
    # Resistors first count for nothing (open); where the combination is then out of reach, as wires: the one suits a
    # resistor beside the combination, the other a resistor in line with it.
    for wires in (False, True):
        found = _between(circuit, when, members, nodes, wires=wires, without=at if isinstance(at, str) else "")
        if found is not None:
            return found
    raise NotDefined(f"no {word} is seen between '{nodes[0]}' and '{nodes[1]}'")


def combination(circuit: Circuit, members: Sequence[str], when: fmpq | None) -> Combination:
    """The storage elements named (all inductors or all capacitors) as one, with switches as from an instant on.

    Raises
    ------
    CircuitError
        If they do not act as one.
    """
    kind = type(circuit.element(members[0]))
    assert kind is Inductor or kind is Capacitor
    nodes = _terminals(circuit, positions(circuit, when), members)
    value = None if nodes is None else _between(circuit, when, members, nodes, wires=False)
    if value is None:
        nodes, value = None, _in_line(reduced_at(circuit, when), members)
    if value is None:
        raise CircuitError(
            f"{', '.join(members)} cannot be combined into one here; say at which nodes or by which element to look",
            tuple(members),
        )
    return Combination(kind=kind, members=tuple(members), value=value, nodes=nodes)


def _terminals(circuit: Circuit, where: Positions, members: Collection[str]) -> Nodes | None:
    """The two nodes where the members meet the rest of the circuit, closed switches being wires."""
    if len(members) == 1:
        return branch(circuit, circuit.element(next(iter(members))), where)
    merged = joined(circuit, where)
    inside: dict[str, None] = {}
    outside: set[str] = set()
    for element in circuit.elements:
        if isinstance(element, CoupledInductors) or where.get(element.name) is not None:
            continue
        nodes = {*element.terminals(), *branch(circuit, element, where)}
        if element.name in members:
            inside.update(dict.fromkeys(merged[node] for node in branch(circuit, element, where)))
        else:
            outside |= {merged[node] for node in nodes}
    meeting = [node for node in inside if node in outside]
    return (meeting[0], meeting[1]) if len(meeting) == 2 else None


def _between(
    circuit: Circuit, when: fmpq | None, members: Collection[str], nodes: Nodes, *, wires: bool, without: str = ""
) -> Scalar | None:
    """What the members alone show between two nodes; None where they show nothing (or a short)."""
    resistive = tuple(one for e in circuit.elements for one in _as_resistors(circuit, e, members))
    switches = positions(circuit, when)
    treat = {
        e.name: SHORT if wires and e.name != without and _conducts(e) else OPEN
        for e in circuit.elements
        if e.name not in members and (e.name == without or e.name not in switches)
    }
    try:
        seen = resistance_between(replace(circuit, elements=resistive), nodes, when, treat)
    except NotDefined:
        return None
    if seen == 0:
        return None
    return seen if isinstance(circuit.element(next(iter(members))), Inductor) else ONE / seen


def _as_resistors(circuit: Circuit, element: Element, members: Collection[str]) -> Iterator[Element]:
    """A member as resistances: L ohms or 1/C ohms, and in line with them what the currents of coupled members add."""
    if element.name not in members:
        yield element
        return
    assert isinstance(element, Storage)
    value = element.value if isinstance(element, Inductor) else ONE / element.value
    first, last = element.between
    coupled = [(other, mutual) for other, mutual in circuit.coupled_to(element.name).items() if other in members]
    inner = [f"{element.name}:{other}" for other, _ in coupled]
    yield Resistor(name=element.name, between=(first, [*inner, last][0]), value=value)
    for (other, mutual), nodes in zip(coupled, pairwise([*inner, last]), strict=True):
        yield DependentSource(
            name=nodes[0], between=nodes, delivers="voltage", controlled_by="current", gain=mutual, control=other
        )


def _conducts(element: Element) -> bool:
    """Whether an element that is no member lets the current pass where all that can do are wires."""
    return not isinstance(element, (Storage, CurrentSource, IdealOpAmp, IdealTransformer))


def _in_line(reduced: Reduced, members: Sequence[str]) -> Scalar | None:
    """The members in series around other elements: all carry the same current, whatever the free states."""
    rows = []
    for name in members:
        full = reduced.full({reduced.columns.currents[name]: ONE})
        rows.append({c: v for c, v in reduced.free(full).items() if c < reduced.order})
    directions = []
    for row in rows:
        if row == rows[0]:
            directions.append(ONE)
        elif row == {c: -v for c, v in rows[0].items()}:
            directions.append(-ONE)
        else:
            return None
    elements = [reduced.circuit.element(name) for name in members]
    total: Scalar = ZERO
    for element in elements:
        assert isinstance(element, Storage)
        total = total + (element.value if isinstance(element, Inductor) else ONE / element.value)
    if isinstance(elements[0], Capacitor):
        return ONE / total
    way = dict(zip(members, directions, strict=True))
    for coupling in reduced.circuit.elements:
        if isinstance(coupling, CoupledInductors) and all(name in way for name in coupling.inductors):
            total = total + coupling.mutual * (way[coupling.inductors[0]] * way[coupling.inductors[1]] * 2)
    return total if rows[0] else None
