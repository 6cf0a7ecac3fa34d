"""The first-order response put together wrongly from the right values, and times read off it wrongly."""

from collections.abc import Iterator

from flint import fmpq

from grader.mistakes.case import AT, EXPRESSION, INITIAL, REACH, SLOPE, TAU, Case, derived_signal
from grader.mistakes.propagate import (
    OF_EXPRESSION,
    by_expression,
    from_circuit_before,
    from_expression,
    from_resistance,
    some,
)
from grader.mistakes.records import OBSERVED, REVIEW_SECOND_ORDER, Citation, Wrong, mistake
from grader.mistakes.second_order import conditions, of_case, solved, with_parts
from grader.quantities.steps import UNDERDAMPED
from grader.values.functions import exp, log
from grader.values.waveform import TIME, Waveform, constant


@mistake(
    title="Rise from zero, in spite of a start value",
    idea="xf(1 − e^(−t/τ)) starts at zero. It was learnt for an empty element and used for one that is not.",
    nudge="What does your expression give at the first instant, and is that your start value?",
    remark="The formula of a rise from zero was used although the start value is not zero.",
)
def rise_from_zero_form(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "xf*(1-e^(-(t-t1)/tau))")


@mistake(
    title="Decay to zero, in spite of a final value",
    idea="x0 e^(−t/τ) dies to zero. It holds where no source is left, and was used where one is.",
    nudge="What does your expression give for very large t, and is that your final value?",
    remark="The formula of a source-free decay was used although the final value is not zero.",
    source=REVIEW_SECOND_ORDER,
)
def decay_only_form(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "x0*e^(-(t-t1)/tau)")
    yield from by_expression(case, "xf*e^(-(t-t1)/tau)", variant="a decay for a rise")
    right = conditions(case)
    if right is not None:
        yield from with_parts(case, solved(right), "final value lost", xf=Waveform())
        yield from with_parts(case, solved(right._replace(xf=Waveform())), "natural response alone")


@mistake(
    title="Start value dropped",
    idea="(xf − x0)(1 − e^(−t/τ)) is the change alone; the value it starts from was not added.",
    nudge="What does your expression give at the first instant?",
    remark="The change was given without the start value.",
    source=Citation("Seen in a student's attempt: Physics Forums thread 632090, RC with a start voltage.", OBSERVED),
)
def start_value_dropped(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "(xf-x0)*(1-e^(-(t-t1)/tau))")


@mistake(
    title="Difference of start and final value wrong",
    idea="The exponential carries the difference initial minus final. It was reversed, or one of the two values was "
    "put in its place.",
    nudge="Put in the first instant, then a very large t: which number is in the wrong place?",
    remark="The factor of the exponential is not initial minus final value.",
)
def difference_turned_or_not_taken(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "xf+(xf-x0)*e^(-(t-t1)/tau)")
    yield from by_expression(case, "xf+x0*e^(-(t-t1)/tau)")
    yield from by_expression(case, "x0+(xf-x0)*e^(-(t-t1)/tau)")


