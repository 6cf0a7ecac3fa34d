"""What the characteristic polynomial says: its roots, its differential equation; of second order damping and natural frequencies."""

from collections.abc import Iterator
from functools import partial
from itertools import islice

from grader.errors import NotDefined
from grader.problem import Item
from grader.quantities import steps
from grader.quantities.composed import from_roots, from_values
from grader.quantities.equations import (
    characteristic,
    characteristic_polynomial,
    differential_equation,
    equation_text,
    from_polynomial,
    listed,
    of_second_order,
    polynomial_rules,
    second_order,
    with_final,
)
from grader.quantities.finding import Find
from grader.quantities.links import with_storage
from grader.quantities.question import Question
from grader.quantities.records import CHOICE, EQUATION, ROOTS, Asked
from grader.quantities.rules import Roots, Rule, from_first
from grader.quantities.s_domain import in_s
from grader.quantities.second_order import CRITICAL, number, roots_of, type_from
from grader.quantities.terminals import resistances_seen
from grader.quantities.words import symbol
from grader.values.comparison import close
from grader.values.dimension import NUMBER, RATE
from grader.values.functions import pi
from grader.values.scalar import HALF, is_symbolic, to_float
from grader.values.waveform import Waveform

_BY_DAMPING_AND_FREQUENCY = "This follows from your own damping coefficient and undamped natural frequency."
_BY_RATIO = "This follows from your own damping ratio."
_BY_RESISTANCE = "This follows from the resistance that you found."


class _OfSecondOrder(Asked):
    """A number of the polynomial ``s² + 2αs + ω0²``: the field of `Characteristic` that ``field`` names."""

    field: str
    allows = ("after",)
    measures = NUMBER

    def reference(self, question: Question) -> Waveform:
        return of_second_order(question, self.field)


