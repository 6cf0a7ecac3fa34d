"""The formula of a rise from zero although there is a start value."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.propagate import by_expression
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "xf*(1-e^(-(t-t1)/tau))")


ENTRY = Mistake(
    id="rise-from-zero-form",
    title="Rise from zero, in spite of a start value",
    idea="xf(1 − e^(−t/τ)) starts at zero. It was learnt for an empty element and used for one that is not.",
    nudge="What does your expression give at the first instant, and is that your start value?",
    remark="The formula of a rise from zero was used although the start value is not zero.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
