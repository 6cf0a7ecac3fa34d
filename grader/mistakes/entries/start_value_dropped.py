"""The change alone, without the value it starts from."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import by_expression
from grader.mistakes.records import OBSERVED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "(xf-x0)*(1-e^(-(t-t1)/tau))")


ENTRY = Mistake(
    id="start-value-dropped",
    title="Start value dropped",
    idea="(xf − x0)(1 − e^(−t/τ)) is the change alone; the value it starts from was not added.",
    nudge="What does your expression give at the first instant?",
    remark="The change was given without the start value.",
    source=source.RISE_CONSTANT,
    prior=OBSERVED,
    wrong=wrong,
)
