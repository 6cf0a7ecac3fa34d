"""√(LC) given for one over it."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import OMEGA0, OMEGA_D, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.scalar import ONE
from grader.values.waveform import Waveform, constant


def wrong(case: Case) -> Iterator[Wrong]:
    """The reciprocal."""
    if case.find in (OMEGA0, OMEGA_D) and isinstance(case.right, Waveform) and case.right.terms:
        yield Wrong(constant(ONE) / case.right)


ENTRY = Mistake(
    id="natural-rate-upside-down",
    title="Natural frequency upside down",
    idea="√(LC) is a time. The frequency is one over it: larger parts swing more slowly.",
    nudge="Should larger parts swing faster or more slowly, and does your formula agree?",
    remark="One over the frequency was given.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
