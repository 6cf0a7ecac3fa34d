"""The open-circuit (Thévenin) voltage between two nodes, or at an element's terminals with the element taken out."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.ports import open_circuit_voltage
from grader.problem import Item, Problem
from grader.quantities.ports import port_faults, port_rules, port_text
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.values.dimension import VOLTAGE
from grader.values.waveform import Waveform


class OpenCircuitVoltage(Asked):
    """The open-circuit (Thévenin) voltage between two nodes, or at an element's terminals with the element taken out."""

    name = "open-circuit voltage"
    allows = ("after", "between", "by")
    measures = VOLTAGE
    sample = Sample(circuit="charging", item='by = "C1"', answer="10")

    def reference(self, question: Question) -> Waveform:
        """At rest, storage elements in their dc roles."""
        return open_circuit_voltage(question.circuit, question.index, question.item.between, question.item.by)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own short-circuit current and resistance."""
        yield from port_rules(question, "i*R", {"i": "short-circuit current"}, "R")

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Either a node pair or an element."""
        return port_faults(item)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return port_text("Open-circuit (Thévenin) voltage", problem, item)

    def names(self, item: Item) -> tuple[str, ...]:
        """What it is called in formulas."""
        return ("V_th", "V_oc", "V_T")


ENTRY = OpenCircuitVoltage()
