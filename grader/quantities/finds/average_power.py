"""The mean of the power that an element takes in a stretch of time."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.stretches import from_own_expression, pieces_of
from grader.quantities.words import phrase, stretch_text
from grader.values.dimension import POWER
from grader.values.scalar import ONE
from grader.values.waveform import Waveform


class AveragePower(Asked):
    """The mean of the power that an element takes in a stretch of time."""

    name = "average power"
    needs = (SIGNAL, "until")
    allows = ("after", "from")
    measures = POWER
    sample = Sample(circuit="relay", item='power = "R2"\nuntil = "50 ms"', answer="-27*exp(-2) + 27")

    def reference(self, question: Question) -> Waveform:
        """The integral over the time it takes."""
        start, end = question.stretch()
        assert end is not None
        total = Waveform()
        for waveform, first, last in pieces_of(question):
            total = total + steps.integral(waveform, first, last)
        return total.scaled(ONE / (end - start))

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own power's mean."""
        yield from from_own_expression(question, steps.mean_of)

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """It is that of a power."""
        wrong = item.signal is not None and item.signal.kind != "power"
        return ('an average power is that of an element\'s power; name it, as in power = "R1"',) if wrong else ()

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Average of the {phrase(item.signal)} {stretch_text(problem, item)}"


ENTRY = AveragePower()
