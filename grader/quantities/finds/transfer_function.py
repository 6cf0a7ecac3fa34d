"""The transfer function from a source to a signal, as a function of s."""

from __future__ import annotations

from grader.circuit.elements import Source
from grader.circuit.laplace import transfer_function
from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Sample
from grader.quantities.s_domain import ANSWER, InSDomain
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

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """One independent source."""
        sources = [] if problem.circuit is None else [e.name for e in problem.circuit.elements if isinstance(e, Source)]
        if problem.circuit is not None and (len(item.of) != 1 or item.of[0] not in sources):
            return ("'of' must name the one independent source that the signal is divided by",)
        return ()

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        where = after_switching(problem, item)
        return f"Transfer function H(s) from {item.of[0]} to the {phrase(item.signal)}, {ANSWER}{where}"


ENTRY = TransferFunction()
