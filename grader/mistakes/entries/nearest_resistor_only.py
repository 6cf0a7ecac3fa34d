"""A single resistor taken as the resistance seen."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """Each single resistor."""
    for resistor in case.resistors:
        yield from some(from_resistance(case, resistor.value), f"{resistor.name} alone")


ENTRY = Mistake(
    id="nearest-resistor-only",
    title="One resistor alone",
    idea=(
        "Only one resistor was counted, mostly the one beside the element, although its current has other ways to"
        " take as well."
    ),
    nudge="Could current leaving the element also take another way?",
    remark="A single resistor was taken as the resistance seen.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
