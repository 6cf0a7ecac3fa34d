"""Time counted from zero after a later switching."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import by_expression
from grader.mistakes.records import OBSERVED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The right formula with t for t minus the instant of switching."""
    if case.index and case.start != 0:
        yield from by_expression(case, "xf+(x0-xf)*e^(-(t-t1)/tau)", variant="from t = 0", shift=False)


ENTRY = Mistake(
    id="time-shift-forgotten",
    title="Time shift forgotten",
    idea=(
        "The exponential of a later switching starts there: time counts from that instant. It was counted from zero."
    ),
    nudge="At the moment of the later switching your exponential should just be starting: does it?",
    remark="Time was counted from zero instead of from the switching.",
    source=source.TIME_SHIFT,
    prior=OBSERVED,
    wrong=wrong,
)
