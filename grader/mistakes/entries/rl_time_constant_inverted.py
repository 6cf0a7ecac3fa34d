"""R/L taken as the time constant."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import SEEN, TAU, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import OF_EXPRESSION, by_formula, from_time_constant, some
from grader.mistakes.records import OBSERVED, Mistake, Wrong
from grader.values.scalar import ONE
from grader.values.waveform import constant


def wrong(case: Case) -> Iterator[Wrong]:
    """R over L, as a number of seconds."""
    tau = case.solvers(TAU)
    seen = case.solvers(SEEN)
    if case.capacitive is not False or tau is None or seen is None:
        return
    if case.find == TAU:
        yield from by_formula(case, "R/L", {"R": SEEN}, given={"L": tau * seen})
    elif case.find in OF_EXPRESSION:
        yield from some(from_time_constant(case, constant(ONE) / tau))


ENTRY = Mistake(
    id="rl-time-constant-inverted",
    title="R/L for L/R",
    idea=(
        "R/L is the rate at which the exponential falls, in 1/s. The time constant is its reciprocal; a larger "
        "coil must make things slower."
    ),
    nudge="Work out the unit of your expression: is it seconds?",
    remark="R/L was given where L/R is the time constant.",
    source=source.INVERTED_TAU,
    prior=OBSERVED,
    wrong=wrong,
)
