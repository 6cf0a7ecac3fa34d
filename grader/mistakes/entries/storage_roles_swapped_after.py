"""Final value with the inductor open or the capacitor short."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_ingredients, some, swapped
from grader.mistakes.records import OBSERVED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The dc circuit after switching with the roles exchanged."""
    if case.signal is not None and case.index:
        yield from some(from_ingredients(case, xf=case.read(case.static(case.opens, swapped(case)))))


ENTRY = Mistake(
    id="storage-roles-swapped-after",
    title="Storage roles swapped at the end",
    idea=(
        "When all has settled a coil whose current no longer changes has no voltage, and a capacitor whose "
        "voltage no longer changes has no current. The final circuit was drawn the other way round."
    ),
    nudge=(
        "When everything has settled, what is the voltage of a coil whose current no longer changes, or the "
        "current of a capacitor whose voltage no longer changes?"
    ),
    remark="The final value was found with inductors open and capacitors short.",
    source=source.CONCEPT_254,
    prior=OBSERVED,
    wrong=wrong,
)
