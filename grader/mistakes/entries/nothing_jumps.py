"""Every quantity taken as continuous at the switching."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import BEFORE, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_ingredients, some
from grader.mistakes.records import OBSERVED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The value just before, for a quantity that may jump."""
    if case.signal is None or case.index == 0 or case.is_own():
        return
    yield from some(from_ingredients(case, x0=case.solvers(BEFORE)))


ENTRY = Mistake(
    id="nothing-jumps",
    title="Nothing may jump",
    idea=(
        "Only what is under a derivative (capacitor voltage, inductor current) is continuous. Resistor currents "
        "and voltages, a capacitor's current and an inductor's voltage may jump with the switch."
    ),
    nudge="Only some quantities have to be continuous: is the one you were asked for among them?",
    remark="The value just before switching was given as the value just after it.",
    source=source.REVIEW_SECOND_ORDER,
    prior=OBSERVED,
    wrong=wrong,
)
