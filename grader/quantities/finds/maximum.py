"""The largest value of a signal after a switching, or in a stretch of time."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.extremes import extreme
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.stretches import from_own_expression, pieces_of
from grader.quantities.words import phrase, signal_dimension, stretch_text
from grader.values.waveform import Waveform


class Maximum(Asked):
    """The largest value of a signal after a switching, or in a stretch of time."""

    name = "maximum"
    needs = (SIGNAL,)
    allows = ("after", "from", "until")
    dimension = staticmethod(signal_dimension)
    sample = Sample(circuit="relay", item='current = "L1"', answer="3")
    way = 1

    def reference(self, question: Question) -> Waveform:
        """At a turning point, at an end, or what it tends to."""
        return extreme(pieces_of(question), self.way).value

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's."""
        yield from from_own_expression(question, partial(steps.extreme_of, way=self.way))

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"{self.name.capitalize()} of the {phrase(item.signal)} {stretch_text(problem, item)}"


ENTRY = Maximum()
