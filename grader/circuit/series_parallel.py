"""Resistors in series and in parallel, and behind transformers: the structure that a circuit's own form between two nodes."""

from collections.abc import Collection, Iterable, Mapping
from itertools import combinations as subsets
from typing import NamedTuple

from grader.circuit.elements import (
    Capacitor,
    Circuit,
    CoupledInductors,
    CurrentSource,
    IdealTransformer,
    Inductor,
    Nodes,
    Positions,
    Resistor,
    VoltageSource,
)
from grader.circuit.network import branch, grouped
from grader.values.scalar import ONE, ZERO, Scalar, scalar_text


class Compound(NamedTuple):
    """Resistors, or joints of them, in series or in parallel."""

    parallel: bool
    parts: tuple["Structure", ...]


class Reflected(NamedTuple):
    """A structure seen through an ideal transformer: divided by the square of ``ratio`` from the secondary, else multiplied."""

    part: "Structure"
    ratio: Scalar
    from_secondary: bool


Structure = Compound | Reflected | str
"""A joint, what a transformer reflects, or the name of one resistor."""

Edge = tuple[Structure, str, str]
"""A structure between two nodes."""


def resistance(combination: Structure, values: Mapping[str, Scalar]) -> Scalar:
    """The resistance of a combination, exact.

    Raises
    ------
    ZeroDivisionError
        If resistances in parallel cancel or are zero.
    """
    if isinstance(combination, str):
        return values[combination]
    if isinstance(combination, Reflected):
        squared = combination.ratio * combination.ratio
        part = resistance(combination.part, values)
        return part / squared if combination.from_secondary else part * squared
    parts = [resistance(part, values) for part in combination.parts]
    if combination.parallel:
        return ONE / sum((ONE / part for part in parts), ZERO)
    return sum(parts, ZERO)


def combination_text(combination: Structure) -> str:
    """Write a combination as an instructor does: ``R3 + R1 ∥ R2``, ``R4 ∥ (R1 + R2)``, ``R2 + R1/4²``."""
    if isinstance(combination, str):
        return combination
    if isinstance(combination, Reflected):
        part, ratio = combination_text(combination.part), scalar_text(combination.ratio)
        part = part if isinstance(combination.part, str) else f"({part})"
        ratio = ratio if ratio.isalnum() else f"({ratio})"
        return f"{part}/{ratio}²" if combination.from_secondary else f"{ratio}²·{part}"
    if combination.parallel:
        pieces = (
            f"({combination_text(part)})" if isinstance(part, Compound) else combination_text(part)
            for part in combination.parts
        )
        return " ∥ ".join(pieces)
    return " + ".join(combination_text(part) for part in combination.parts)


def reduced(edges: Iterable[Edge], first: str, second: str) -> Structure | None:
    """The series-parallel structure that resistors, or structures of them, form between two nodes.

    None where they do not join the two, or where the structure is a bridge.
    """
    network = [(one, a, b) for one, a, b in edges if a != b]
    while True:
        network = _without_dead_ends(network, (first, second))
        merged = _one_step(network, (first, second))
        if merged is None:
            break
        network = merged
    return network[0][0] if len(network) == 1 else None


def _without_dead_ends(network: list[Edge], ends: tuple[str, str]) -> list[Edge]:
    """Leave out what hangs on one node only."""
    while True:
        met = [node for _, a, b in network for node in (a, b)]
        kept = [
            branch for branch in network if all(node in ends or met.count(node) > 1 for node in branch[1:])
        ]  # fmt: skip
        if len(kept) == len(network):
            return kept
        network = kept


