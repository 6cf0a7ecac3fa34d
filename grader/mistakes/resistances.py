"""Series and parallel combinations of a circuit's own resistors: what a wrong resistance may have been made of."""

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations as subsets
from itertools import product
from typing import NamedTuple

from grader.circuit.series_parallel import Compound, Reflected, Structure, combination_text, resistance
from grader.values.scalar import Scalar, is_symbolic, to_float

MAX_PARTS = 4
"""Resistors in a combination; with more of them some combination fits any number."""

MAX_RESISTORS = 7
"""Resistors of a circuit that are searched: their combinations of four are a few thousand."""


def exchanged(combination: Structure) -> Structure:
    """Every joint in series made parallel, and the reverse."""
    if isinstance(combination, str):
        return combination
    if isinstance(combination, Reflected):
        return combination._replace(part=exchanged(combination.part))
    return Compound(not combination.parallel, tuple(exchanged(part) for part in combination.parts))


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


def _of(names: Sequence[str]) -> Iterator[Structure]:
    """Every combination that has each of the names once."""
    if len(names) == 1:
        yield names[0]
        return
    for parallel in (False, True):
        for groups in _partitions(tuple(names)):
            if len(groups) > 1:
                # One combination of each group, none of them of the same kind as the joint they go into.
                choices = [[c for c in _of(g) if not isinstance(c, Compound) or c.parallel != parallel] for g in groups]
                for parts in product(*choices):
                    yield Compound(parallel, parts)


def _partitions(names: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], ...]]:
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
