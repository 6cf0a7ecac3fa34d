"""The formula of a decay to zero although there is a final value."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import by_expression
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.mistakes.second_order import conditions, solved, with_parts
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "x0*e^(-(t-t1)/tau)")
    yield from by_expression(case, "xf*e^(-(t-t1)/tau)", variant="a decay for a rise")
    right = conditions(case)
    if right is not None:
        yield from with_parts(case, solved(right), "final value lost", xf=Waveform())
        yield from with_parts(case, solved(right._replace(xf=Waveform())), "natural response alone")


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
