"""Complex roots written as real ones."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import ROOTS, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """−α ± ωd without j."""
    if case.find == ROOTS and isinstance(case.right, tuple) and len(case.right) == 2 and case.right[0][1].terms:
        (real, imaginary), _ = case.right
        none = Waveform()
        yield Wrong(((real + imaginary, none), (real - imaginary, none)))


ENTRY = Mistake(
    id="imaginary-unit-lost",
    title="Imaginary unit lost from the roots",
    idea=(
        "Below critical damping the square root is that of a negative number. Without its j two real roots "
        "appear, and the swinging is lost."
    ),
    nudge="What is the sign below the square root, and what does that make of the roots?",
    remark="The roots were given as real numbers.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
