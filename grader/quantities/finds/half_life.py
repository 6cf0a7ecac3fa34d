"""The time in which a natural response of first order falls to half."""

from __future__ import annotations

from collections.abc import Iterator

from flint import fmpq

from grader.circuit.resistance import time_constant
from grader.problem import Item, Problem
from grader.quantities.links import TAU
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import after_switching
from grader.values.dimension import TIME
from grader.values.functions import log
from grader.values.waveform import Waveform, constant


class HalfLife(Asked):
    """The time in which a natural response of first order falls to half: τ ln 2."""

    name = "half life"
    allows = ("after", "by")
    measures = TIME
    sample = Sample(circuit="relay", answer="0.034657359027997263")

    def reference(self, question: Question) -> Waveform:
        """From the time constant."""
        return constant(time_constant(question.circuit, question.index, question.item.by)) * log(constant(fmpq(2)))

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own time constant."""
        for item in question.earlier_here(TAU):
            says = "This follows from your own time constant."
            yield Rule(formula="tau*ln(2)", uses=(("tau", item.id),), says=says)
            return

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Half-life of the natural response{after_switching(problem, item)}"


ENTRY = HalfLife()
