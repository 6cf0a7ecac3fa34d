"""The time to half the change given as the time constant."""

from __future__ import annotations

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import TAU, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.functions import log
from grader.values.waveform import constant


def wrong(case: Case) -> Iterator[Wrong]:
    """τ times ln 2, and τ over ln 2."""
    tau = case.solvers(TAU)
    if case.find == TAU and tau is not None:
        two = log(constant(fmpq(2)))
        yield Wrong.times(tau, two, "τ·ln 2")
        yield Wrong.times(tau, constant(fmpq(1)) / two, "τ/ln 2")


ENTRY = Mistake(
    id="half-time",
    title="Half-time for the time constant",
    idea="The half-value time is ln 2 times the time constant: after one time constant 37 % is left, not 50 %.",
    nudge="Which fraction is left after one time constant?",
    remark="The time to half the change (or τ over ln 2) was given.",
    source=source.HALF_LIFE,
    prior=REPORTED,
    wrong=wrong,
)
