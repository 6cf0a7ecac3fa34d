"""How fast a signal begins to change: its derivative just after a switching."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.circuit.elements import Signal
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import first_order
from grader.quantities.links import (
    INITIAL,
    from_expression,
    is_signal,
    other_kind,
    own_signal,
    passives,
    slope_from_states,
)
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import phrase, signal_dimension, when
from grader.values.dimension import TIME, Dimension
from grader.values.waveform import Waveform, constant


class InitialSlope(Asked):
    """How fast a signal begins to change: its derivative just after a switching."""

    name = "initial slope"
    needs = (SIGNAL,)
    allows = ("after",)
    sample = Sample(circuit="charging", item='voltage = "C1"', answer="5000")

    def dimension(self, problem: Problem, item: Item) -> Dimension:
        """The signal's, per second."""
        return signal_dimension(problem, item).over(TIME)

    def reference(self, question: Question) -> Waveform:
        """The derivative at 0+."""
        return question.waveform.derivative().at(question.start)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's slope; the storage element's law (``di/dt = v/L``); the line towards the final value."""
        says = "This follows from the slope of your own expression."
        yield from from_expression(question, partial(steps.slope_at, time=question.start), says)
        for element in passives(question.circuit, question.signal):
            kind = other_kind(element)
            if not kind or own_signal(element).kind != question.signal.kind:
                continue
            for item in question.earlier_here(INITIAL):
                if is_signal(question.circuit, item, Signal(kind=kind, of=element.name)):
                    says = f"This follows from your own initial {kind} of {element.name} by its law."
                    yield Rule(
                        formula="x/k", uses=(("x", item.id),), given=(("k", constant(element.value)),), says=says
                    )
                    break
        yield from slope_from_states(question)
        says = "This follows from your own initial value, final value and time constant."
        yield from first_order(question, "(xf-x0)/tau", says)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Initial slope: rate of change of the {phrase(item.signal)} just after switching{when(problem, item)}"


ENTRY = InitialSlope()
