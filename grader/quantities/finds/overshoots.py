"""How far a response goes past its final value, and when."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.stretches import from_own_expression, pieces_of
from grader.quantities.words import after_switching, phrase, signal_dimension
from grader.values.dimension import NUMBER, TIME, Dimension
from grader.values.waveform import Waveform


class Overshoot(Asked):
    """How far a signal goes past its final value, counted away from the initial one."""

    name = "overshoot"
    needs = (SIGNAL,)
    allows = ("after",)
    dimension = staticmethod(signal_dimension)
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="0.47390112421077502")
    share = False
    words = "Overshoot (largest excursion past the final value)"

    def reference(self, question: Question) -> Waveform:
        """From the turning points; zero where it never goes past."""
        initial = question.solved.just_after(question.signal, question.index)
        final = question.solved.final(question.signal, question.index)
        return steps.overshoot(pieces_of(question), initial, final, share=self.share)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's."""
        yield from from_own_expression(question, partial(steps.overshoot_of, share=self.share))

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"{self.words} of the {phrase(item.signal)}{after_switching(problem, item)}"


class PercentOvershoot(Overshoot):
    """The overshoot as a share of the whole change, from the initial to the final value."""

    name = "percent overshoot"
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="0.094780224842154995")
    share = True
    words = "Overshoot in per cent of the whole change"

    def dimension(self, problem: Problem, item: Item) -> Dimension:
        """A plain number."""
        return NUMBER


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


ENTRIES = (Overshoot(), PercentOvershoot(), PeakTime())
