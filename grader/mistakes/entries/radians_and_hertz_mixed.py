"""A factor 2π put in or left out."""

from __future__ import annotations

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import ALPHA, OMEGA0, OMEGA_D, TAU, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.records import OBSERVED, Mistake, Wrong
from grader.values.scalar import rational
from grader.values.waveform import Waveform, constant


def wrong(case: Case) -> Iterator[Wrong]:
    """Times and over 2π."""
    if case.find not in (OMEGA0, OMEGA_D, ALPHA, TAU) or not isinstance(case.right, Waveform):
        return
    turn = constant(rational("6.28318530717958647692528676655900576839433879875021"), exact=False)
    yield Wrong.times(case.right, constant(fmpq(1)) / turn, "over 2π")
    yield Wrong.times(case.right, turn, "times 2π")


ENTRY = Mistake(
    id="radians-and-hertz-mixed",
    title="Radians per second and hertz mixed",
    idea="ω counts radians per second, f counts full turns; between them stands 2π.",
    nudge="Is your rate counted in radians or in full turns?",
    remark="A factor 2π is too much or missing.",
    source=source.EXAM_REMARKS_UNITS,
    prior=OBSERVED,
    wrong=wrong,
)
