"""Two neighbouring digits of the right answer exchanged."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.records import SUPPOSED, Mistake, Wrong
from grader.values.scalar import rational
from grader.values.waveform import Waveform, constant

DIGITS = 3
"""Significant digits in which an exchange is looked for."""


def wrong(case: Case) -> Iterator[Wrong]:
    """Every exchange of two neighbouring digits of the rounded value."""
    right = case.right
    if not isinstance(right, Waveform) or not right.is_constant or right.is_symbolic or not right.terms:
        return
    mantissa, exponent = f"{right.value():.{DIGITS - 1}e}".split("e")
    minus, digits = mantissa.startswith("-"), mantissa.replace(".", "").lstrip("-")
    for place in range(DIGITS - 1):
        turned = digits[:place] + digits[place + 1] + digits[place] + digits[place + 2 :]
        if turned != digits and turned[0] != "0":
            value = rational(f"{turned[0]}.{turned[1:]}e{exponent}")
            yield Wrong(constant(-value if minus else value), f"{turned} for {digits}")


ENTRY = Mistake(
    id="digits-exchanged",
    title="Digits exchanged in copying",
    idea="Two neighbouring digits changed places on the way to the paper.",
    nudge="Compare your answer with your working digit by digit: was it copied rightly?",
    remark="Two neighbouring digits of the right answer are exchanged.",
    source=source.COPYING,
    prior=SUPPOSED,
    wrong=wrong,
)
