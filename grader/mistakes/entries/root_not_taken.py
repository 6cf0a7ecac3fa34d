"""1/(LC) given for its root."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import OMEGA0, OMEGA_D, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """The square."""
    if case.find in (OMEGA0, OMEGA_D) and isinstance(case.right, Waveform):
        yield Wrong(case.right * case.right)


ENTRY = Mistake(
    id="root-not-taken",
    title="Root left out of the natural frequency",
    idea="The characteristic equation holds ω0², so ω0 is its root. 1/(LC) has the unit 1/s².",
    nudge="What is the unit of your result, and what should it be?",
    remark="The square of the frequency was given.",
    source=source.REVIEW_SECOND_ORDER,
    prior=REPORTED,
    wrong=wrong,
)
