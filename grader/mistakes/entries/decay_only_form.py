"""The formula of a decay to zero although there is a final value."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import by_expression
from grader.mistakes.records import REPORTED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "x0*e^(-(t-t1)/tau)")


ENTRY = Mistake(
    id="decay-only-form",
    title="Decay to zero, in spite of a final value",
    idea="x0 e^(−t/τ) dies to zero. It holds where no source is left, and was used where one is.",
    nudge="What does your expression give for very large t, and is that your final value?",
    remark="The formula of a source-free decay was used although the final value is not zero.",
    source=source.REVIEW_SECOND_ORDER,
    prior=REPORTED,
    wrong=wrong,
)
