"""The time constant found wrongly from the right resistance."""

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import SEEN, TAU, Case
from grader.mistakes.propagate import OF_EXPRESSION, by_formula, from_time_constant, some
from grader.mistakes.records import OBSERVED, REPORTED, REVIEW_STORAGE, SUPPOSED, Citation, Wrong, mistake
from grader.values.functions import log
from grader.values.scalar import ONE, ZERO
from grader.values.waveform import constant


@mistake(
    title="R/L for L/R",
    idea="R/L is the rate at which the exponential falls, in 1/s. The time constant is its reciprocal; a larger coil "
    "must make things slower.",
    nudge="Work out the unit of your expression: is it seconds?",
    remark="R/L was given where L/R is the time constant.",
    source=Citation(
        "Seen in a student's lab script and in a student's course notes (ECE 140, first-order circuits); listed in public notes on differential equations.",
        OBSERVED,
    ),
)
def rl_time_constant_inverted(case: Case) -> Iterator[Wrong]:
    """R over L, as a number of seconds."""
    if case.capacitive is False and case.find == TAU:
        yield from by_products(case, "R/L")
    elif case.capacitive is False and case.find in OF_EXPRESSION:
        tau = case.solvers(TAU)
        if tau is not None:
            yield from some(from_time_constant(case, constant(ONE) / tau))


@mistake(
    title="Resistance and storage element combined wrongly",
    idea="A larger capacitor, or a larger resistance in front of it, makes things slower; a larger coil, or a smaller "
    "resistance, does, too. The combination used does not behave so, nor has it the unit of a time.",
    nudge="Should a larger capacitor or coil make things slower or faster, and does your formula agree?",
    remark="R and C (or L) were combined by a wrong formula.",
    source=Citation("Listed in a public teaching file of misconceptions on RC circuits.", REPORTED),
)
def wrong_combination(case: Case) -> Iterator[Wrong]:
    """The wrong products and quotients."""
    yield from by_products(case, *(("R/C", "C/R") if case.capacitive else ("L*R",)))


@mistake(
    title="Rate given for the time constant",
    idea="The rate 1/τ stands in the exponent, in 1/s. What was asked is the time.",
    nudge="One of the two is a time and the other is per time: which one was asked?",
    remark="One over the time constant was given.",
)
def rate_instead_of_time(case: Case) -> Iterator[Wrong]:
    """1/τ, as a number of seconds."""
    tau, seen = case.solvers(TAU), case.solvers(SEEN)
    if case.find != TAU or tau is None:
        return
    if case.capacitive is None or seen is None or (case.capacitive and not seen.terms):
        yield Wrong(constant(ONE) / tau)
    else:
        yield from by_products(case, "1/(R*C)" if case.capacitive else "1/(L/R)")


def by_products(case: Case, *formulas: str) -> Iterator[Wrong]:
    """A time constant by wrong formulas of the resistance seen, ``R``, and the storage element, ``C`` or ``L``."""
    tau, seen = case.solvers(TAU), case.solvers(SEEN)
    if case.find == TAU and case.capacitive is not None and tau is not None and seen is not None:
        storage = {"C": tau / seen} if case.capacitive else {"L": tau * seen}
        for formula in formulas:
            yield from by_formula(case, formula, {"R": SEEN}, given=storage)


@mistake(
    title="Settling time for the time constant",
    idea="After five time constants the response has practically settled. The time constant itself is the time after "
    "which 37 % of the change is left.",
    nudge="How far has the curve gone after one time constant?",
    remark="A multiple (3, 4 or 5) of the time constant was given.",
    source=Citation(
        "5τ as the settling rule: German homework posts; that it is mistaken for τ: common practice, no source.",
        SUPPOSED,
    ),
)
def five_time_constants(case: Case) -> Iterator[Wrong]:
    """Three, four and five times the time constant."""
    tau = case.solvers(TAU)
    if case.find == TAU and tau is not None:
        for times in (5, 4, 3):
            yield Wrong.times(tau, constant(fmpq(times)), f"{times}τ")


@mistake(
    title="Half-time for the time constant",
    idea="The half-value time is ln 2 times the time constant: after one time constant 37 % is left, not 50 %.",
    nudge="Which fraction is left after one time constant?",
    remark="The time to half the change (or τ over ln 2) was given.",
    source=Citation("Listed in public notes on differential equations (half-life formula).", REPORTED),
)
def half_time(case: Case) -> Iterator[Wrong]:
    """τ times ln 2, and τ over ln 2."""
    tau = case.solvers(TAU)
    if case.find == TAU and tau is not None:
        two = log(constant(fmpq(2)))
        yield Wrong.times(tau, two, "τ·ln 2")
        yield Wrong.times(tau, constant(fmpq(1)) / two, "τ/ln 2")


@mistake(
    title="Storage elements combined by the wrong rule",
    idea="Capacitors side by side add, capacitors in a row combine like resistors side by side; inductors follow the "
    "rule of resistors. The rules were exchanged.",
    nudge="Do capacitors (or coils) side by side store more together, or less?",
    remark="Capacitances or inductances were combined by the other rule.",
    source=REVIEW_STORAGE,
)
def storage_elements_combined_wrongly(case: Case) -> Iterator[Wrong]:
    """Sum for reciprocal sum of all storage elements of one kind, and the reverse."""
    if len(case.storage) < 2 or case.capacitive is None:
        return
    values = [element.value for element in case.storage]
    added, beside = sum(values, ZERO), ONE / sum((ONE / value for value in values), ZERO)
    for total, variant in ((added, "added"), (beside, "by reciprocals")):
        if case.find in ("equivalent capacitance", "equivalent inductance"):
            yield Wrong(constant(total), variant)
            continue
        tau, seen = case.solvers(TAU), case.solvers(SEEN)
        if tau is not None and seen is not None and seen.terms:
            yield from some(
                from_time_constant(case, seen.scaled(total) if case.capacitive else constant(total) / seen), variant
            )
