"""Several capacitors as one: all of them or those of ``of``, at their own terminals or at those of the element ``by``."""

from __future__ import annotations

from grader.circuit.equivalent import equivalent_capacitance
from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.values.dimension import CAPACITANCE
from grader.values.waveform import Waveform, constant


class EquivalentCapacitance(Asked):
    """Several capacitors as one: all of them or those of ``of``, at their own terminals or at those of the element ``by``."""

    name = "equivalent capacitance"
    allows = ("of", "by", "after")
    measures = CAPACITANCE
    sample = Sample(circuit="charging", answer="1/500000")

    def reference(self, question: Question) -> Waveform:
        """What they act as, in the interval meant."""
        item = question.item
        return constant(equivalent_capacitance(question.circuit, item.by, item.of, question.index))

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Equivalent capacitance{' of ' + ', '.join(item.of) if item.of else ''}"

    def names(self, item: Item) -> tuple[str, ...]:
        """What it is called in formulas."""
        return ("C_eq",)


ENTRY = EquivalentCapacitance()
