"""The impedance between two nodes, or at an element's terminals, as a function of s."""

from __future__ import annotations

from grader.circuit.laplace import impedance
from grader.problem import Item, Problem
from grader.quantities.ports import port_faults, port_text
from grader.quantities.question import Question
from grader.quantities.records import Sample
from grader.quantities.s_domain import ANSWER, InSDomain
from grader.values.waveform import Waveform


class Impedance(InSDomain):
    """The impedance between two nodes, or at an element's terminals, as a function of s: sources at zero, nothing held."""

    name = "impedance"
    allows = ("after", "between", "by", "parts")
    sample = Sample(circuit="damper", item='by = "Vs"', answer="(s**2 + 6*s + 25)/s")

    def reference(self, question: Question) -> Waveform:
        """The voltage that a current of one ampere meets in the s-domain."""
        return impedance(question.circuit, question.index, question.item.between, question.item.by)

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Either a node pair or an element."""
        return port_faults(item)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"{port_text('Impedance Z(s)', problem, item)}, {ANSWER}"


ENTRY = Impedance()
