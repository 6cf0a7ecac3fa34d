"""The exponential's factor is not initial minus final value."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.propagate import by_expression
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "xf+(xf-x0)*e^(-(t-t1)/tau)")
    yield from by_expression(case, "xf+x0*e^(-(t-t1)/tau)")
    yield from by_expression(case, "x0+(xf-x0)*e^(-(t-t1)/tau)")


ENTRY = Mistake(
    id="difference-turned-or-not-taken",
    title="Difference of start and final value wrong",
    idea=(
        "The exponential carries the difference initial minus final. It was reversed, or one of the two "
        "values was put in its place."
    ),
    nudge="Put in the first instant, then a very large t: which number is in the wrong place?",
    remark="The factor of the exponential is not initial minus final value.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
