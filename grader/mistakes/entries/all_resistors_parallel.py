"""Every resistor of the drawing taken in parallel."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.scalar import ONE, ZERO


def wrong(case: Case) -> Iterator[Wrong]:
    """One over the sum of all conductances."""
    total = sum((ONE / r.value for r in case.resistors), ZERO)
    if len(case.resistors) > 1 and total != 0:
        yield from some(from_resistance(case, ONE / total))


ENTRY = Mistake(
    id="all-resistors-parallel",
    title="All resistors in parallel",
    idea="Parallel parts share both their ends. Not all resistors here do.",
    nudge="Parallel parts share both ends: do all of yours?",
    remark="All resistances of the circuit were taken in parallel.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
