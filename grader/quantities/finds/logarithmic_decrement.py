"""The logarithm of the ratio of two successive peaks of the same side of an underdamped response: 2πα/ωd."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities.composed import from_values
from grader.quantities.links import ALPHA, OMEGA_D
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.second_order import of_second_order, text_of
from grader.values.dimension import NUMBER
from grader.values.functions import pi
from grader.values.waveform import Waveform


class LogarithmicDecrement(Asked):
    """The logarithm of the ratio of two successive peaks of one side of an underdamped response: 2πα/ωd."""

    name = "logarithmic decrement"
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

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return text_of("Logarithmic decrement Λ (of two peaks a period apart)", problem, item)


ENTRY = LogarithmicDecrement()
