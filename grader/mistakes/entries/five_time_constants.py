"""The settling time of several time constants given as one."""

from __future__ import annotations

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import TAU, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.records import SUPPOSED, Mistake, Wrong
from grader.values.waveform import constant


def wrong(case: Case) -> Iterator[Wrong]:
    """Three, four and five times the time constant."""
    tau = case.solvers(TAU)
    if case.find == TAU and tau is not None:
        for times in (5, 4, 3):
            yield Wrong.times(tau, constant(fmpq(times)), f"{times}τ")


ENTRY = Mistake(
    id="five-time-constants",
    title="Settling time for the time constant",
    idea=(
        "After five time constants the response has practically settled. The time constant itself is the time "
        "after which 37 % of the change is left."
    ),
    nudge="How far has the curve gone after one time constant?",
    remark="A multiple (3, 4 or 5) of the time constant was given.",
    source=source.FIVE_TAU,
    prior=SUPPOSED,
    wrong=wrong,
)
