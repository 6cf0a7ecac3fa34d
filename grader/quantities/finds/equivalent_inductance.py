"""Several inductors as one: all of them or those of ``of``, at their own terminals or at those of the element ``by``."""

from __future__ import annotations

from grader.circuit.equivalent import equivalent_inductance
from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.values.dimension import INDUCTANCE
from grader.values.waveform import Waveform, constant


class EquivalentInductance(Asked):
    """Several inductors as one: all of them or those of ``of``, at their own terminals or at those of the element ``by``."""

    name = "equivalent inductance"
    allows = ("of", "by", "after")
    measures = INDUCTANCE
    sample = Sample(circuit="relay", answer="1/2")

    def reference(self, question: Question) -> Waveform:
        """What they act as, in the interval meant."""
        item = question.item
        return constant(equivalent_inductance(question.circuit, item.by, item.of, question.index))

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Equivalent inductance{' of ' + ', '.join(item.of) if item.of else ''}"

    def names(self, item: Item) -> tuple[str, ...]:
        """What it is called in formulas."""
        return ("L_eq",)


ENTRY = EquivalentInductance()
