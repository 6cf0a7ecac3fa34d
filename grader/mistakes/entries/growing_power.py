"""The exponent with a positive sign."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import by_expression
from grader.mistakes.records import OBSERVED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "xf+(x0-xf)*e^((t-t1)/tau)")


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
