"""ω0 given for ωd."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import ALPHA, EXPRESSION, FINAL, INITIAL, OMEGA0, OMEGA_D, ROOTS, SLOPE, Case
from grader.mistakes.propagate import by_formula
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.mistakes.second_order import of_case, with_parts
from grader.quantities.steps import second_order


def wrong(case: Case) -> Iterator[Wrong]:
    """ω0 for ωd: alone, in the roots, in the response."""
    alpha, omega0 = case.solvers(ALPHA), case.solvers(OMEGA0)
    if alpha is None or omega0 is None or case.solvers(OMEGA_D) is None:
        return
    if case.find == OMEGA_D:
        yield from by_formula(case, "w0", {"w0": OMEGA0})
    elif case.find == ROOTS:
        yield Wrong(((-alpha, omega0), (-alpha, -omega0)))
    elif case.find == EXPRESSION:
        x0, slope, xf = case.solvers(INITIAL), case.solvers(SLOPE), case.solvers(FINAL)
        if x0 is not None and slope is not None and xf is not None:
            named = {"x0": x0, "slope": slope, "xf": xf, "alpha": alpha, "omega_d": omega0}
            yield Wrong(second_order(named, start=case.start))
        yield from with_parts(case, of_case(case), "in the oscillation alone", beta=omega0)


ENTRY = Mistake(
    id="damping-ignored-in-rate",
    title="Damping ignored in the frequency",
    idea="A damped circuit swings at ωd, below ω0. Only without losses are they equal.",
    nudge="Does the circuit that swings here have losses, and what do they do to the pace?",
    remark="ω0 was used where ωd belongs.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
