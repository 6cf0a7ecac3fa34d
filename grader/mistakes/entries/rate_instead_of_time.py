"""One over the time constant given as the time constant."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import SEEN, TAU, Case
from grader.mistakes.propagate import by_formula
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.scalar import ONE
from grader.values.waveform import constant


def wrong(case: Case) -> Iterator[Wrong]:
    """1/τ, as a number of seconds."""
    tau, seen = case.solvers(TAU), case.solvers(SEEN)
    if case.find != TAU or tau is None:
        return
    if case.capacitive and seen is not None and seen.terms:
        yield from by_formula(case, "1/(R*C)", {"R": SEEN}, given={"C": tau / seen})
    elif case.capacitive is False and seen is not None:
        yield from by_formula(case, "1/(L/R)", {"R": SEEN}, given={"L": tau * seen})
    else:
        yield Wrong(constant(ONE) / tau)


ENTRY = Mistake(
    id="rate-instead-of-time",
    title="Rate given for the time constant",
    idea="The rate 1/τ stands in the exponent, in 1/s. What was asked is the time.",
    nudge="One of the two is a time and the other is per time: which one was asked?",
    remark="One over the time constant was given.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
