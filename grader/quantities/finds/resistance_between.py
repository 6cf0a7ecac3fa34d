"""The resistance between two nodes, all independent sources set to zero."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.network import instant_of
from grader.circuit.resistance import resistance_between
from grader.problem import Item, Problem
from grader.quantities.ports import port_rules, port_text
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.values.dimension import RESISTANCE
from grader.values.waveform import Waveform, constant


class ResistanceBetween(Asked):
    """The resistance between two nodes, all independent sources set to zero."""

    name = "resistance between"
    needs = ("between",)
    allows = ("after",)
    measures = RESISTANCE
    sample = Sample(circuit="charging", item='between = ["c", "g"]', answer="1000")

    def reference(self, question: Question) -> Waveform:
        """With storage elements in their dc roles."""
        assert question.item.between is not None
        when = instant_of(question.circuit, question.index)
        return constant(resistance_between(question.circuit, question.item.between, when))

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own open-circuit voltage and short-circuit current."""
        yield from port_rules(question, "v/i", {"v": "open-circuit voltage", "i": "short-circuit current"}, "")

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return port_text("Resistance", problem, item)

    def names(self, item: Item) -> tuple[str, ...]:
        """What it is called in formulas."""
        return ("R_th", "R_eq", "R_T")


ENTRY = ResistanceBetween()
