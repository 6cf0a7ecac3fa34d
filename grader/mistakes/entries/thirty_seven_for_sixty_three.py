"""The part of the change that is left taken for the part that is done."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import AT, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_expression, some
from grader.mistakes.records import OBSERVED, Mistake, Wrong
from grader.values.functions import exp
from grader.values.waveform import TIME, constant


def wrong(case: Case) -> Iterator[Wrong]:
    """The exponential's share counted from the wrong end, for a value at an instant."""
    if case.find == AT and case.exponential is not None:
        x0, xf, tau = case.exponential
        yield from some(from_expression(case, x0 + (xf - x0) * exp(-(TIME - constant(case.start)) / tau)))


ENTRY = Mistake(
    id="thirty-seven-for-sixty-three",
    title="37 % taken for 63 %",
    idea=(
        "e^(−1), 37 %, is what is left of the change after one time constant; 63 % is what is done. The two were "
        "exchanged."
    ),
    nudge="Is 1/e the part that is left or the part that is done?",
    remark="The part of the change that is left was taken for the part that is done.",
    source=source.ONE_OVER_E,
    prior=OBSERVED,
    wrong=wrong,
)
