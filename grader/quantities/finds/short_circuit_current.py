"""The short-circuit (Norton) current from one node to another, or through an element's place with a wire in it."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.ports import short_circuit_current
from grader.problem import Item, Problem
from grader.quantities.ports import port_faults, port_rules, port_text
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.values.dimension import CURRENT
from grader.values.waveform import Waveform


class ShortCircuitCurrent(Asked):
    """The short-circuit (Norton) current from one node to another, or through an element's place with a wire in it."""

    name = "short-circuit current"
    allows = ("after", "between", "by")
    measures = CURRENT
    sample = Sample(circuit="charging", item='by = "C1"', answer="1/100")

    def reference(self, question: Question) -> Waveform:
        """At rest, the other storage elements in their dc roles."""
        return short_circuit_current(question.circuit, question.index, question.item.between, question.item.by)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own open-circuit voltage and resistance."""
        yield from port_rules(question, "v/R", {"v": "open-circuit voltage"}, "R")

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Either a node pair or an element."""
        return port_faults(item)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return port_text("Short-circuit (Norton) current", problem, item)

    def names(self, item: Item) -> tuple[str, ...]:
        """What it is called in formulas."""
        return ("I_sc", "I_N")


ENTRY = ShortCircuitCurrent()
