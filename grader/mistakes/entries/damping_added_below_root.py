"""ωd from the sum of the squares."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import ALPHA, OMEGA0, OMEGA_D, ROOTS, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import by_formula
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.functions import square_root


def wrong(case: Case) -> Iterator[Wrong]:
    """The root of ω0² + α², also in the roots."""
    alpha, omega0 = case.solvers(ALPHA), case.solvers(OMEGA0)
    if alpha is None or omega0 is None:
        return
    rate = square_root(omega0 * omega0 + alpha * alpha)
    if case.find == OMEGA_D:
        yield from by_formula(case, "sqrt(w0^2+alpha^2)", {"w0": OMEGA0, "alpha": ALPHA})
    elif case.find == ROOTS:
        yield Wrong(((-alpha, rate), (-alpha, -rate)))


ENTRY = Mistake(
    id="damping-added-below-root",
    title="Damping added below the root",
    idea="ωd² = ω0² − α²: damping makes the swinging slower. The two squares were added.",
    nudge="Should damping make the swinging faster or slower?",
    remark="ωd was found as the root of ω0² + α².",
    source=source.REVIEW_SECOND_ORDER,
    prior=REPORTED,
    wrong=wrong,
)
