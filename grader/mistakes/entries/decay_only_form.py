"""The formula of a decay to zero although there is a final value."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes import second_order
from grader.mistakes.case import ALPHA, INITIAL, OMEGA0, SLOPE, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import by_expression
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "x0*e^(-(t-t1)/tau)")
    yield from by_expression(case, "xf*e^(-(t-t1)/tau)", variant="a decay for a rise")
    right = second_order.of_case(case)
    if right is None or not right.xf.terms:
        return
    yield from second_order.with_parts(case, right, "final value lost", xf=Waveform())
    x0, slope = case.solvers(INITIAL), case.solvers(SLOPE)
    alpha, omega0 = case.solvers(ALPHA), case.solvers(OMEGA0)
    if x0 is not None and slope is not None and alpha is not None and omega0 is not None:
        alone = second_order.solved(x0=x0, slope=slope, xf=Waveform(), alpha=alpha, omega0=omega0, start=case.start)
        yield from second_order.with_parts(case, alone, "natural response alone")


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
