"""The exponent multiplied by the time constant."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import by_expression
from grader.mistakes.records import OBSERVED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "xf+(x0-xf)*e^(-(t-t1)*tau)")


ENTRY = Mistake(
    id="power-upside-down",
    title="Exponent upside down",
    idea=(
        "The exponent must be a pure number: time over time constant. It was multiplied by τ where it should be "
        "divided."
    ),
    nudge="What must the power of e equal when t is one time constant?",
    remark="The exponent is t times τ instead of t over τ.",
    source=source.UPSIDE_DOWN,
    prior=OBSERVED,
    wrong=wrong,
)
