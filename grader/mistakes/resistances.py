"""Series and parallel combinations of a circuit's own resistors: what a wrong resistance may have been made of."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations as subsets
from typing import NamedTuple

from grader.values.scalar import ONE, ZERO, Scalar, is_symbolic, to_float

MAX_PARTS = 4
"""Resistors in a combination; with more of them some combination fits any number."""

MAX_RESISTORS = 7
"""Resistors of a circuit that are searched: their combinations of four are a few thousand."""


class Compound(NamedTuple):
    """Resistors, or joints of them, in series or in parallel."""

    parallel: bool
    parts: tuple[Combination | str, ...]


Combination = Compound | str
"""A joint, or the name of one resistor."""


def resistance(combination: Combination, values: Mapping[str, Scalar]) -> Scalar:
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


def exchanged(combination: Combination) -> Combination:
    """Every joint in series made parallel, and the reverse."""
    if isinstance(combination, str):
        return combination
    return Compound(not combination.parallel, tuple(exchanged(part) for part in combination.parts))


def combination_text(combination: Combination) -> str:
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


def reduced(edges: Iterable[tuple[str, str, str]], first: str, second: str) -> Combination | None:
    """The series-parallel structure that resistors (name, node, node) form between two nodes.

    None where they do not join the two, or where the structure is a bridge.
    """
    network: list[tuple[Combination, str, str]] = [(name, a, b) for name, a, b in edges if a != b]
    while True:
        network = _without_dead_ends(network, (first, second))
        merged = _one_step(network, (first, second))
        if merged is None:
            break
        network = merged
    return network[0][0] if len(network) == 1 else None


def _without_dead_ends(
    network: list[tuple[Combination, str, str]], ends: tuple[str, str]
) -> list[tuple[Combination, str, str]]:
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
    network: list[tuple[Combination, str, str]], ends: tuple[str, str]
) -> list[tuple[Combination, str, str]] | None:
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


def _joined(parallel: bool, one: Combination, other: Combination) -> Combination:
    """Join two combinations, without brackets inside brackets of the same kind."""
    parts: list[Combination] = []
    for piece in (one, other):
        if isinstance(piece, Compound) and piece.parallel == parallel:
            parts.extend(piece.parts)
        else:
            parts.append(piece)
    return Compound(parallel, tuple(parts))


# -- all combinations --------------------------------------------------------------------------------


class Found(NamedTuple):
    """A combination's resistance (ohms), how many resistors it has, and how it is written."""

    value: float
    size: int
    text: str


def all_combinations(values: Mapping[str, Scalar]) -> tuple[Found, ...]:
    """Every series-parallel combination of up to `MAX_PARTS` resistors, sorted by resistance.

    Empty where there are too many resistors or their values are symbols.
    """
    if len(values) > MAX_RESISTORS or any(is_symbolic(value) for value in values.values()):
        return ()
    found = []
    for size in range(1, min(MAX_PARTS, len(values)) + 1):
        for names in subsets(values, size):
            for combination in _of(names):
                try:
                    value = to_float(resistance(combination, values))
                except ZeroDivisionError:
                    continue
                found.append(Found(value, size, combination_text(combination)))
    return tuple(sorted(found))


def _of(names: Sequence[str]) -> Iterator[Combination]:
    """Every combination that has each of the names once."""
    if len(names) == 1:
        yield names[0]
        return
    for parallel in (False, True):
        for groups in _partitions(tuple(names)):
            if len(groups) > 1:
                for parts in _choices(groups, parallel):
                    yield Compound(parallel, parts)


def _choices(groups: Sequence[tuple[str, ...]], parallel: bool) -> Iterator[tuple[Combination, ...]]:
    """One combination of each group, none of them of the same kind as the joint they go into."""
    if not groups:
        yield ()
        return
    for combination in _of(groups[0]):
        if isinstance(combination, str) or combination.parallel != parallel:
            for rest in _choices(groups[1:], parallel):
                yield (combination, *rest)


def _partitions(names: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], ...]]:
    """Every way to split names into groups."""
    if not names:
        yield ()
        return
    head, tail = names[0], names[1:]
    for size in range(len(tail) + 1):
        for others in subsets(tail, size):
            left = tuple(name for name in tail if name not in others)
            for groups in _partitions(left):
                yield ((head, *others), *groups)


def simplest_matches(found: Sequence[Found], value: float, reach: float) -> tuple[Found, ...]:
    """The combinations of the fewest resistors within `reach` of a value (ohms)."""
    low = bisect_left(found, (value - reach,))
    near = []
    for one in found[low:]:
        if one.value > value + reach:
            break
        near.append(one)
    fewest = min((one.size for one in near), default=0)
    return tuple(one for one in near if one.size == fewest)
