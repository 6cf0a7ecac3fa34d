"""Slopes of a signal at any instant, and the second derivative at the start."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.links import from_expression
from grader.quantities.question import Question, time_text
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import phrase, signal_dimension, when
from grader.values.dimension import TIME, Dimension
from grader.values.waveform import Waveform


class SlopeAt(Asked):
    """The rate of change of a signal at an instant; at a switching, just after it."""

    name = "slope at"
    needs = (SIGNAL, "at")
    sample = Sample(circuit="relay", item='current = "L1"\nat = "50 ms"', answer="-60*exp(-1)")

    def dimension(self, problem: Problem, item: Item) -> Dimension:
        """The signal's, per second."""
        return signal_dimension(problem, item).over(TIME)

    def reference(self, question: Question) -> Waveform:
        """The derivative there."""
        assert question.item.at is not None
        waveform: Waveform = question.solved.waveform(question.signal, question.index_at(question.item.at))
        return waveform.derivative().at(question.item.at)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's slope."""
        at = question.item.at
        assert at is not None
        says = "This follows from your own expression."
        yield from from_expression(question, partial(steps.slope_at, time=at), says, index=question.index_at(at))

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        assert item.at is not None
        return f"Rate of change of the {phrase(item.signal)} at t = {time_text(item.at)}"


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


ENTRIES = (SlopeAt(), InitialSecondDerivative())
