"""The undamped natural frequency ω0 of a response of second order, from ``s² + 2αs + ω0²``."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import from_roots
from grader.quantities.equations import from_polynomial, omega0_of
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.second_order import of_second_order, text_of
from grader.values.dimension import RATE
from grader.values.waveform import Waveform


class UndampedNaturalFrequency(Asked):
    """The undamped natural frequency ω0 of a response of second order, from ``s² + 2αs + ω0²``."""

    name = "undamped natural frequency"
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

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return text_of("Undamped natural frequency ω0", problem, item)

    def names(self, item: Item) -> tuple[str, ...]:
        """What it is called in expressions."""
        return ("omega_0", "w_0")


ENTRY = UndampedNaturalFrequency()
