"""The constants and the form of a second-order response found wrongly from the right rates."""

import math
from collections.abc import Iterator

from grader.circuit.elements import Capacitor
from grader.circuit.statics import OPEN, SHORT, held_roles
from grader.mistakes.case import AT, INITIAL, Case, derived_signal
from grader.mistakes.records import OBSERVED, REVIEW_STORAGE, Citation, Wrong, mistake
from grader.mistakes.second_order import (
    Changed,
    Conditions,
    SecondOrder,
    by_conditions,
    by_parts,
    conditions,
    solved,
    with_parts,
)
from grader.quantities.links import own_signal
from grader.quantities.steps import CRITICAL, OVERDAMPED, UNDERDAMPED
from grader.values.scalar import ONE, rational, to_float
from grader.values.term import sample
from grader.values.waveform import Waveform, constant


@mistake(
    title="Final value left out of the constants",
    idea="At the first instant the whole response counts: the constants add up to initial minus final value. They were "
    "made to add up to the initial value.",
    nudge="What does your whole expression, final value included, give at the first instant?",
    remark="The constants add up to the initial value although a final value is added.",
)
@by_conditions
def constants_final_left_out(right: Conditions) -> Conditions:
    """Constants that add up to the initial value, with the final value added all the same."""
    return right._replace(x0=right.x0 + right.xf)


@mistake(
    title="Start slope taken as zero",
    idea="The second condition is the slope at 0+, from iC = C dv/dt or vL = L di/dt. It is zero only where that "
    "current or voltage is.",
    nudge="Which current or voltage sets the slope at the first instant, and is it zero?",
    remark="The constants fit a start slope of zero.",
)
@by_conditions
def constants_slope_zero(right: Conditions) -> Conditions:
    """A start slope of zero."""
    return right._replace(slope=Waveform())


@mistake(
    title="Start slope from the wrong current",
    idea="The slope of a capacitor's voltage comes from its own current, which is what is left of the inductor's after "
    "the resistor has had its share (and likewise for voltages around an inductor).",
    nudge="Which current flows into the capacitor itself (or which voltage lies across the coil itself) at the first "
    "instant?",
    remark="The start slope was found from the other storage element's quantity as a whole.",
)
def constants_slope_from_wrong_current(case: Case) -> Iterator[Wrong]:
    """iL/C for iC/C, or vC/L for vL/L; with sources, what is left where a resistor at the element has no share."""
    right = conditions(case)
    own = next((e for e in case.storage if own_signal(e) == case.signal), None)
    other = next((e for e in case.storage if e is not own), None)
    if right is None or own is None or other is None or case.capacitive is not None or len(case.storage) != 2:
        return
    states = {e.name: value for e in (own, other) if (value := case.solvers(INITIAL, own_signal(e))) is not None}
    if len(states) != 2:
        return
    for direction in (ONE, -ONE):
        yield from with_parts(case, solved(right._replace(slope=states[other.name].scaled(direction / own.value))))
    no_share = OPEN if isinstance(own, Capacitor) else SHORT
    for resistor in case.resistors:
        treat = {**held_roles(case.circuit, states), resistor.name: no_share}
        driving = case.read(case.static(case.opens, treat), derived_signal(own))
        if driving is not None:
            slope = driving.scaled(ONE / own.value)
            yield from with_parts(case, solved(right._replace(slope=slope)), f"without {resistor.name}")


@mistake(
    title="Damping term lost from the second constant",
    idea="Differentiating e^(−αt) times a sum needs the product rule: the slope at 0 holds −α times the first constant "
    "as well.",
    nudge="Put the first instant into your expression and into its derivative: do you get the start value and the "
    "start slope?",
    remark="The second constant was found from the slope alone, without the product rule.",
    source=Citation(
        "Seen in a student's attempt: Physics Forums thread 363909, a critically damped RLC circuit.", OBSERVED
    ),
)
@by_conditions
def constants_damping_term_lost(right: Conditions) -> Conditions:
    """The second constant from the slope alone: B2 = x'(0)/ωd, A2 = x'(0)."""
    return right._replace(slope=right.slope - right.alpha * (right.x0 - right.xf))


@mistake(
    title="Factor t lost at a repeated root",
    idea="At critical damping the two exponentials are the same, and two constants before one exponential are only "
    "one. The second solution is t e^(−αt).",
    nudge="Are your two terms really different functions of t?",
    remark="Both constants stand before the same exponential.",
    source=REVIEW_STORAGE,
)
@by_parts
def constants_time_factor_lost(right: SecondOrder) -> Iterator[Changed]:
    """(A + B) e^(-αt) for (A + B t) e^(-αt): B lost with its t, or added to A."""
    if right.kind == CRITICAL:
        yield "", {"b": Waveform()}
        yield "", {"a": right.a + right.b, "b": Waveform()}