def _one_step(network: list[Edge], ends: tuple[str, str]) -> list[Edge] | None:
    """Join two branches side by side, or two in a row; None where there are none such."""
    for (i, one), (j, other) in subsets(enumerate(network), 2):
        rest = [branch for k, branch in enumerate(network) if k not in (i, j)]
        if set(one[1:]) == set(other[1:]):
            return [*rest, (_joined(True, one[0], other[0]), one[1], one[2])]
        for node in set(one[1:]) & set(other[1:]):
            if node not in ends and sum(node in branch[1:] for branch in network) == 2:
                far = [next(n for n in branch[1:] if n != node) for branch in (one, other)]
                return [*rest, (_joined(False, one[0], other[0]), far[0], far[1])]
    return None


def _joined(parallel: bool, one: Structure, other: Structure) -> Structure:
    """Join two combinations, without brackets inside brackets of the same kind."""
    parts: list[Structure] = []
    for piece in (one, other):
        if isinstance(piece, Compound) and piece.parallel == parallel:
            parts.extend(piece.parts)
        else:
            parts.append(piece)
    return Compound(parallel, tuple(parts))


def structure_between(
    circuit: Circuit, where: Positions, nodes: Nodes, without: Collection[str] = ()
) -> Structure | None:
    """The structure of the resistors between two nodes with the sources off and storage elements in their dc roles.

    Parameters
    ----------
    where : mapping
        Positions of the switches.
    without : collection of str
        Elements taken out.

    Returns
    -------
    Combination or None
        None where the resistors do not join the nodes or form a bridge, and where elements of other kinds (dependent
        sources, op amps, transformers that are more than a way through) stand among them.
    """
    resistors, wires, transformers = [], [], []
    for element in circuit.elements:
        if isinstance(element, (Capacitor, CurrentSource, CoupledInductors)) or element.name in without:
            continue
        if isinstance(element, Resistor) and element.value != 0:
            resistors.append(element)
        elif isinstance(element, IdealTransformer):
            transformers.append(element)
        elif isinstance(element, (Resistor, Inductor, VoltageSource)) or element.name in where:
            if where.get(element.name, True) is not False:
                wires.append(branch(circuit, element, where))
        else:
            return None
    wired = grouped(circuit.nodes, wires, circuit.ground)
    first, second = ends = wired[nodes[0]], wired[nodes[1]]
    edges: list[Edge] | None = [(r.name, wired[r.between[0]], wired[r.between[1]]) for r in resistors]
    windings = [
        _Windings(t.ratio, (wired[t.primary[0]], wired[t.primary[1]]), (wired[t.secondary[0]], wired[t.secondary[1]]))
        for t in transformers
    ]
    while windings and edges is not None:
        edges, windings = _seen_through_one(edges, windings, ends)
    return reduced(edges, first, second) if edges is not None and first != second else None


class _Windings(NamedTuple):
    ratio: Scalar
    primary: Nodes
    secondary: Nodes


def _seen_through_one(
    edges: list[Edge], windings: list[_Windings], ends: Nodes
) -> tuple[list[Edge] | None, list[_Windings]]:
    """Put what stands behind one of the transformers in its place; None where that can be done with none of them."""
    for one in windings:
        others = [w for w in windings if w is not one]
        elsewhere = {*ends, *(node for w in others for node in (*w.primary, *w.secondary))}
        for near, far in ((one.secondary, one.primary), (one.primary, one.secondary)):
            behind, reached = _behind(edges, *far)
            part = None if reached & (elsewhere | {*near}) else reduced(behind, *far)
            if part is not None:
                rest = [edge for edge in edges if edge not in behind]
                return [*rest, (Reflected(part, one.ratio, near == one.secondary), *near)], others
    return None, windings


def _behind(edges: list[Edge], first: str, last: str) -> tuple[list[Edge], set[str]]:
    """What is joined to a winding's first node without passing its last one, and the nodes that it reaches before that."""
    reached = {first} - {last}
    while True:
        found = [edge for edge in edges if reached & {*edge[1:]}]
        grown = reached.union(*(edge[1:] for edge in found)) - {last}
        if grown == reached:
            return found, reached
        reached = grown
