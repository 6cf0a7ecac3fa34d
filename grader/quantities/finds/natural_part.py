"""The natural (transient) part of a signal: the terms with the circuit's own exponents."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.superposition import parts_by_shape
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.links import FINAL, from_expression
from grader.quantities.question import Question
from grader.quantities.records import EXPRESSION as KIND
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import after_switching, phrase, signal_dimension
from grader.values.waveform import Waveform


class NaturalPart(Asked):
    """The natural (transient) part of a signal: the terms with the circuit's own exponents."""

    name = "natural part"
    answers = KIND
    needs = (SIGNAL,)
    allows = ("after", "parts")
    dimension = staticmethod(signal_dimension)
    sample = Sample(circuit="charging", item='voltage = "C1"', answer="-10*exp(-500*t)")
    natural = True
    words = "Natural (transient) part"

    def reference(self, question: Question) -> Waveform:
        """Told from the forced part by the sources' own shapes."""
        return parts_by_shape(question.solved, question.signal, question.index)[0 if self.natural else 1]

    def rules(self, question: Question) -> Iterator[Rule]:
        """With a final value, the own expression less that, or that itself."""
        step = steps.without_final if self.natural else steps.settled
        yield from from_expression(question, step, "This follows from your own expression.")
        if not self.natural:
            for item in question.earlier_here(FINAL):
                if question.about(item) == 1:
                    yield Rule(formula="x", uses=(("x", item.id),), says="This follows from your own final value.")
                    return

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"{self.words} of the {phrase(item.signal)}{after_switching(problem, item)}"


ENTRY = NaturalPart()
