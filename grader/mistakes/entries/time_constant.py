"""The time constant found wrongly from the right resistance."""

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import Case
from grader.mistakes.propagate import OF_EXPRESSION, by_formula, from_time_constant, some
from grader.mistakes.records import Wrong, mistake
from grader.quantities.finding import Find
from grader.values.functions import log
from grader.values.scalar import ONE, ZERO
from grader.values.waveform import constant


@mistake
def rl_time_constant_inverted(case: Case) -> Iterator[Wrong]:
    """R over L, as a number of seconds."""
    if case.capacitive is False and case.find == Find.TAU:
        yield from by_products(case, "R/L")
    elif case.capacitive is False and case.find in OF_EXPRESSION:
        tau = case.solvers(Find.TAU)
        if tau is not None:
            yield from some(from_time_constant(case, constant(ONE) / tau))


@mistake
def wrong_combination(case: Case) -> Iterator[Wrong]:
    """The wrong products and quotients."""
    yield from by_products(case, *(("R/C", "C/R") if case.capacitive else ("L*R",)))


@mistake
def rate_instead_of_time(case: Case) -> Iterator[Wrong]:
    """1/τ, as a number of seconds."""
    tau, seen = case.solvers(Find.TAU), case.solvers(Find.SEEN)
    if case.find != Find.TAU or tau is None:
        return
    if case.capacitive is None or seen is None or (case.capacitive and not seen.terms):
        yield Wrong(constant(ONE) / tau)
    else:
        yield from by_products(case, "1/(R*C)" if case.capacitive else "1/(L/R)")


def by_products(case: Case, *formulas: str) -> Iterator[Wrong]:
    """A time constant by wrong formulas of the resistance seen, ``R``, and the storage element, ``C`` or ``L``."""
    tau, seen = case.solvers(Find.TAU), case.solvers(Find.SEEN)
    if case.find == Find.TAU and case.capacitive is not None and tau is not None and seen is not None:
        storage = {"C": tau / seen} if case.capacitive else {"L": tau * seen}
        for formula in formulas:
            yield from by_formula(case, formula, {"R": Find.SEEN}, given=storage)


@mistake
def five_time_constants(case: Case) -> Iterator[Wrong]:
    """Three, four and five times the time constant."""
    tau = case.solvers(Find.TAU)
    if case.find == Find.TAU and tau is not None:
        for times in (5, 4, 3):
            yield Wrong.times(tau, constant(fmpq(times)), f"{times}τ")


@mistake
def half_time(case: Case) -> Iterator[Wrong]:
    """τ times ln 2, and τ over ln 2."""
    tau = case.solvers(Find.TAU)
    if case.find == Find.TAU and tau is not None:
        two = log(constant(fmpq(2)))
        yield Wrong.times(tau, two, "τ·ln 2")
        yield Wrong.times(tau, constant(fmpq(1)) / two, "τ/ln 2")


@mistake
def storage_elements_combined_wrongly(case: Case) -> Iterator[Wrong]:
    """Sum for reciprocal sum of all storage elements of one kind, and the reverse."""
    if len(case.acting) < 2 or case.capacitive is None:
        return
    values = [element.value for element in case.acting]
    added, beside = sum(values, ZERO), ONE / sum((ONE / value for value in values), ZERO)
    for total, variant in ((added, "added"), (beside, "by reciprocals")):
        if case.find in ("equivalent capacitance", "equivalent inductance"):
            yield Wrong(constant(total), variant)
            continue
        tau, seen = case.solvers(Find.TAU), case.solvers(Find.SEEN)
        if tau is not None and seen is not None and seen.terms:
            yield from some(
                from_time_constant(case, seen.scaled(total) if case.capacitive else constant(total) / seen), variant
            )
