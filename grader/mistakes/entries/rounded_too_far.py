"""The right answer rounded to too few digits."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal

from grader.mistakes.case import Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.values.scalar import rational
from grader.values.waveform import Waveform, constant


def wrong(case: Case) -> Iterator[Wrong]:
    """Rounded to one and to two digits, or cut off after two; nobody takes 160 for 100."""
    right = case.right
    if not isinstance(right, Waveform) or not right.is_constant or right.is_symbolic or not right.terms:
        return
    exact = Decimal(repr(right.value()))
    for digits in (1, 2):
        place = Decimal(1).scaleb(exact.adjusted() - digits + 1)
        for way in (ROUND_HALF_UP, ROUND_DOWN)[:digits]:
            rounded = exact.quantize(place, rounding=way)
            if rounded:
                yield Wrong(constant(rational(rounded)), f"to {digits} digit{'s' if digits > 1 else ''}")


ENTRY = Mistake(
    id="rounded-too-far",
    title="Rounded too far",
    idea=(
        "The result was rounded to so few digits that it left the tolerance. Keep the digits on the way and round"
        " once, at the end, to what is asked."
    ),
    nudge="How many digits do you need for your answer to stay within the tolerance?",
    remark="The right answer was rounded to one or two digits.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