@mistake(
    title="Exponential that grows",
    idea="The exponent is positive, so the response grows without bound. A natural response of a passive circuit dies "
    "away.",
    nudge="What happens to your expression for very large t?",
    remark="The exponent has the wrong sign.",
    source=Citation(
        "Seen in students' attempts: Physics Forums thread 373520, a mathematics thread on RL by Laplace transform, a student's own list of answers.",
        OBSERVED,
    ),
)
def growing_power(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant; of second order, both rates turned."""
    yield from by_expression(case, "xf+(x0-xf)*e^((t-t1)/tau)")
    right = of_case(case)
    if right is not None:
        yield from with_parts(case, right, alpha=-right.alpha, beta=-right.beta)
        if right.kind == UNDERDAMPED:
            yield from with_parts(case, right, alpha=-right.alpha)


@mistake(
    title="Exponent upside down",
    idea="The exponent must be a pure number: time over time constant. It was multiplied by τ where it should be "
    "divided.",
    nudge="What must the power of e equal when t is one time constant?",
    remark="The exponent is t times τ instead of t over τ.",
    source=Citation("Seen on a homework page; common practice.", OBSERVED),
)
def power_upside_down(case: Case) -> Iterator[Wrong]:
    """As a formula of initial value, final value and time constant."""
    yield from by_expression(case, "xf+(x0-xf)*e^(-(t-t1)*tau)")


@mistake(
    title="Factor 1/τ lost in differentiating",
    idea="Differentiating e^(−t/τ) brings down −1/τ. Without it L di/dt and C dv/dt are too large or too small by τ.",
    nudge="What comes down in front when you differentiate the exponential?",
    remark="The derivative was taken without the factor 1/τ.",
)
def rate_factor_lost(case: Case) -> Iterator[Wrong]:
    """The inductor's voltage or capacitor's current times τ; with the minus sign, and without it."""
    tau = case.solvers(TAU)
    if tau is None or case.value is None or case.find not in (INITIAL, EXPRESSION, AT, SLOPE):
        return
    if case.signal in [derived_signal(element) for element in case.storage] or case.find == SLOPE:
        yield Wrong(case.value * tau)
        yield Wrong(-(case.value * tau), "minus sign lost, too")


@mistake(
    title="37 % taken for 63 %",
    idea="e^(−1), 37 %, is what is left of the change after one time constant; 63 % is what is done. The two were "
    "exchanged.",
    nudge="Is 1/e the part that is left or the part that is done?",
    remark="The part of the change that is left was taken for the part that is done.",
    source=Citation("Openknowledgegraph page on RL transients; seen in Physics Forums thread 187474.", OBSERVED),
)
def thirty_seven_for_sixty_three(case: Case) -> Iterator[Wrong]:
    """The exponential's share counted from the wrong end, for a value at an instant."""
    if case.find == AT and case.exponential is not None:
        x0, xf, tau = case.exponential
        yield from some(from_expression(case, x0 + (xf - x0) * exp(-(TIME - constant(case.start)) / tau)))


@mistake(
    title="Time shift forgotten",
    idea="The exponential of a later switching starts there: time counts from that instant. It was counted from zero.",
    nudge="At the moment of the later switching your exponential should just be starting: does it?",
    remark="Time was counted from zero instead of from the switching.",
    source=Citation("Seen in a student's attempt: Physics Forums thread 902399, RL switched twice.", OBSERVED),
)
def time_shift_forgotten(case: Case) -> Iterator[Wrong]:
    """The right formula with t for t minus the instant of switching."""
    if case.index and case.start != 0:
        yield from by_expression(case, "xf+(x0-xf)*e^(-(t-t1)/tau)", variant="from t = 0", shift=False)


@mistake(
    title="Time counted from the switching",
    idea="The instant is asked on the problem's own clock. The time since the switching was given.",
    nudge="From which instant does your time count, and from which does the question?",
    remark="The time since the switching was given in place of the instant.",
)
def time_from_switching_given(case: Case) -> Iterator[Wrong]:
    """The right instant less the instant of switching."""
    if case.find == REACH and case.start != 0 and case.value is not None:
        yield Wrong(case.value - constant(case.start))


@mistake(
    title="Earlier interval treated as settled, or its time constant kept",
    idea="At the second switching the element has what the first interval left in it, which is its final value only "
    "after several time constants; and each interval has its own time constant.",
    nudge="Had enough time passed before this switching, and which circuit sets the pace after it?",
    remark="The interval before was taken as settled, or its time constant was kept.",
)
def first_interval_treated_as_settled(case: Case) -> Iterator[Wrong]:
    """From the dc state of the interval before; with the time constant of the interval before."""
    if case.index < 2:
        return
    yield from some(from_circuit_before(case, case.static(case.opened_before, {})), "settled")
    if case.find in OF_EXPRESSION:
        earlier = case.resistance(case.index - 1, {})
        yield from some(from_resistance(case, earlier), "time constant of the interval before")


@mistake(
    title="Common logarithm used",
    idea="The exponential is to base e, so the natural logarithm undoes it. The common one is smaller by the factor "
    "2.303.",
    nudge="Which logarithm undoes a power of e?",
    remark="The time was found with the logarithm to base ten.",
)
def common_logarithm_used(case: Case) -> Iterator[Wrong]:
    """The time since the switching over ln 10."""
    if case.find == REACH and case.value is not None:
        start = constant(case.start)
        yield Wrong(start + (case.value - start) / log(constant(fmpq(10))))
