"""What a signal tends to in the interval meant, as if nothing acted any more."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.links import FINAL, from_dc, from_expression, from_kindred, from_law, from_states
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import in_the_end, instants, phrase, signal_dimension
from grader.values.waveform import Waveform


class FinalValue(Asked):
    """What a signal tends to in the interval meant, as if nothing acted any more."""

    name = "final value"
    needs = (SIGNAL,)
    allows = ("after",)
    dimension = staticmethod(signal_dimension)
    sample = Sample(circuit="charging", item='voltage = "C1"', answer="10")

    def reference(self, question: Question) -> Waveform:
        """The limit for t without bound."""
        value: Waveform = question.solved.final(question.signal, question.index)
        return value

    def rules(self, question: Question) -> Iterator[Rule]:
        """An element's law, Kirchhoff's laws with the final states, the own expression."""
        yield from from_law(question, FINAL)
        yield from from_states(question, FINAL)
        yield from from_kindred(question, FINAL)
        yield from from_dc(question)
        yield from from_expression(question, steps.settled, "This follows from your own expression for very large t.")

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Final value: {phrase(item.signal)} {in_the_end(problem, item)}"

    def names(self, item: Item) -> tuple[str, ...]:
        """``i(inf)``."""
        return instants(item, "inf")


ENTRY = FinalValue()
