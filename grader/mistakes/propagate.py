"""What one wrong ingredient makes of an item: a wrong resistance of the time constant and of the whole response, too."""

from collections.abc import Callable, Iterator, Mapping
from functools import wraps
from typing import TypeAlias

from grader.circuit.elements import Capacitor, own_signal
from grader.circuit.statics import OPEN, SHORT, ResistiveCircuit, Substitution
from grader.errors import NotDefined
from grader.mistakes.altered import started, with_storage_times
from grader.mistakes.case import Case
from grader.mistakes.records import Wrong, WrongAnswers
from grader.quantities.composed import from_values
from grader.quantities.crossing import counted, crossing
from grader.quantities.equations import from_tau
from grader.quantities.finding import Find
from grader.quantities.rules import Answer, Rule, follow
from grader.quantities.second_order import quadratic, roots_of, sign_of, type_of
from grader.values.functions import exp, square_root
from grader.values.scalar import Scalar, is_symbolic, sign
from grader.values.waveform import TIME, Waveform, constant

OF_EXPRESSION = (Find.EXPRESSION, Find.AT, Find.SLOPE, Find.REACH, Find.MEET)
"""What is read off the whole response."""

OF_START = (*OF_EXPRESSION, Find.INITIAL, Find.STORED, Find.DISSIPATED)
"""What depends on the state that the interval starts with."""


def some(answer: Answer | None, variant: str = "", rule: Rule | None = None) -> Iterator[Wrong]:
    """The answer, if there is one."""
    if answer is not None:
        yield Wrong(answer, variant, rule)


Resistance: TypeAlias = tuple[Scalar | None, str]
"""A wrong resistance seen (ohms; None where there is none), and its variant."""


def by_resistance(seen: Callable[[Case], Iterator[Resistance]]) -> WrongAnswers:
    """Make wrong resistances the wrong answers that they lead to."""

    @wraps(seen)
    def wrong(case: Case) -> Iterator[Wrong]:
        for ohms, variant in seen(case):
            yield from some(from_resistance(case, ohms), variant)

    return wrong


def swapped(case: Case) -> dict[str, Substitution]:
    """Storage elements with each other's dc roles: capacitors short, inductors open."""
    return {element.name: SHORT if isinstance(element, Capacitor) else OPEN for element in case.storage}


# -- from a wrong response -------------------------------------------------------------------------


def from_expression(case: Case, expression: Waveform) -> Answer | None:
    """What the item's answer is if the whole response is taken to be this."""
    if case.find == Find.EXPRESSION:
        return expression
    if case.find == Find.AT and case.item.at is not None:
        return expression.at(case.item.at)
    if case.find == Find.SLOPE:
        return expression.derivative().at(case.start)
    if case.find == Find.REACH and case.item.level is not None:
        try:
            number, direction = counted(case.item)
            piece = (expression, case.question.start, case.question.end)
            return crossing([piece], case.item.level, number=number, direction=direction)
        except NotDefined:
            return None
    return None


def from_ingredients(
    case: Case, *, x0: Waveform | None = None, xf: Waveform | None = None, tau: Waveform | None = None
) -> Answer | None:
    """What the item's answer is with some of initial value, final value and time constant wrong."""
    own = {Find.INITIAL: x0, Find.FINAL: xf, Find.TAU: tau}
    if case.find in own:
        return own[case.find]
    right = case.exponential if case.find in OF_EXPRESSION else None
    if right is None or (x0, xf, tau) == (None, None, None):
        return None
    first, last, time = (given if given is not None else own for given, own in zip((x0, xf, tau), right, strict=True))
    if not time.terms:
        return None
    return from_expression(case, last + (first - last) * exp(-(TIME - constant(case.start)) / time))


def from_states(case: Case, states: Mapping[str, Waveform] | None) -> Answer | None:
    """What the item's answer is if the interval starts with these capacitor voltages and inductor currents."""
    if states is None or case.index == 0 or case.find not in OF_START:
        return None
    if case.find == Find.STORED and case.item.at is None:
        return None  # asked after a long time
    return case.answer_on(started(case.circuit, case.start, states))


def from_circuit_before(case: Case, static: ResistiveCircuit | None) -> Answer | None:
    """What the item's answer is if this is the steady state just before the switching."""
    return case.read(static) if case.find == Find.JUST_BEFORE else from_states(case, case.states(static))


