"""The charge that passes through an element in a stretch of time, counted in its own direction."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Signal
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.stretches import from_own_expression, pieces_of
from grader.quantities.words import stretch_text
from grader.values.dimension import CHARGE
from grader.values.waveform import Waveform


class ChargePassed(Asked):
    """The charge that passes through an element in a stretch of time, counted in its own direction."""

    name = "charge passed"
    needs = (SIGNAL,)
    allows = ("after", "from", "until")
    measures = CHARGE
    sample = Sample(circuit="charging", item='current = "R1"', answer="1/50000")

    def reference(self, question: Question) -> Waveform:
        """The integral of the current, and what impulses carry."""
        start, end = question.stretch(lasting=True)
        total = Waveform()
        for waveform, first, last in pieces_of(question, lasting=True):
            total = total + steps.integral(waveform, first, last)
        for impulse in question.solved.impulses:
            inside = start <= impulse.time and (end is None or impulse.time < end)
            if inside and impulse.kind == "charge" and impulse.element == question.signal.of:
                total = total + impulse.amount
        return total

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own current's integral."""
        yield from from_own_expression(question, steps.integral_of, lasting=True)

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """A current passes charge."""
        wrong = item.signal is not None and item.signal.kind != "current"
        return ('charge is passed by a current; name one, as in current = "R1"',) if wrong else ()

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        of = item.signal.of if isinstance(item.signal, Signal) else ""
        return f"Charge that passes through {of} {stretch_text(problem, item, lasting=True)}"


ENTRY = ChargePassed()
