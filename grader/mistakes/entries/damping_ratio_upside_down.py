"""ω0/α given for the damping ratio."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import ZETA, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.scalar import ONE
from grader.values.waveform import Waveform, constant


def wrong(case: Case) -> Iterator[Wrong]:
    """The reciprocal."""
    if case.find == ZETA and isinstance(case.right, Waveform) and case.right.terms:
        yield Wrong(constant(ONE) / case.right)


ENTRY = Mistake(
    id="damping-ratio-upside-down",
    title="Damping ratio upside down",
    idea="ζ is α over ω0: it grows with the damping, and lies below one where the circuit rings.",
    nudge="Should your ratio grow or shrink with more damping, and does it?",
    remark="One over the damping ratio was given.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
