"""The resistor in line with the storage element left out."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.statics import SHORT
from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import OBSERVED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The resistance seen without each resistor that adds to it in full."""
    whole = case.resistance(case.index, {})
    for resistor in case.resistors:
        without = case.resistance(case.index, {resistor.name: SHORT})
        if whole is not None and without is not None and whole - without == resistor.value:
            yield from some(from_resistance(case, without), f"without {resistor.name}")


ENTRY = Mistake(
    id="own-series-resistor-lost",
    title="Resistor in line with the element left out",
    idea=(
        "Looking out from the element one meets the resistor in line with it first. It was taken as part of the "
        "element and forgotten."
    ),
    nudge="Is there something between the element and the node you started from?",
    remark="The resistor in series with the storage element was left out.",
    source=source.SERIES_RESISTOR,
    prior=OBSERVED,
    wrong=wrong,
)
