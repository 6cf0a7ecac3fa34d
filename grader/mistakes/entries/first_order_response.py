"""The first-order response put together wrongly from the right values, and times read off it wrongly."""

from collections.abc import Iterator

from flint import fmpq

from grader.circuit.elements import other_signal
from grader.mistakes.case import Case
from grader.mistakes.propagate import (
    OF_EXPRESSION,
    by_expression,
    from_circuit_before,
    from_expression,
    from_resistance,
    some,
)
from grader.mistakes.records import Wrong, mistake
from grader.mistakes.second_order import conditions, of_case, solved, with_parts
from grader.quantities.finding import Find
from grader.quantities.second_order import UNDERDAMPED
from grader.values.functions import exp, log
from grader.values.waveform import TIME, Waveform, constant


@mistake
def rise_from_zero_form(case: Case) -> Iterator[Wrong]:
    """As a formula of final value and time constant, where the initial value is not zero."""
    if _begins_at_some_value(case):
        yield from by_expression(case, "xf*(1-e^(-(t-t1)/tau))")


@mistake
def decay_only_form(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value and time constant, where the final value is not zero."""
    ends = case.solvers(Find.FINAL)
    if ends is not None and ends.terms:
        yield from by_expression(case, "x0*e^(-(t-t1)/tau)")
        yield from by_expression(case, "xf*e^(-(t-t1)/tau)", variant="a decay for a rise")
    right = conditions(case)
    if right is not None and right.xf.terms:
        yield from with_parts(case, solved(right), "final value lost", xf=Waveform())
        yield from with_parts(case, solved(right._replace(xf=Waveform())), "natural response alone")


@mistake
def start_value_dropped(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant, where the first is not zero."""
    if _begins_at_some_value(case):
        yield from by_expression(case, "(xf-x0)*(1-e^(-(t-t1)/tau))")


def _begins_at_some_value(case: Case) -> bool:
    """Whether there is an initial value to leave out."""
    begins = case.solvers(Find.INITIAL)
    return begins is not None and bool(begins.terms)


@mistake
def difference_turned_or_not_taken(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "xf+(xf-x0)*e^(-(t-t1)/tau)")
    yield from by_expression(case, "xf+x0*e^(-(t-t1)/tau)")
    yield from by_expression(case, "x0+(xf-x0)*e^(-(t-t1)/tau)")


@mistake
def growing_power(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant; of second order, both rates turned."""
    yield from by_expression(case, "xf+(x0-xf)*e^((t-t1)/tau)")
    right = of_case(case)
    if right is not None:
        yield from with_parts(case, right, alpha=-right.alpha, beta=-right.beta)
        if right.kind == UNDERDAMPED:
            yield from with_parts(case, right, alpha=-right.alpha)


@mistake
def power_upside_down(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "xf+(x0-xf)*e^(-(t-t1)*tau)")


@mistake
def rate_factor_lost(case: Case) -> Iterator[Wrong]:
    """The inductor's voltage or capacitor's current times τ; with the minus sign, and without it."""
    tau = case.solvers(Find.TAU)
    if tau is None or case.value is None or case.find not in (Find.INITIAL, Find.EXPRESSION, Find.AT, Find.SLOPE):
        return
    if case.signal in [other_signal(element) for element in case.storage] or case.find == Find.SLOPE:
        yield Wrong(case.value * tau)
        yield Wrong(-(case.value * tau), "minus sign lost, too")


@mistake
def thirty_seven_for_sixty_three(case: Case) -> Iterator[Wrong]:
    """The exponential's share counted from the wrong end, for a value at an instant."""
    if case.find == Find.AT and case.exponential is not None:
        x0, xf, tau = case.exponential
        yield from some(from_expression(case, x0 + (xf - x0) * exp(-(TIME - constant(case.start)) / tau)))


@mistake
def time_shift_forgotten(case: Case) -> Iterator[Wrong]:
    """The right formula with t for t minus the instant of switching."""
    if case.index and case.start != 0:
        yield from by_expression(case, "xf+(x0-xf)*e^(-(t-t1)/tau)", variant="t not shifted", shift=False)


@mistake
def time_from_switching_given(case: Case) -> Iterator[Wrong]:
    """The right instant less the instant of switching."""
    if case.find in (Find.REACH, Find.MEET) and case.start != 0 and case.value is not None:
        yield Wrong(case.value - constant(case.start), shift=-constant(case.start))


@mistake
def first_interval_treated_as_settled(case: Case) -> Iterator[Wrong]:
    """From the dc state of the interval before; with the time constant of the interval before."""
    if case.index < 2:
        return
    yield from some(from_circuit_before(case, case.static(case.opened_before, {})), "settled")
    if case.find in OF_EXPRESSION:
        earlier = case.resistance(case.index - 1, {})
        yield from some(from_resistance(case, earlier), "time constant of the interval before")


@mistake
def common_logarithm_used(case: Case) -> Iterator[Wrong]:
    """The time since the switching over ln 10."""
    if case.find in (Find.REACH, Find.MEET) and case.value is not None:
        start = constant(case.start)
        yield Wrong(start + (case.value - start) / log(constant(fmpq(10))))
