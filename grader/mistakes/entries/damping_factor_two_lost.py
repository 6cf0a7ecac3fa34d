"""R/L or 1/(RC) taken as the damping coefficient."""

from __future__ import annotations

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import ALPHA, FINAL, INITIAL, OMEGA0, SLOPE, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_damping, some
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.mistakes.second_order import of_case, solved, with_parts
from grader.quantities.steps import OVERDAMPED


def wrong(case: Case) -> Iterator[Wrong]:
    """Twice α, and what follows from it."""
    alpha, omega0 = case.solvers(ALPHA), case.solvers(OMEGA0)
    if alpha is not None and omega0 is not None and case.find != OMEGA0:
        yield from some(from_damping(case, alpha.scaled(fmpq(2)), omega0))
        right = of_case(case)
        if right is not None and right.kind != OVERDAMPED:
            yield from with_parts(case, right, "in the decay alone", alpha=alpha.scaled(fmpq(2)))
        x0, slope, xf = case.solvers(INITIAL), case.solvers(SLOPE), case.solvers(FINAL)
        if right is not None and x0 is not None and slope is not None and xf is not None:
            twice = solved(x0=x0, slope=slope, xf=xf, alpha=alpha.scaled(fmpq(2)), omega0=omega0, start=case.start)
            yield from with_parts(case, twice)


ENTRY = Mistake(
    id="damping-factor-two-lost",
    title="Factor two of the damping lost",
    idea="In s² + 2αs + ω0² the middle coefficient is twice α: R/(2L) in series, 1/(2RC) in parallel.",
    nudge="Compare your equation term by term with s² + 2αs + ω0²: what stands before s?",
    remark="Twice the damping coefficient was used.",
    source=source.REVIEW_SECOND_ORDER,
    prior=REPORTED,
    wrong=wrong,
)
