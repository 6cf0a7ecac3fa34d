"""The instant at which a signal is farthest past its final value, on the problem's own clock."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.stretches import from_own_expression, pieces_of
from grader.quantities.words import after_switching, phrase
from grader.values.dimension import TIME
from grader.values.waveform import Waveform


class PeakTime(Asked):
    """The instant at which a signal is farthest past its final value, on the problem's own clock."""

    name = "peak time"
    needs = (SIGNAL,)
    allows = ("after",)
    measures = TIME
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="0.78539816339744828")

    def reference(self, question: Question) -> Waveform:
        """At the turning point that goes farthest."""
        initial = question.solved.just_after(question.signal, question.index)
        final = question.solved.final(question.signal, question.index)
        return steps.peak_time(pieces_of(question), initial, final)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's."""
        yield from from_own_expression(question, steps.peak_time_of)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Peak time: t at which the {phrase(item.signal)} overshoots most{after_switching(problem, item)}"


ENTRY = PeakTime()