def from_resistance(case: Case, seen: Scalar | None) -> Answer | None:
    """What the item's answer is if the storage element is taken to see this resistance (ohms)."""
    if seen is None or seen == 0 or (not is_symbolic(seen) and sign(seen) < 0):
        return None
    if case.find in (Find.SEEN, Find.BETWEEN):
        return constant(seen)
    right, tau, capacitive = case.solvers(Find.SEEN), case.solvers(Find.TAU), case.capacitive
    if right is None or tau is None or capacitive is None or not (right.is_number and tau.is_number) or not right.terms:
        return None
    factor = seen / right.number if capacitive else right.number / seen
    return from_time_constant(case, tau.scaled(factor))


def from_time_constant(case: Case, wrong: Waveform) -> Answer | None:
    """What the item's answer is with this time constant (seconds): storage elements of another size have it, too."""
    if case.find == Find.TAU:
        return wrong
    if case.find == Find.POLYNOMIAL:
        return from_tau({"tau": wrong})
    tau = case.solvers(Find.TAU)
    if tau is None or case.find not in OF_EXPRESSION or case.signal is None or case.index == 0:
        return None
    if case.signal.kind not in ("current", "voltage", "power") or not (tau.is_number and wrong.is_number):
        return None
    factor = wrong.number / tau.number
    held = states_before(case)
    return case.answer_on(with_storage_times(started(case.circuit, case.start, held), factor)) if factor != 0 else None


def states_before(case: Case) -> dict[str, Waveform]:
    """The right capacitor voltages and inductor currents just before the interval."""
    return {
        element.name: case.question.solved.just_before(own_signal(element), case.index)
        for element in case.storage
    }  # fmt: skip


def from_damping(case: Case, alpha: Waveform, omega0: Waveform) -> Answer | None:
    """What a second-order item's answer is with this damping coefficient and undamped natural frequency."""
    if case.find == Find.ALPHA:
        return alpha
    if case.find == Find.OMEGA0:
        return omega0
    if case.find == Find.ZETA:
        return alpha / omega0
    if case.find == Find.ROOTS:
        return roots_of({"alpha": alpha, "omega0": omega0})
    if case.find == Find.POLYNOMIAL:
        return quadratic({"alpha": alpha, "omega0": omega0})
    if case.find == Find.DAMPING:
        return type_of(alpha, omega0, within=0.0)
    excess = omega0 * omega0 - alpha * alpha
    if case.find == Find.OMEGA_D and sign_of(excess) > 0:
        return square_root(excess)
    return None


# -- formulas --------------------------------------------------------------------------------------


def by_formula(
    case: Case,
    formula: str,
    needs: Mapping[str, str],
    *,
    given: Mapping[str, Waveform] | None = None,
    variant: str = "",
) -> Iterator[Wrong]:
    """A wrong formula for the item, with the right values and as a rule for a student's own.

    Parameters
    ----------
    formula : str
        In the notation students write.
    needs : mapping
        Names in it, and the find that gives each.
    given : mapping
        Further names and their values.
    variant : str
        What to call it; the formula itself where nothing is given.
    """
    values = {name: case.solvers(find) for name, find in needs.items()}
    if any(value is None for value in values.values()):
        return
    known = {**(given or {}), **{name: value for name, value in values.items() if value is not None}}
    answer = follow(Rule(formula=formula, uses=(), given=tuple(known.items()), says=""), {})
    rule = next(from_values(case.question, formula, "", needs=dict(needs), given=dict(given or {})), None)
    yield from some(answer, variant or formula, rule)


def by_expression(case: Case, formula: str, *, variant: str = "", shift: bool = True) -> Iterator[Wrong]:
    """A wrong formula for a first-order response, in ``x0``, ``xf``, ``tau`` and ``t1``, the start of the interval.

    It counts for whatever is read off the response; as a rule, for the expression itself.
    """
    if case.find not in OF_EXPRESSION or case.exponential is None:
        return
    given = {"t1": constant(case.start if shift else case.start * 0)}
    for wrong in by_formula(
        case, formula, {"x0": Find.INITIAL, "xf": Find.FINAL, "tau": Find.TAU}, given=given, variant=variant
    ):
        if case.find == Find.EXPRESSION:
            yield wrong
        elif isinstance(wrong.answer, Waveform):
            yield from some(from_expression(case, wrong.answer), variant)
