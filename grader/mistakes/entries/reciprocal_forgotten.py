"""The sum of reciprocal resistances given in ohms."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from grader.mistakes.case import Case
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.scalar import ONE, ZERO


def wrong(case: Case) -> Iterator[Wrong]:
    """Of each two resistors, and of all."""
    for group in dict.fromkeys([*combinations(case.resistors, 2), case.resistors]):
        if len(group) > 1:
            total = sum((ONE / r.value for r in group), ZERO)
            yield from some(from_resistance(case, total), ", ".join(r.name for r in group))


ENTRY = Mistake(
    id="reciprocal-forgotten",
    title="Last reciprocal forgotten",
    idea="The sum of 1/R is a conductance; the resistance is one over it.",
    nudge="Is your result smaller than the smallest resistor of the group, and in ohms?",
    remark="The sum of the reciprocals was given as the resistance.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
