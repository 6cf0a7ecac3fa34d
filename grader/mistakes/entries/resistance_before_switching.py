"""The resistance seen in the circuit before switching."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import REPORTED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """What the storage element saw in the interval before."""
    if case.index:
        yield from some(from_resistance(case, case.resistance(case.index - 1, {})))


ENTRY = Mistake(
    id="resistance-before-switching",
    title="Resistance of the circuit before switching",
    idea=(
        "The transient runs in the circuit after the switching, so the element looks into that one. The "
        "resistance used belongs to the old switch position."
    ),
    nudge="The decay happens after the switching: which drawing should the element look into?",
    remark="The resistance seen before switching was used.",
    source=source.REVIEW_STORAGE,
    prior=REPORTED,
    wrong=wrong,
)
