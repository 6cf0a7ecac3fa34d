"""Slopes of a signal, just after a switching and at any instant, and its second derivative at the start."""

from collections.abc import Iterator
from functools import partial

from grader.circuit.elements import other_signal
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import first_order
from grader.quantities.finding import Find
from grader.quantities.links import from_expression, is_signal, passives, slope_from_states
from grader.quantities.question import Question
from grader.quantities.records import OfSignal
from grader.quantities.rules import Rule, from_first
from grader.quantities.thevenin import response_by_equivalent
from grader.quantities.words import signal_dimension
from grader.values.dimension import TIME, Dimension
from grader.values.waveform import Waveform, constant


class _Slope(OfSignal):
    def dimension(self, problem: Problem, item: Item) -> Dimension:
        return signal_dimension(item).over(TIME)


class InitialSlope(_Slope):
    """How fast a signal begins to change: its derivative just after a switching."""

    name = Find.SLOPE

    def reference(self, question: Question) -> Waveform:
        return question.solved.derivative(question.signal, question.index)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression's slope; the storage element's law (``di/dt = v/L``); the line towards the final value."""
        says = "This follows from the slope of your own expression."
        yield from from_expression(question, partial(steps.derivative_at, time=question.start, order=1), says)
        for element in passives(question.circuit, question.signal):
            if element.stores == question.signal.kind:
                other = other_signal(element)
                items = (one for one in question.earlier_here(Find.INITIAL) if is_signal(question.circuit, one, other))
                says = f"This follows from your own initial {other.kind} of {element.name} by its law."
                yield from from_first(items, "x/k", says, given={"k": constant(element.value)})
        yield from slope_from_states(question)
        says = "This follows from your own initial value, final value and time constant."
        yield from first_order(question, "(xf-x0)/tau", says)
        yield from response_by_equivalent(question, "(xf-x0)/tau")


class SlopeAt(_Slope):
    """The rate of change of a signal at an instant; at a switching, just after it."""

    name = "slope at"

    def reference(self, question: Question) -> Waveform:
        assert question.item.at is not None
        return (
            question.solved.waveform(question.signal, question.index_at(question.item.at))
            .derivative()
            .at(question.item.at)
        )

    def rules(self, question: Question) -> Iterator[Rule]:
        at = question.item.at
        assert at is not None
        says = "This follows from your own expression."
        step = partial(steps.derivative_at, time=at, order=1)
        yield from from_expression(question, step, says, index=question.index_at(at))


class InitialSecondDerivative(_Slope):
    """The second derivative of a signal at the first instant after a switching, 0+."""

    name = "initial second derivative"

    def dimension(self, problem: Problem, item: Item) -> Dimension:
        return super().dimension(problem, item).over(TIME)

    def reference(self, question: Question) -> Waveform:
        return question.solved.derivative(question.signal, question.index, order=2)

    def rules(self, question: Question) -> Iterator[Rule]:
        step = partial(steps.derivative_at, time=question.start, order=2)
        yield from from_expression(question, step, "This follows from your own expression.")
