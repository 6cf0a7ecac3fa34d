"""A power of a thousand lost or doubled."""

from __future__ import annotations

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import EXPRESSION, OMEGA0, OMEGA_D, TAU, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_ingredients, some
from grader.mistakes.records import OBSERVED, Mistake, Wrong
from grader.values.functions import square_root
from grader.values.waveform import Waveform, constant

THOUSANDS = (3, -3, 6, -6, 9, -9)
"""Powers of ten tried: one or two prefixes, or kilo for micro."""


def wrong(case: Case) -> Iterator[Wrong]:
    """The right answer times a power of a thousand; of an expression, its size or its clock."""
    if not isinstance(case.right, Waveform) or not case.right.terms:
        return
    for exponent in THOUSANDS:
        factor = fmpq(10) ** exponent
        yield Wrong.times(case.right, constant(factor), f"·10^{exponent}")
        tau = case.solvers(TAU) if case.find == EXPRESSION else None
        if tau is not None:
            yield from some(from_ingredients(case, tau=tau.scaled(factor)), f"τ·10^{exponent}")
    if case.find in (OMEGA0, OMEGA_D):
        root = square_root(constant(fmpq(1000)))
        yield Wrong(case.right * root, "below the root")
        yield Wrong(case.right / root, "below the root")


ENTRY = Mistake(
    id="prefix-slip",
    title="Prefix or power of ten",
    idea=(
        "A prefix was lost or counted twice on the way. Values in base units throughout, and the prefix only at "
        "the end, prevent it."
    ),
    nudge="What do you get if you write every value in base units and multiply again?",
    remark="The digits are right and the power of ten is not.",
    source=source.PREFIXES,
    prior=OBSERVED,
    wrong=wrong,
)
