"""The damping ratio ζ of a response of second order, α over ω0."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import from_roots, from_values
from grader.quantities.links import ALPHA, OMEGA0
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.second_order import of_second_order, text_of
from grader.values.dimension import NUMBER
from grader.values.waveform import Waveform


class DampingRatio(Asked):
    """The damping ratio ζ of a response of second order, α over ω0."""

    name = "damping ratio"
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

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return text_of("Damping ratio ζ", problem, item)

    def names(self, item: Item) -> tuple[str, ...]:
        """What it is called in expressions."""
        return ("zeta",)


ENTRY = DampingRatio()
