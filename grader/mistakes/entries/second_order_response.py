"""The constants and the form of a second-order response found wrongly from the right rates."""

import math
from collections.abc import Iterator

from msgspec import structs
from msgspec.structs import replace

from grader.circuit.elements import Capacitor, other_signal, own_signal
from grader.circuit.statics import OPEN, SHORT, held_roles
from grader.circuit.superposition import parts_by_shape
from grader.mistakes.case import Case
from grader.mistakes.records import Wrong, mistake
from grader.mistakes.second_order import (
    Changed,
    Conditions,
    by_conditions,
    by_parts,
    conditions,
    of_case,
    solved,
    with_parts,
)
from grader.quantities.finding import Find
from grader.quantities.second_order import CRITICAL, OVERDAMPED, UNDERDAMPED, SecondOrder
from grader.values.scalar import ONE, rational, to_float
from grader.values.term import sample
from grader.values.waveform import Waveform, constant


@mistake
@by_conditions
def constants_final_left_out(right: Conditions) -> Conditions:
    """Constants that add up to the initial value, with the final value added all the same."""
    return right._replace(x0=right.x0 + right.xf)


@mistake
@by_conditions
def constants_slope_zero(right: Conditions) -> Conditions:
    """A start slope of zero."""
    return right._replace(slope=Waveform())


@mistake
def constants_slope_from_wrong_current(case: Case) -> Iterator[Wrong]:
    """iL/C for iC/C, or vC/L for vL/L; with sources, what is left where a resistor at the element has no share."""
    right = conditions(case)
    own = next((e for e in case.acting if own_signal(e) == case.signal), None)
    other = next((e for e in case.acting if e is not own), None)
    if right is None or own is None or other is None or case.capacitive is not None or len(case.acting) != 2:
        return
    states = {e.name: value for e in (own, other) if (value := case.solvers(Find.INITIAL, own_signal(e))) is not None}
    if len(states) != 2:
        return
    for direction in (ONE, -ONE):
        yield from with_parts(case, solved(right._replace(slope=states[other.name].scaled(direction / own.value))))
    no_share = OPEN if isinstance(own, Capacitor) else SHORT
    for resistor in case.resistors:
        treat = {**held_roles(case.circuit, states), resistor.name: no_share}
        driving = case.read(case.static(case.opens, treat), other_signal(own))
        if driving is not None:
            slope = driving.scaled(ONE / own.value)
            yield from with_parts(case, solved(right._replace(slope=slope)), f"without {resistor.name}")


@mistake
@by_conditions
def constants_damping_term_lost(right: Conditions) -> Conditions:
    """The second constant from the slope alone: B2 = x'(0)/ωd, A2 = x'(0)."""
    return right._replace(slope=right.slope - right.alpha * (right.x0 - right.xf))


@mistake
@by_parts
def constants_time_factor_lost(right: SecondOrder) -> Iterator[Changed]:
    """(A + B) e^(-αt) for (A + B t) e^(-αt): B lost with its t, or added to A."""
    if right.kind == CRITICAL:
        yield "", {"b": Waveform()}
        yield "", {"a": right.a + right.b, "b": Waveform()}


@mistake
@by_conditions
def constants_damping_term_turned(right: Conditions) -> Conditions:
    """The product rule with the wrong sign: B2 = (x'(0) - α A)/ωd."""
    step = right.alpha * (right.x0 - right.xf)
    return right._replace(slope=right.slope - step - step)


@mistake
def constants_exchanged(case: Case) -> Iterator[Wrong]:
    """Each constant in the other's place; beside what a source forces those of the two exponentials of the circuit's own."""
    right = of_case(case)
    if right is not None:
        yield from with_parts(case, right, a=right.b, b=right.a)
    if case.find != Find.EXPRESSION or case.signal is None or case.index == 0 or case.value is None:
        return
    natural = parts_by_shape(case.solved, case.signal, case.index)[0].delayed(-case.start)
    if len(natural.terms) == 2 and not any(term.power or term.frequency for term in natural.terms):
        one, other = natural.terms
        turned = [
            structs.replace(mine, cosine=theirs.cosine, offset=theirs.offset)
            for mine, theirs in ((one, other), (other, one))
        ]
        yield Wrong(case.value + (Waveform.of(turned, natural.exact) - natural).delayed(case.start))


@mistake
@by_parts
def constants_one_sign_turned(right: SecondOrder) -> Iterator[Changed]:
    """The first constant, or the second: the sine of a phase counted the wrong way."""
    yield "of the second", {"b": -right.b}
    yield "of the first", {"a": -right.a}


@mistake
@by_parts
def constants_other_quadrant(right: SecondOrder) -> Iterator[Changed]:
    """Both constants turned: a phase that is off by half a turn."""
    if right.kind == UNDERDAMPED:
        yield "", {"a": -right.a, "b": -right.b}


@mistake
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


@mistake
def degrees_for_radians(case: Case) -> Iterator[Wrong]:
    """The value at an instant with every angle taken as degrees."""
    if case.find != Find.AT or case.signal is None or case.item.at is None or case.index == 0:
        return
    response = case.question.solved.waveform(case.signal, case.index).delayed(-case.start)
    if response.is_symbolic or not any(mode.frequency for mode in response.modes()):
        return
    turned = [replace(mode, frequency=math.radians(mode.frequency)) for mode in response.modes()]
    value = sample(turned, to_float(case.item.at - case.start))
    yield Wrong(constant(rational(repr(value)), exact=False))