@mistake(
    title="Damping term of the second constant with the wrong sign",
    idea="Differentiating e^(−αt) brings down −α, so the condition reads: slope = −α times the first constant plus the "
    "rest. Solved for the second constant, that term is added.",
    nudge="Put the first instant into the derivative of your expression: do you get the start slope?",
    remark="The second constant was found with the damping term subtracted.",
)
@by_conditions
def constants_damping_term_turned(right: Conditions) -> Conditions:
    """The product rule with the wrong sign: B2 = (x'(0) - α A)/ωd."""
    step = right.alpha * (right.x0 - right.xf)
    return right._replace(slope=right.slope - step - step)


@mistake(
    title="The two constants exchanged",
    idea="Each constant belongs to its own function of time: the one that the value at the start decides, and the one "
    "that the slope decides. They stood in each other's place.",
    nudge="Which of your two terms decides the value at the first instant, and does it have the constant for that?",
    remark="The two constants stand in each other's place.",
)
@by_parts
def constants_exchanged(right: SecondOrder) -> Iterator[Changed]:
    """Each constant in the other's place."""
    yield "", {"a": right.b, "b": right.a}


@mistake(
    title="Sign of one constant turned",
    idea="One of the two constants has the wrong sign; for a phase, it was counted the wrong way. The value and the "
    "slope at the first instant show which.",
    nudge="Put the first instant into your expression and into its derivative: which of the two is off?",
    remark="One of the two constants has the wrong sign.",
)
@by_parts
def constants_one_sign_turned(right: SecondOrder) -> Iterator[Changed]:
    """The first constant, or the second: the sine of a phase counted the wrong way."""
    yield "of the second", {"b": -right.b}
    yield "of the first", {"a": -right.a}


@mistake(
    title="Phase in the wrong quadrant",
    idea="The tangent of an angle does not tell it from the one half a turn away. The signs of both constants say "
    "which quadrant the phase lies in.",
    nudge="What does your expression give at the first instant, sign included?",
    remark="The phase is off by half a turn.",
)
@by_parts
def constants_other_quadrant(right: SecondOrder) -> Iterator[Changed]:
    """Both constants turned: a phase that is off by half a turn."""
    if right.kind == UNDERDAMPED:
        yield "", {"a": -right.a, "b": -right.b}


@mistake(
    title="Form of another damping type",
    idea="Two real rates give two exponentials, a pair of complex ones an oscillation, and a double one the factor t. "
    "The form did not go with the rates.",
    nudge="What do your roots look like, and which form of the response goes with such roots?",
    remark="The response was written in the form of another damping type.",
)
def form_of_another_type(case: Case) -> Iterator[Wrong]:
    """The other forms with this circuit's rates (ω0 where a double root leaves no ωd), constants from start value and slope."""
    given = conditions(case)
    if given is None:
        return
    right, step = solved(given), given.x0 - given.xf
    rest = given.slope + given.alpha * step
    if right.kind != CRITICAL:
        yield from with_parts(case, right, CRITICAL, kind=CRITICAL, a=step, b=rest)
    if right.kind != UNDERDAMPED:
        pace = given.omega0 if right.kind == CRITICAL else right.beta
        yield from with_parts(case, right, UNDERDAMPED, kind=UNDERDAMPED, a=step, b=rest / pace, beta=pace)
    if right.kind == UNDERDAMPED:
        a = (rest + right.beta * step) / (right.beta + right.beta)
        yield from with_parts(case, right, OVERDAMPED, kind=OVERDAMPED, a=a, b=step - a)


@mistake(
    title="Calculator in degrees",
    idea="ωt is an angle in radians. The calculator took it as degrees, so the cosine hardly moved.",
    nudge="In which unit of angle does ωt come out, and in which did your calculator take it?",
    remark="The oscillation was evaluated with the angle in degrees.",
)
def degrees_for_radians(case: Case) -> Iterator[Wrong]:
    """The value at an instant with every angle taken as degrees."""
    if case.find != AT or case.signal is None or case.item.at is None or case.index == 0:
        return
    response = case.question.solved.waveform(case.signal, case.index).delayed(-case.start)
    if response.is_symbolic or not any(mode.frequency for mode in response.modes()):
        return
    turned = [mode._replace(frequency=math.radians(mode.frequency)) for mode in response.modes()]
    value = sample(turned, to_float(case.item.at - case.start))
    yield Wrong(constant(rational(repr(value)), exact=False))
