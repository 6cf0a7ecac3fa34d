"""The quadratic formula without its division by two."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import ROOTS, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.mistakes.second_order import of_case, with_parts


def wrong(case: Case) -> Iterator[Wrong]:
    """Both roots doubled: by themselves, and in the response."""
    if case.find == ROOTS and isinstance(case.right, tuple):
        yield Wrong(tuple((real + real, imaginary + imaginary) for real, imaginary in case.right))
    right = of_case(case)
    if right is not None:
        yield from with_parts(case, right, alpha=right.alpha + right.alpha, beta=right.beta + right.beta)


ENTRY = Mistake(
    id="roots-not-halved",
    title="Roots not halved",
    idea="The quadratic formula divides by twice the leading coefficient. The roots are twice what they should be.",
    nudge="Put one of your roots back into the characteristic equation: does it fit?",
    remark="The roots are twice the right ones.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
