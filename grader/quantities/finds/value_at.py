"""The value of a signal at an instant; at a switching, just after it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import FIRST_ORDER, from_values
from grader.quantities.links import at_instant, from_kindred, from_law, from_states
from grader.quantities.question import Question, time_text
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import phrase, signal_dimension, titled
from grader.values.waveform import Waveform

FORMULA = "xf+(x0-xf)*e^(-(t-t1)/tau)"


class ValueAt(Asked):
    """The value of a signal at an instant; at a switching, just after it."""

    name = "value at"
    needs = (SIGNAL, "at")
    dimension = staticmethod(signal_dimension)
    sample = Sample(circuit="charging", item='voltage = "C1"\nat = "2 ms"', answer="-10*exp(-1) + 10")

    def reference(self, question: Question) -> Waveform:
        """The response at that instant."""
        assert question.item.at is not None
        index = question.index_at(question.item.at)
        waveform: Waveform = question.solved.waveform(question.signal, index)
        return waveform.at(question.item.at)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression at that instant; an element's law; initial value, final value and time constant."""
        assert question.item.at is not None
        at = question.item.at
        index = question.index_at(at)
        if index == 0:
            return
        yield from at_instant(question, at, index=index)
        yield from from_law(question, "value at")
        yield from from_states(question, "value at")
        yield from from_kindred(question, "value at")
        opened = question.solved.intervals[index].start
        says = "This follows from your own initial value, final value and time constant."
        step = partial(steps.first_order_at, start=opened, time=at)
        here = replace(question, item=replace(question.item, after=opened))
        yield from from_values(here, FORMULA, says, needs=FIRST_ORDER, step=step)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"{titled(phrase(item.signal))} at t = {time_text(item.at)}" if item.at is not None else ""


ENTRY = ValueAt()
