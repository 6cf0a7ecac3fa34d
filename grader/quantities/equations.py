"""Characteristic polynomials and differential equations, as polynomials whose leading coefficient is 1.

A polynomial in s is kept as one in t.  Of the equation ``p(d/dt) x = r`` the same holds with the n-th derivative of x as
``t^(n+1)``, all on one side: ``t p(t) - r``; so a common factor and the order of terms make no difference.
"""

import math
from collections.abc import Iterable, Iterator, Mapping

from grader.circuit.characteristic import Characteristic, Root
from grader.errors import NotDefined
from grader.problem import Item
from grader.quantities.finding import Find
from grader.quantities.question import Question
from grader.quantities.rules import Answer, Roots, Rule, Step, from_first
from grader.quantities.s_domain import FUNCTION
from grader.quantities.second_order import coefficients, monic, quadratic
from grader.quantities.steps import value_of
from grader.reading.render.typeset import stated_text
from grader.reading.render.waveform_tree import scalar_tree
from grader.reading.tree import Negative
from grader.values.laplace import fraction
from grader.values.scalar import ONE, ZERO, Scalar, is_symbolic, to_float
from grader.values.text import number_text
from grader.values.waveform import TIME, Waveform, constant

_POWERS = {0: "", 1: "s", 2: "s²", 3: "s³"}


def characteristic_polynomial(question: Question) -> Waveform:
    """That of the interval meant."""
    found = characteristic(question).polynomial
    if len(found) < 2:
        raise NotDefined("there is no storage element whose response could have a characteristic polynomial")
    total = Waveform()
    for value in found:  # highest power first, as Horner has it
        total = total * TIME + constant(value)
    return total


def differential_equation(question: Question) -> Waveform:
    """That of the signal asked, with what the sources add."""
    polynomial = characteristic_polynomial(question)
    found, derivative, added, size = coefficients(polynomial), question.waveform, Waveform(), 0.0
    for power in range(max(found) + 1):
        part = derivative.scaled(found.get(power, ZERO))
        added, derivative = added + part, derivative.derivative()
        size = (
            max(size, *(math.hypot(m.cosine, m.sine) for m in part.modes())) if not part.exact and part.terms else size
        )
    if not added.exact:  # of roots without an exact form rounding is left
        sizes = ((term, math.hypot(to_float(term.cosine), to_float(term.sine))) for term in added.terms)
        added = Waveform(tuple(term for term, own in sizes if own > NEGLIGIBLE * size), exact=False)
    if not added.is_constant:
        raise NotDefined(
            "the sources vary, and so does the equation's right side; ask for the characteristic polynomial"
        )
    return polynomial * TIME - added


NEGLIGIBLE = 1e-12
"""Share of the largest term below which one is rounding."""


def from_tau(named: Mapping[str, Answer]) -> Waveform:
    """``s + 1/τ``."""
    return TIME + constant(ONE) / value_of(named, "tau")


def with_final(named: Mapping[str, Answer]) -> Waveform:
    """The equation whose polynomial is ``p`` and whose solution tends to ``xf``."""
    polynomial = value_of(named, "p")
    return polynomial * TIME - value_of(named, "xf").scaled(coefficients(polynomial).get(0, ZERO))


def from_polynomial(question: Question, step: Step) -> Iterator[Rule]:
    """What the own characteristic polynomial says."""
    says = "This follows from your own characteristic polynomial."
    yield from from_first(question.earlier_here(Find.POLYNOMIAL), "p", says, name="p", step=step)


def of_function(named: Mapping[str, Answer]) -> Waveform:
    """The polynomial under the function of s ``x``."""
    x = value_of(named, "x")
    if not x.is_number:
        raise NotDefined("a quotient of polynomials in s is needed")
    total = Waveform()
    for value in reversed(fraction(x.number).bottom):  # lowest power first
        total = total * TIME + constant(value)
    return monic(total)


