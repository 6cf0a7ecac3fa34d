"""Every resistor of the drawing taken in series."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.scalar import ZERO


def wrong(case: Case) -> Iterator[Wrong]:
    """The sum of all resistances."""
    if len(case.resistors) > 1:
        yield from some(from_resistance(case, sum((r.value for r in case.resistors), ZERO)))


ENTRY = Mistake(
    id="all-resistors-added",
    title="All resistors added",
    idea=(
        "Adding every resistance in the drawing supposes that one current passes them all. Seen from the element,"
        " it usually splits."
    ),
    nudge="Start at one terminal of the element and walk: do you really pass every resistor one after another?",
    remark="All resistances of the circuit were added.",
    source=source.REVIEW_STORAGE,
    prior=REPORTED,
    wrong=wrong,
)
