"""What the characteristic polynomial of second order says: damping and natural frequencies."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Capacitor, Inductor
from grader.errors import NotDefined
from grader.quantities import steps
from grader.quantities.composed import from_roots, from_values
from grader.quantities.equations import alpha_of, from_polynomial, omega0_of
from grader.quantities.links import ALPHA, OMEGA0, OMEGA_D, SEEN, ZETA
from grader.quantities.question import Question
from grader.quantities.records import CHOICE, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.second_order import of_second_order, second_order
from grader.values.comparison import close
from grader.values.dimension import NUMBER, RATE
from grader.values.functions import pi
from grader.values.scalar import HALF, is_symbolic, to_float
from grader.values.waveform import Waveform, constant

_SAYS = "This follows from the resistance that you found."


class DampingCoefficient(Asked):
    """The damping coefficient α of a response of second order, from ``s² + 2αs + ω0²``."""

    name = "damping coefficient"
    called = ("alpha",)
    label = "Damping coefficient α"
    allows = ("after",)
    measures = RATE
    sample = Sample(circuit="damper", answer="3")

    def reference(self, question: Question) -> Waveform:
        """Half the coefficient of s."""
        return of_second_order(question, "alpha")

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own roots or polynomial; ζ and ω0; the resistance that the inductor or the capacitor sees."""
        yield from from_roots(question, "-(s1+s2)/2", steps.alpha_of_roots)
        yield from from_polynomial(question, alpha_of)
        for item in question.earlier_here(ZETA):
            says = "This follows from your own damping ratio."
            yield from from_values(question, "zeta*w0", says, needs={"w0": OMEGA0}, uses=(("zeta", item.id),))
            break
        for item in question.earlier_here(SEEN):
            for element in question.circuit.elements:
                if isinstance(element, Inductor) and item.by in (None, element.name):
                    given = (("L", constant(element.value)),)
                    yield Rule(formula="R/(2*L)", uses=(("R", item.id),), given=given, says=_SAYS)
                if isinstance(element, Capacitor) and item.by in (None, element.name):
                    given = (("C", constant(element.value)),)
                    yield Rule(formula="1/(2*R*C)", uses=(("R", item.id),), given=given, says=_SAYS)


