"""Product over sum used with three or more resistors."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.scalar import ONE, ZERO


def wrong(case: Case) -> Iterator[Wrong]:
    """Of each three resistors, and of all."""
    groups = [*combinations(case.resistors, 3), case.resistors]
    for group in dict.fromkeys(tuple(groups)):
        if len(group) < 3:
            continue
        product = ONE
        for resistor in group:
            product = product * resistor.value
        total = sum((r.value for r in group), ZERO)
        yield from some(from_resistance(case, product / total), ", ".join(r.name for r in group))


ENTRY = Mistake(
    id="product-over-sum-of-three",
    title="Product over sum of three",
    idea="Product over sum holds for two resistors. For three it does not even give ohms.",
    nudge="What does that rule give for three equal resistors, and in what unit?",
    remark="Three resistances were put into product over sum.",
    source=source.REVIEW_STORAGE,
    prior=REPORTED,
    wrong=wrong,
)