def polynomial_rules(question: Question) -> Iterator[Rule]:
    """A polynomial from the own roots, α and ω0, time constant, poles or transfer function."""
    sources: tuple[tuple[dict[str, str], Step, str], ...] = (
        ({"roots": Find.ROOTS}, quadratic, "roots"),
        ({"roots": Find.POLES}, quadratic, "poles"),
        ({"x": FUNCTION}, of_function, "transfer function"),
        ({"alpha": Find.ALPHA, "omega0": Find.OMEGA0}, quadratic, "damping coefficient and natural frequency"),
        ({"tau": Find.TAU}, from_tau, "time constant"),
    )
    for needs, step, words in sources:
        items = {name: next(question.earlier_here(find), None) for name, find in needs.items()}
        uses = tuple((name, item.id) for name, item in items.items() if isinstance(item, Item))
        if len(uses) == len(needs):
            yield Rule(formula="p(s)", uses=uses, says=f"This follows from your own {words}.", step=step)


def equation_text(answer: Waveform, unknown: str = "") -> str:
    """``s² + 6s + 25 = 0``, or with the signal's symbol ``d²v_C1/dt² + 6 dv_C1/dt + 25 v_C1 = 125``; in SI base units."""
    found = coefficients(answer)
    first = 1 if unknown else 0
    text = ""
    for power in sorted((power for power in found if power >= first), reverse=True):
        size, minus = _number(found[power])
        factor = derivative_text(unknown, power - 1) if unknown else _POWERS.get(power, f"s^{power}")
        term = factor if size == "1" and factor else f"{size} {factor}".strip()
        text += f" {'-' if minus else '+'} {term}" if text else f"{'-' if minus else ''}{term}"
    size, minus = _number(-found.get(0, ZERO) if unknown else ZERO)
    return f"{text} = {'-' if minus else ''}{size if minus or not size.startswith('(') else size[1:-1]}"


def derivative_text(unknown: str, order: int) -> str:
    """``d²v_C1/dt²``; of order 0 the symbol itself."""
    if not order:
        return unknown
    power = {1: "", 2: "²", 3: "³"}.get(order, f"^{order}")
    return f"d{power}{unknown}/dt{power}"


def _number(value: Scalar) -> tuple[str, bool]:
    """Its size as text, and whether a minus goes before it."""
    if is_symbolic(value):
        tree = scalar_tree(value)
        minus = isinstance(tree, Negative)
        return f"({stated_text(tree.operand if isinstance(tree, Negative) else tree)})", minus
    return number_text(abs(to_float(value))), to_float(value) < 0


_WHY_NOT = {
    "omega_d": "the response is not underdamped, so it has no damped natural frequency",
    "omega0": "the roots lie on both sides of zero, so there is no undamped natural frequency",
}


def characteristic(question: Question) -> Characteristic:
    """Characteristic polynomial, roots and damping of the interval meant."""
    return question.solved.characteristic(question.index, question.item.signal)


def listed(roots: Iterable[Root]) -> Roots:
    """Every root as often as it occurs, conjugate pairs together."""
    found: list[tuple[Waveform, Waveform]] = []
    for root in roots:
        real, imaginary = constant(root.real, root.exact), constant(root.imaginary, root.exact)
        pair = [(real, imaginary), (real, -imaginary)] if imaginary.terms else [(real, imaginary)]
        found.extend(pair * root.multiplicity)
    return tuple(found)


def second_order(question: Question) -> Characteristic:
    """`characteristic` of a circuit of second order.

    Raises
    ------
    NotDefined
        If it is of another order.
    """
    found = characteristic(question)
    if found.order != 2:
        raise NotDefined(f"the circuit is of order {found.order} here; this belongs to a response of second order")
    return found


def of_second_order(question: Question, name: str) -> Waveform:
    """``alpha``, ``omega0``, ``omega_d`` or ``zeta`` of a circuit of second order.

    Raises
    ------
    NotDefined
        If the circuit is of another order, or has no such value.
    """
    value = getattr(second_order(question), name)
    if value is None:
        raise NotDefined(_WHY_NOT.get(name, "the response has no such value"))
    return constant(value)
