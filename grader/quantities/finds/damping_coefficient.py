"""The damping coefficient α of a response of second order, from ``s² + 2αs + ω0²``."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Capacitor, Inductor
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import from_roots, from_values
from grader.quantities.equations import alpha_of, from_polynomial
from grader.quantities.links import OMEGA0, SEEN, ZETA
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.second_order import of_second_order, text_of
from grader.values.dimension import RATE
from grader.values.waveform import Waveform, constant

_SAYS = "This follows from the resistance that you found."


class DampingCoefficient(Asked):
    """The damping coefficient α of a response of second order, from ``s² + 2αs + ω0²``."""

    name = "damping coefficient"
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

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return text_of("Damping coefficient α", problem, item)

    def names(self, item: Item) -> tuple[str, ...]:
        """What it is called in expressions."""
        return ("alpha",)


ENTRY = DampingCoefficient()
