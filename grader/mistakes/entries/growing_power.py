"""The exponent with a positive sign."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes import second_order
from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import by_expression
from grader.mistakes.records import OBSERVED, Mistake, Wrong
from grader.quantities.steps import UNDERDAMPED


def wrong(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant; of second order, both rates turned."""
    yield from by_expression(case, "xf+(x0-xf)*e^((t-t1)/tau)")
    right = second_order.of_case(case)
    if right is not None:
        yield from second_order.with_parts(case, right, alpha=-right.alpha, beta=-right.beta)
        if right.kind == UNDERDAMPED:
            yield from second_order.with_parts(case, right, alpha=-right.alpha)


ENTRY = Mistake(
    id="growing-power",
    title="Exponential that grows",
    idea=(
        "The exponent is positive, so the response grows without bound. A natural response of a passive circuit "
        "dies away."
    ),
    nudge="What happens to your expression for very large t?",
    remark="The exponent has the wrong sign.",
    source=source.GROWING,
    prior=OBSERVED,
    wrong=wrong,
)
