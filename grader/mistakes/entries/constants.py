"""The constants of a second-order response found wrongly."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Capacitor
from grader.mistakes.case import INITIAL, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.records import NO_SOURCE, OBSERVED, REPORTED, SUPPOSED, Mistake, Wrong
from grader.mistakes.second_order import conditions, of_case, solved, with_parts
from grader.quantities.links import own_signal
from grader.quantities.steps import CRITICAL, UNDERDAMPED
from grader.values.scalar import ONE
from grader.values.waveform import Waveform


def changed(case: Case, **parts: Waveform) -> Iterator[Wrong]:
    """The response that meets other conditions than the right ones."""
    right = conditions(case)
    if right is not None:
        yield from with_parts(case, solved(right._replace(**parts)))


def final_left_out(case: Case) -> Iterator[Wrong]:
    """Constants that add up to the initial value, with the final value added all the same."""
    right = conditions(case)
    if right is not None:
        yield from changed(case, x0=right.x0 + right.xf)


def slope_zero(case: Case) -> Iterator[Wrong]:
    """A start slope of zero."""
    yield from changed(case, slope=Waveform())


def slope_from_wrong_current(case: Case) -> Iterator[Wrong]:
    """iL/C for iC/C, or vC/L for vL/L."""
    if conditions(case) is None or case.signal is None or not case.is_own() or len(case.storage) != 2:
        return
    own = next((e for e in case.storage if own_signal(e) == case.signal), None)
    other = next((e for e in case.storage if e is not own), None)
    if own is None or other is None or isinstance(own, Capacitor) == isinstance(other, Capacitor):
        return
    state = case.solvers(INITIAL, own_signal(other))
    if state is not None:
        for direction in (ONE, -ONE):
            yield from changed(case, slope=state.scaled(direction / own.value))


def damping_term_lost(case: Case) -> Iterator[Wrong]:
    """The second constant from the slope alone: B2 = x'(0)/ωd, A2 = x'(0)."""
    right = conditions(case)
    if right is not None:
        yield from changed(case, slope=right.slope - right.alpha * (right.x0 - right.xf))


def time_factor_lost(case: Case) -> Iterator[Wrong]:
    """(A + B) e^(-αt) for (A + B t) e^(-αt)."""
    right = of_case(case)
    if right is not None and right.kind == CRITICAL:
        yield from with_parts(case, right, b=Waveform())


def damping_term_turned(case: Case) -> Iterator[Wrong]:
    """The product rule with the wrong sign: B2 = (x'(0) - α A)/ωd."""
    right = conditions(case)
    if right is not None:
        step = right.alpha * (right.x0 - right.xf)
        yield from changed(case, slope=right.slope - step - step)


def exchanged(case: Case) -> Iterator[Wrong]:
    """Each constant in the other's place."""
    right = of_case(case)
    if right is not None:
        yield from with_parts(case, right, a=right.b, b=right.a)


def one_sign_turned(case: Case) -> Iterator[Wrong]:
    """The first constant, or the second: the sine of a phase counted the wrong way."""
    right = of_case(case)
    if right is not None:
        yield from with_parts(case, right, "of the second", b=-right.b)
        yield from with_parts(case, right, "of the first", a=-right.a)


def other_quadrant(case: Case) -> Iterator[Wrong]:
    """Both constants turned: a phase that is off by half a turn."""
    right = of_case(case)
    if right is not None and right.kind == UNDERDAMPED:
        yield from with_parts(case, right, a=-right.a, b=-right.b)


ENTRIES = (
    Mistake(
        id="constants-final-left-out",
        title="Final value left out of the constants",
        idea=(
            "At the first instant the whole response counts: the constants add up to initial minus final value. They "
            "were made to add up to the initial value."
        ),
        nudge="What does your whole expression, final value included, give at the first instant?",
        remark="The constants add up to the initial value although a final value is added.",
        source=NO_SOURCE,
        prior=SUPPOSED,
        wrong=final_left_out,
    ),
    Mistake(
        id="constants-slope-zero",
        title="Start slope taken as zero",
        idea=(
            "The second condition is the slope at 0+, from iC = C dv/dt or vL = L di/dt. It is zero only where that "
            "current or voltage is."
        ),
        nudge="Which current or voltage sets the slope at the first instant, and is it zero?",
        remark="The constants fit a start slope of zero.",
        source=NO_SOURCE,
        prior=SUPPOSED,
        wrong=slope_zero,
    ),
    Mistake(
        id="constants-slope-from-wrong-current",
        title="Start slope from the wrong current",
        idea=(
            "The slope of a capacitor's voltage comes from its own current, which is what is left of the inductor's "
            "after the resistor has had its share (and likewise for voltages around an inductor)."
        ),
        nudge=(
            "Which current flows into the capacitor itself (or which voltage lies across the coil itself) at the "
            "first instant?"
        ),
        remark="The start slope was found from the other storage element's quantity as a whole.",
        source=NO_SOURCE,
        prior=SUPPOSED,
        wrong=slope_from_wrong_current,
    ),
    Mistake(
        id="constants-damping-term-lost",
        title="Damping term lost from the second constant",
        idea=(
            "Differentiating e^(−αt) times a sum needs the product rule: the slope at 0 holds −α times the first "
            "constant as well."
        ),
        nudge=(
            "Put the first instant into your expression and into its derivative: do you get the start value and the "
            "start slope?"
        ),
        remark="The second constant was found from the slope alone, without the product rule.",
        source=source.PRODUCT_RULE,
        prior=OBSERVED,
        wrong=damping_term_lost,
    ),
    Mistake(
        id="constants-damping-term-turned",
        title="Damping term of the second constant with the wrong sign",
        idea=(
            "Differentiating e^(−αt) brings down −α, so the condition reads: slope = −α times the first constant plus the"
            " rest. Solved for the second constant, that term is added."
        ),
        nudge="Put the first instant into the derivative of your expression: do you get the start slope?",
        remark="The second constant was found with the damping term subtracted.",
        source=NO_SOURCE,
        prior=SUPPOSED,
        wrong=damping_term_turned,
    ),
    Mistake(
        id="constants-exchanged",
        title="The two constants exchanged",
        idea=(
            "Each constant belongs to its own function of time: the one that the value at the start decides, and the one "
            "that the slope decides. They stood in each other's place."
        ),
        nudge="Which of your two terms decides the value at the first instant, and does it have the constant for that?",
        remark="The two constants stand in each other's place.",
        source=NO_SOURCE,
        prior=SUPPOSED,
        wrong=exchanged,
    ),
    Mistake(
        id="constants-other-quadrant",
        title="Phase in the wrong quadrant",
        idea=(
            "The tangent of an angle does not tell it from the one half a turn away. The signs of both constants say "
            "which quadrant the phase lies in."
        ),
        nudge="What does your expression give at the first instant, sign included?",
        remark="The phase is off by half a turn.",
        source=NO_SOURCE,
        prior=SUPPOSED,
        wrong=other_quadrant,
    ),
    Mistake(
        id="constants-one-sign-turned",
        title="Sign of one constant turned",
        idea=(
            "One of the two constants has the wrong sign; for a phase, it was counted the wrong way. The value and the "
            "slope at the first instant show which."
        ),
        nudge="Put the first instant into your expression and into its derivative: which of the two is off?",
        remark="One of the two constants has the wrong sign.",
        source=NO_SOURCE,
        prior=SUPPOSED,
        wrong=one_sign_turned,
    ),
    Mistake(
        id="constants-time-factor-lost",
        title="Factor t lost at a repeated root",
        idea=(
            "At critical damping the two exponentials are the same, and two constants before one exponential are only"
            " one. The second solution is t e^(−αt)."
        ),
        nudge="Are your two terms really different functions of t?",
        remark="Both constants stand before the same exponential.",
        source=source.REVIEW_STORAGE,
        prior=REPORTED,
        wrong=time_factor_lost,
    ),
)
