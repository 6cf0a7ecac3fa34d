"""Resistors in series and in parallel: the structure that a circuit's own resistors form between two nodes."""

from collections.abc import Collection, Iterable, Mapping
from itertools import combinations as subsets
from typing import NamedTuple

from grader.circuit.elements import (
    Capacitor,
    Circuit,
    CoupledInductors,
    CurrentSource,
    Inductor,
    Nodes,
    Positions,
    Resistor,
    VoltageSource,
)
from grader.circuit.network import branch, grouped
from grader.values.scalar import ONE, ZERO, Scalar


class Compound(NamedTuple):
    """Resistors, or joints of them, in series or in parallel."""

    parallel: bool
    parts: tuple["Structure", ...]


Structure = Compound | str
"""A joint, or the name of one resistor."""


def resistance(combination: Structure, values: Mapping[str, Scalar]) -> Scalar:
    """The resistance of a combination, exact.

    Raises
    ------
    ZeroDivisionError
        If resistances in parallel cancel or are zero.
    """
    if isinstance(combination, str):
        return values[combination]
    parts = [resistance(part, values) for part in combination.parts]
    if combination.parallel:
        return ONE / sum((ONE / part for part in parts), ZERO)
    return sum(parts, ZERO)


def combination_text(combination: Structure) -> str:
    """Write a combination as an instructor does: ``R3 + R1 ∥ R2``, ``R4 ∥ (R1 + R2)``."""
    if isinstance(combination, str):
        return combination
    if combination.parallel:
        pieces = (
            combination_text(part) if isinstance(part, str) else f"({combination_text(part)})"
            for part in combination.parts
        )
        return " ∥ ".join(pieces)
    return " + ".join(combination_text(part) for part in combination.parts)


def reduced(edges: Iterable[tuple[str, str, str]], first: str, second: str) -> Structure | None:
    """The series-parallel structure that resistors (name, node, node) form between two nodes.

    None where they do not join the two, or where the structure is a bridge.
    """
    network: list[tuple[Structure, str, str]] = [(name, a, b) for name, a, b in edges if a != b]
    while True:
        network = _without_dead_ends(network, (first, second))
        merged = _one_step(network, (first, second))
        if merged is None:
            break
        network = merged
    return network[0][0] if len(network) == 1 else None


def _without_dead_ends(
    network: list[tuple[Structure, str, str]], ends: tuple[str, str]
) -> list[tuple[Structure, str, str]]:
    """Leave out what hangs on one node only."""
    while True:
        met = [node for _, a, b in network for node in (a, b)]
        kept = [
            branch for branch in network if all(node in ends or met.count(node) > 1 for node in branch[1:])
        ]  # fmt: skip
        if len(kept) == len(network):
            return kept
        network = kept


def _one_step(
    network: list[tuple[Structure, str, str]], ends: tuple[str, str]
) -> list[tuple[Structure, str, str]] | None:
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
        sources, op amps, transformers) stand among them.
    """
    resistors, wires = [], []
    for element in circuit.elements:
        if isinstance(element, (Capacitor, CurrentSource, CoupledInductors)) or element.name in without:
            continue
        if isinstance(element, Resistor) and element.value != 0:
            resistors.append(element)
        elif isinstance(element, (Resistor, Inductor, VoltageSource)) or element.name in where:
            if where.get(element.name, True) is not False:
                wires.append(branch(circuit, element, where))
        else:
            return None
    wired = grouped(circuit.nodes, wires, circuit.ground)
    first, second = (wired[node] for node in nodes)
    edges = [(r.name, wired[r.between[0]], wired[r.between[1]]) for r in resistors]
    return reduced(edges, first, second) if first != second else None
