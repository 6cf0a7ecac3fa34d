"""The quality factor of a response of second order: ω0/(2α)."""

from __future__ import annotations

from collections.abc import Iterator

from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.composed import from_values
from grader.quantities.links import ALPHA, OMEGA0, ZETA
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.second_order import of_second_order, text_of
from grader.values.dimension import NUMBER
from grader.values.scalar import HALF
from grader.values.waveform import Waveform


class QualityFactor(Asked):
    """The quality factor of a response of second order: ω0/(2α)."""

    name = "quality factor"
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

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return text_of("Quality factor Q", problem, item)

    def names(self, item: Item) -> tuple[str, ...]:
        """What it is called in expressions."""
        return ("Q",)


ENTRY = QualityFactor()