class UndampedNaturalFrequency(Asked):
    """The undamped natural frequency ω0 of a response of second order, from ``s² + 2αs + ω0²``."""

    name = "undamped natural frequency"
    called = ("omega_0", "w_0")
    label = "Undamped natural frequency ω0"
    allows = ("after",)
    measures = RATE
    unit = "rad/s"
    sample = Sample(circuit="damper", answer="5")

    def reference(self, question: Question) -> Waveform:
        """The root of the constant coefficient."""
        return of_second_order(question, "omega0")

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own roots or polynomial."""
        yield from from_roots(question, "sqrt(s1*s2)", steps.omega0_of_roots)
        yield from from_polynomial(question, omega0_of)


class DampedNaturalFrequency(Asked):
    """The damped natural frequency ωd of an underdamped response, ``sqrt(ω0² − α²)``."""

    name = "damped natural frequency"
    called = ("omega_d", "w_d")
    label = "Damped natural frequency ωd"
    allows = ("after",)
    measures = RATE
    unit = "rad/s"
    sample = Sample(circuit="damper", answer="4")

    def reference(self, question: Question) -> Waveform:
        """The imaginary part of the roots."""
        return of_second_order(question, "omega_d")

    def rules(self, question: Question) -> Iterator[Rule]:
        """α and ω0; the own roots."""
        says = "This follows from your own damping coefficient and undamped natural frequency."
        yield from from_values(question, "sqrt(w0^2-alpha^2)", says, needs={"alpha": ALPHA, "w0": OMEGA0})
        yield from from_roots(question, "Im(s1)", steps.omega_d_of_roots)


class DampingRatio(Asked):
    """The damping ratio ζ of a response of second order, α over ω0."""

    name = "damping ratio"
    called = ("zeta",)
    label = "Damping ratio ζ"
    allows = ("after",)
    measures = NUMBER
    sample = Sample(circuit="damper", answer="3/5")

    def reference(self, question: Question) -> Waveform:
        """α over ω0."""
        return of_second_order(question, "zeta")

    def rules(self, question: Question) -> Iterator[Rule]:
        """α and ω0; the own roots."""
        says = "This follows from your own damping coefficient and undamped natural frequency."
        yield from from_values(question, "alpha/w0", says, needs={"alpha": ALPHA, "w0": OMEGA0})
        yield from from_roots(question, "-(s1+s2)/(2*sqrt(s1*s2))", steps.zeta_of_roots)


class DampingType(Asked):
    """Whether a response of second order is overdamped, critically damped, underdamped or undamped."""

    name = "damping type"
    label = "Type of damping (overdamped, critically damped or underdamped)"
    answers = CHOICE
    allows = ("after",)
    measures = None
    sample = Sample(circuit="damper", answer="underdamped")

    def reference(self, question: Question) -> str:
        """By α against ω0."""
        damping: str | None = second_order(question).damping
        if damping is None:
            raise NotDefined("whether α is greater or smaller than ω0 is open here; give numbers, and a stable circuit")
        return damping

    def others(self, question: Question) -> tuple[str, ...]:
        """Critically damped, where rounded parts leave α and ω0 equal within the tolerance, as ζ is then 1 within it."""
        zeta = second_order(question).zeta
        if zeta is None or is_symbolic(zeta) or self.reference(question) == steps.CRITICAL:
            return ()
        return (steps.CRITICAL,) if close(to_float(zeta), 1.0, question.item.marking.tolerance) else ()

    def rules(self, question: Question) -> Iterator[Rule]:
        """α and ω0; ζ; the own roots."""
        says = "This follows from your own damping coefficient and undamped natural frequency."
        needs = {"alpha": ALPHA, "omega0": OMEGA0}
        yield from from_values(question, "alpha against omega0", says, needs=needs, step=steps.type_from)
        for item in question.earlier_here(ZETA):
            says = "This follows from your own damping ratio."
            yield Rule(formula="zeta against 1", uses=(("zeta", item.id),), says=says, step=steps.type_from)
            break
        yield from from_roots(question, "s1 against s2", steps.type_from)


class QualityFactor(Asked):
    """The quality factor of a response of second order: ω0/(2α)."""

    name = "quality factor"
    called = ("Q",)
    label = "Quality factor Q"
    allows = ("after",)
    measures = NUMBER
    sample = Sample(circuit="damper", answer="5/6")

    def reference(self, question: Question) -> Waveform:
        """From α and ω0."""
        alpha, omega0 = of_second_order(question, "alpha"), of_second_order(question, "omega0")
        if not alpha.terms:
            raise NotDefined("the response is undamped, so its quality factor is infinite")
        return (omega0 / alpha).scaled(HALF)

    def rules(self, question: Question) -> Iterator[Rule]:
        """α and ω0; ζ."""
        says = "This follows from your own damping coefficient and undamped natural frequency."
        yield from from_values(question, "omega0/(2*alpha)", says, needs={"alpha": ALPHA, "omega0": OMEGA0})
        for item in question.earlier_here(ZETA):
            yield Rule(
                formula="1/(2*zeta)", uses=(("zeta", item.id),), says="This follows from your own damping ratio."
            )
            return


class LogarithmicDecrement(Asked):
    """The logarithm of the ratio of two successive peaks of one side of an underdamped response: 2πα/ωd."""

    name = "logarithmic decrement"
    label = "Logarithmic decrement Λ (of two peaks a period apart)"
    allows = ("after",)
    measures = NUMBER
    sample = Sample(circuit="damper", answer="4.7123889803846897")

    def reference(self, question: Question) -> Waveform:
        """From α and ωd."""
        alpha, omega_d = of_second_order(question, "alpha"), of_second_order(question, "omega_d")
        return (pi() + pi()) * alpha / omega_d

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own α and ωd."""
        says = "This follows from your own damping coefficient and damped natural frequency."
        yield from from_values(question, "2*pi*alpha/omega_d", says, needs={"alpha": ALPHA, "omega_d": OMEGA_D})


ENTRIES = (
    DampingCoefficient(),
    UndampedNaturalFrequency(),
    DampedNaturalFrequency(),
    DampingRatio(),
    DampingType(),
    QualityFactor(),
    LogarithmicDecrement(),
)
