"""Largest and smallest values, and when they are taken."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.extremes import extreme
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.stretches import from_own_expression, pieces_of
from grader.quantities.words import phrase, signal_dimension, stretch_text
from grader.values.dimension import TIME
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


class Minimum(Maximum):
    """The smallest value of a signal after a switching, or in a stretch of time."""

    name = "minimum"
    sample = Sample(circuit="relay", item='current = "L1"\nuntil = "0.1 s"', answer="3*exp(-2)")
    way = -1


class TimeOfMaximum(Asked):
    """The instant at which a signal is largest, on the problem's own clock."""

    name = "time of maximum"
    needs = (SIGNAL,)
    allows = ("after", "from", "until")
    measures = TIME
    sample = Sample(circuit="damper", item='current = "C1"', answer="0.23182380450040305")
    way = 1
    word = "largest"

    def reference(self, question: Question) -> Waveform:
        """The first such instant."""
        time = extreme(pieces_of(question), self.way).time
        if time is None:
            raise NotDefined("that value is approached and never taken, so there is no such instant")
        return time

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's."""
        yield from from_own_expression(question, partial(steps.extreme_time_of, way=self.way))

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Time t at which the {phrase(item.signal)} is {self.word}, {stretch_text(problem, item)}"


class TimeOfMinimum(TimeOfMaximum):
    """The instant at which a signal is smallest, on the problem's own clock."""

    name = "time of minimum"
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="0")
    way = -1
    word = "smallest"


ENTRIES = (Maximum(), Minimum(), TimeOfMaximum(), TimeOfMinimum())
