"""The response written in the form of another damping type."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import INITIAL, SLOPE, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.mistakes.second_order import of_case, with_parts
from grader.quantities.steps import CRITICAL, OVERDAMPED, UNDERDAMPED


def wrong(case: Case) -> Iterator[Wrong]:
    """The other two forms with this circuit's rates, their constants from the right start value and slope."""
    right = of_case(case)
    if right is None:
        return
    x0, slope = case.solvers(INITIAL), case.solvers(SLOPE)
    if x0 is None or slope is None:
        return
    step = x0 - right.xf
    rest = slope + right.alpha * step
    if right.kind != CRITICAL:
        yield from with_parts(case, right, CRITICAL, kind=CRITICAL, a=step, b=rest)
    if right.kind == OVERDAMPED:
        yield from with_parts(case, right, UNDERDAMPED, kind=UNDERDAMPED, a=step, b=rest / right.beta)
    if right.kind == UNDERDAMPED:
        a = (slope + (right.alpha + right.beta) * step) / (right.beta + right.beta)
        yield from with_parts(case, right, OVERDAMPED, kind=OVERDAMPED, a=a, b=step - a)


ENTRY = Mistake(
    id="form-of-another-type",
    title="Form of another damping type",
    idea=(
        "Two real rates give two exponentials, a pair of complex ones an oscillation, and a double one the factor t. "
        "The form did not go with the rates."
    ),
    nudge="What do your roots look like, and which form of the response goes with such roots?",
    remark="The response was written in the form of another damping type.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
