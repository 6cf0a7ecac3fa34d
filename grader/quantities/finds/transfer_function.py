"""The transfer function from a source to a signal, as a function of s."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.laplace import transfer_function
from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Sample
from grader.quantities.rules import Rule
from grader.quantities.s_domain import ANSWER, InSDomain, source_faults, transformed
from grader.quantities.words import after_switching, phrase
from grader.values.waveform import Waveform


class TransferFunction(InSDomain):
    """The transfer function from a source (``of``) to a signal: other sources at zero, nothing held."""

    name = "transfer function"
    needs = (SIGNAL, "of")
    allows = ("after", "parts")
    sample = Sample(circuit="damper", item='voltage = "C1"\nof = "Vs"', answer="25/(s**2 + 6*s + 25)")

    def reference(self, question: Question) -> Waveform:
        """The signal's transform where the source's is one."""
        return transfer_function(question.circuit, question.index, question.item.of[0], question.signal)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own impulse response, transformed."""
        for item in question.earlier_here("impulse response"):
            if question.about(item) == 1 and item.of == question.item.of:
                says = "This follows from your own impulse response, transformed."
                yield Rule(formula="L{x}", uses=(("x", item.id),), says=says, step=transformed)
                return

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """One independent source."""
        return source_faults(problem, item)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        where = after_switching(problem, item)
        return f"Transfer function H(s) from {item.of[0]} to the {phrase(item.signal)}, {ANSWER}{where}"


ENTRY = TransferFunction()
