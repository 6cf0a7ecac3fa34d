"""The second derivative of a signal at the first instant after a switching, 0+."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.links import from_expression
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import phrase, signal_dimension, when
from grader.values.dimension import TIME, Dimension
from grader.values.waveform import Waveform


class InitialSecondDerivative(Asked):
    """The second derivative of a signal at the first instant after a switching, 0+."""

    name = "initial second derivative"
    needs = (SIGNAL,)
    allows = ("after",)
    sample = Sample(circuit="relay", item='current = "L1"', answer="1200")

    def dimension(self, problem: Problem, item: Item) -> Dimension:
        """The signal's, per second squared."""
        return signal_dimension(problem, item).over(TIME).over(TIME)

    def reference(self, question: Question) -> Waveform:
        """At 0+."""
        return question.waveform.derivative().derivative().at(question.start)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's."""
        step = partial(steps.curvature_at, time=question.start)
        yield from from_expression(question, step, "This follows from your own expression.")

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Second derivative of the {phrase(item.signal)} just after switching{when(problem, item)}"


ENTRY = InitialSecondDerivative()
