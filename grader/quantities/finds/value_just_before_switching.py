"""The value of a signal at the last instant before a switching: the dc steady state before the first one."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities.links import JUST_BEFORE, at_instant, from_law
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import instants, phrase, signal_dimension, titled, when
from grader.values.waveform import Waveform


class ValueJustBeforeSwitching(Asked):
    """The value of a signal at the last instant before a switching: the dc steady state before the first one."""

    name = "value just before switching"
    needs = (SIGNAL,)
    allows = ("after",)
    dimension = staticmethod(signal_dimension)
    sample = Sample(circuit="relay", item='current = "L1"', answer="3")

    def reference(self, question: Question) -> Waveform:
        """The limit from the left."""
        value: Waveform = question.solved.just_before(question.signal, question.index)
        return value

    def rules(self, question: Question) -> Iterator[Rule]:
        """An element's law; before a later switching, the own expression of the interval that ends there."""
        yield from from_law(question, JUST_BEFORE)
        if question.index > 1:
            yield from at_instant(question, question.start, index=question.index - 1)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"{titled(phrase(item.signal))} just before switching{when(problem, item)}"

    def names(self, item: Item) -> tuple[str, ...]:
        """``i(0-)``, where the first switching is meant."""
        return instants(item, "0-") if item.after is None else ()


ENTRY = ValueJustBeforeSwitching()
