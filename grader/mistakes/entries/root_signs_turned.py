"""Characteristic roots with positive real parts."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import ROOTS, Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """Every real part turned; for a rate, the rate itself."""
    if case.find == ROOTS and isinstance(case.right, tuple):
        yield Wrong(tuple((-real, imaginary) for real, imaginary in case.right))


ENTRY = Mistake(
    id="root-signs-turned",
    title="Signs of the roots turned",
    idea="The roots of a circuit with losses have negative real parts: what they multiply must die away.",
    nudge="Would your roots make the response die away or grow?",
    remark="The real parts of the roots have the wrong sign.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
