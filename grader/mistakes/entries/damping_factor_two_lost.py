"""R/L or 1/(RC) taken as the damping coefficient."""

from __future__ import annotations

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import ALPHA, OMEGA0, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_damping, some
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.mistakes.second_order import conditions, solved, with_parts
from grader.quantities.steps import OVERDAMPED


def wrong(case: Case) -> Iterator[Wrong]:
    """Twice α, and what follows from it."""
    alpha, omega0 = case.solvers(ALPHA), case.solvers(OMEGA0)
    if alpha is not None and omega0 is not None and case.find != OMEGA0:
        yield from some(from_damping(case, alpha.scaled(fmpq(2)), omega0))
        right = conditions(case)
        if right is not None:
            yield from with_parts(case, solved(right._replace(alpha=alpha.scaled(fmpq(2)))))
            if solved(right).kind != OVERDAMPED:
                yield from with_parts(case, solved(right), "in the decay alone", alpha=alpha.scaled(fmpq(2)))


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
