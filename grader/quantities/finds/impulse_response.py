"""The impulse response from a source to a signal: what a unit impulse of the source makes of a circuit at rest."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.laplace import transfer_function
from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import EXPRESSION, SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.s_domain import FUNCTION, inverted, source_faults, with_impulse
from grader.quantities.words import phrase, signal_dimension
from grader.values.dimension import TIME, Dimension
from grader.values.laplace import DELTA, IMPULSE
from grader.values.waveform import Waveform, constant


class ImpulseResponse(Asked):
    """The impulse response from a source (``of``) to a signal, as an expression in t that may hold δ(t): nothing held before."""

    name = "impulse response"
    answers = EXPRESSION
    needs = (SIGNAL, "of")
    allows = ("parts",)
    letters = ((IMPULSE, None, constant(DELTA)),)
    unit_free = True
    sample = Sample(circuit="charging", item='voltage = "R1"\nof = "Vs"', answer="-500*exp(-500*t) + delta")

    def dimension(self, problem: Problem, item: Item) -> Dimension | None:
        """That of the signal for each volt second or ampere second of the source."""
        source = None if problem.circuit is None else problem.circuit.element(item.of[0])
        return signal_dimension(problem, item).over(getattr(source, "dimension", TIME).times(TIME))

    def reference(self, question: Question) -> Waveform:
        """The transfer function, inverted."""
        return with_impulse(
            transfer_function(question.circuit, question.index, question.item.of[0], question.signal).number
        )

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own transfer function, inverted."""
        for item in question.earlier_here(FUNCTION):
            if question.about(item) == 1 and item.of == question.item.of:
                says = "This follows from your own transfer function, inverted."
                yield Rule(formula="x", uses=(("x", item.id),), says=says, step=inverted)
                return

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """One independent source."""
        return source_faults(problem, item)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return (
            f"Impulse response h(t) from {item.of[0]} to the {phrase(item.signal)}, with δ(t) where it holds an impulse"
        )


ENTRY = ImpulseResponse()
