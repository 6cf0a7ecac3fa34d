"""What a circuit is at rest, seen from two terminals."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.network import instant_of
from grader.circuit.ports import open_circuit_voltage, short_circuit_current
from grader.circuit.resistance import resistance_between
from grader.problem import Item, Problem
from grader.quantities.ports import port_faults, port_rules, port_text
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.values.dimension import CURRENT, RESISTANCE, VOLTAGE
from grader.values.waveform import Waveform, constant


class OpenCircuitVoltage(Asked):
    """The open-circuit (Thévenin) voltage between two nodes, or at an element's terminals with the element taken out."""

    name = "open-circuit voltage"
    called = ("V_th", "V_oc", "V_T")
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


class ShortCircuitCurrent(Asked):
    """The short-circuit (Norton) current from one node to another, or through an element's place with a wire in it."""

    name = "short-circuit current"
    called = ("I_sc", "I_N")
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


class ResistanceBetween(Asked):
    """The resistance between two nodes, all independent sources set to zero."""

    name = "resistance between"
    called = ("R_th", "R_eq", "R_T")
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


ENTRIES = (OpenCircuitVoltage(), ShortCircuitCurrent(), ResistanceBetween())