class DampingCoefficient(_OfSecondOrder):
    """The damping coefficient α of a response of second order, from ``s² + 2αs + ω0²``."""

    name = "damping coefficient"
    field = "alpha"
    measures = RATE

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own roots or polynomial; ζ and ω0; the resistance that the inductor or the capacitor sees."""
        yield from from_roots(question, "-(s1+s2)/2", partial(number, name="alpha"))
        yield from from_polynomial(question, partial(number, name="alpha"))
        for item in islice(question.earlier_here(Find.ZETA), 1):
            yield from from_values(question, "zeta*w0", _BY_RATIO, needs={"w0": Find.OMEGA0}, uses=(("zeta", item.id),))
        for item in resistances_seen(question):
            for formula, given in with_storage(question, item.by, "R/(2*L)", "1/(2*R*C)"):
                yield Rule(formula=formula, uses=(("R", item.id),), given=given, says=_BY_RESISTANCE)


class UndampedNaturalFrequency(_OfSecondOrder):
    """The undamped natural frequency ω0 of a response of second order, from ``s² + 2αs + ω0²``."""

    name = "undamped natural frequency"
    field = "omega0"
    measures = RATE

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from from_roots(question, "sqrt(s1*s2)", partial(number, name="omega0"))
        yield from from_polynomial(question, partial(number, name="omega0"))


class DampedNaturalFrequency(_OfSecondOrder):
    """The damped natural frequency ωd of an underdamped response, ``sqrt(ω0² − α²)``."""

    name = "damped natural frequency"
    field = "omega_d"
    measures = RATE

    def rules(self, question: Question) -> Iterator[Rule]:
        needs = {"alpha": Find.ALPHA, "w0": Find.OMEGA0}
        yield from from_values(question, "sqrt(w0^2-alpha^2)", _BY_DAMPING_AND_FREQUENCY, needs=needs)
        yield from from_roots(question, "Im(s1)", partial(number, name="omega_d"))


class DampingRatio(_OfSecondOrder):
    """The damping ratio ζ of a response of second order, α over ω0."""

    name = "damping ratio"
    field = "zeta"

    def rules(self, question: Question) -> Iterator[Rule]:
        needs = {"alpha": Find.ALPHA, "w0": Find.OMEGA0}
        yield from from_values(question, "alpha/w0", _BY_DAMPING_AND_FREQUENCY, needs=needs)
        yield from from_roots(question, "-(s1+s2)/(2*sqrt(s1*s2))", partial(number, name="zeta"))


class DampingType(Asked):
    """Whether a response of second order is overdamped, critically damped, underdamped or undamped."""

    name = "damping type"
    answers = CHOICE

    def reference(self, question: Question) -> str:
        damping: str | None = second_order(question).damping
        if damping is None:
            raise NotDefined("whether α is greater or smaller than ω0 is open here; give numbers, and a stable circuit")
        return damping

    def others(self, question: Question) -> tuple[str, ...]:
        """Critically damped, where rounded parts leave α and ω0 equal within the tolerance, as ζ is then 1 within it."""
        zeta = second_order(question).zeta
        if zeta is None or is_symbolic(zeta) or self.reference(question) == CRITICAL:
            return ()
        return (CRITICAL,) if close(to_float(zeta), 1.0, question.item.marking.tolerance) else ()

    def rules(self, question: Question) -> Iterator[Rule]:
        says, needs = _BY_DAMPING_AND_FREQUENCY, {"alpha": Find.ALPHA, "omega0": Find.OMEGA0}
        yield from from_values(question, "alpha against omega0", says, needs=needs, step=type_from)
        ratios = question.earlier_here(Find.ZETA)
        yield from from_first(ratios, "zeta against 1", _BY_RATIO, name="zeta", step=type_from)
        yield from from_roots(question, "s1 against s2", type_from)


class QualityFactor(_OfSecondOrder):
    """The quality factor of a response of second order: ω0/(2α)."""

    name = "quality factor"

    def reference(self, question: Question) -> Waveform:
        alpha, omega0 = of_second_order(question, "alpha"), of_second_order(question, "omega0")
        if not alpha.terms:
            raise NotDefined("the response is undamped, so its quality factor is infinite")
        return (omega0 / alpha).scaled(HALF)

    def rules(self, question: Question) -> Iterator[Rule]:
        needs = {"alpha": Find.ALPHA, "omega0": Find.OMEGA0}
        yield from from_values(question, "omega0/(2*alpha)", _BY_DAMPING_AND_FREQUENCY, needs=needs)
        yield from from_first(question.earlier_here(Find.ZETA), "1/(2*zeta)", _BY_RATIO, name="zeta")


class LogarithmicDecrement(_OfSecondOrder):
    """The logarithm of the ratio of two successive peaks of one side of an underdamped response: 2πα/ωd."""

    name = "logarithmic decrement"

    def reference(self, question: Question) -> Waveform:
        alpha, omega_d = of_second_order(question, "alpha"), of_second_order(question, "omega_d")
        return (pi() + pi()) * alpha / omega_d

    def rules(self, question: Question) -> Iterator[Rule]:
        says = "This follows from your own damping coefficient and damped natural frequency."
        yield from from_values(
            question, "2*pi*alpha/omega_d", says, needs={"alpha": Find.ALPHA, "omega_d": Find.OMEGA_D}
        )


class CharacteristicRoots(Asked):
    """The roots of the characteristic equation of an interval."""

    name = Find.ROOTS
    answers = ROOTS
    measures = RATE

    def reference(self, question: Question) -> Roots:
        """Every root as often as it occurs, conjugate pairs together."""
        roots = listed(characteristic(question).roots)
        if not roots:
            raise NotDefined("there is no storage element whose response could have a root")
        return roots

    def rules(self, question: Question) -> Iterator[Rule]:
        """α and ω0, or α and ωd; of first order, the time constant; the characteristic polynomial."""
        says = "This follows from your own damping coefficient and natural frequency."
        formula = "-alpha±sqrt(alpha^2-omega0^2)"
        yield from from_values(
            question, formula, says, needs={"alpha": Find.ALPHA, "omega0": Find.OMEGA0}, step=roots_of
        )
        formula = "-alpha±j*omega_d"
        yield from from_values(
            question, formula, says, needs={"alpha": Find.ALPHA, "omega_d": Find.OMEGA_D}, step=roots_of
        )
        says = "This follows from your own time constant."
        yield from from_first(question.earlier_here(Find.TAU), "-1/tau", says, name="tau", step=steps.root_of_tau)
        yield from from_first(question.earlier_here(Find.POLES), "x", "They are your own poles.", step=in_s)
        yield from from_polynomial(question, roots_of)


class CharacteristicPolynomial(Asked):
    """The characteristic polynomial in s; an equation, a polynomial or its coefficients, whatever the common factor."""

    name = Find.POLYNOMIAL
    answers = EQUATION

    def reference(self, question: Question) -> Waveform:
        """With 1 before the highest power; t stands for s."""
        return characteristic_polynomial(question)

    def rules(self, question: Question) -> Iterator[Rule]:
        yield from polynomial_rules(question)

    def written(self, item: Item, answer: Waveform) -> str:
        return equation_text(answer)


class DifferentialEquation(Asked):
    """The differential equation of a signal, sources constant; its terms in any order, whatever the common factor."""

    name = "differential equation"
    answers = EQUATION

    def reference(self, question: Question) -> Waveform:
        """All on one side, with 1 before the highest derivative; the n-th derivative stands as ``t^(n+1)``."""
        return differential_equation(question)

    def rules(self, question: Question) -> Iterator[Rule]:
        says = "This follows from your own characteristic polynomial and final value."
        yield from from_values(
            question, "p(d/dt)*x = p(0)*xf", says, needs={"p": Find.POLYNOMIAL, "xf": Find.FINAL}, step=with_final
        )

    def written(self, item: Item, answer: Waveform) -> str:
        return equation_text(answer, symbol(item.signal))
