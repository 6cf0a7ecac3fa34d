"""A signal as a function of time: on one interval, on all of them, and its natural, forced, zero-input and zero-state parts."""

from collections.abc import Iterator
from functools import partial

from flint import fmpq

from grader.circuit.network import instants
from grader.circuit.superposition import parts_by_shape, zero_input
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import (
    FIRST_ORDER_RESPONSE,
    by_constants,
    first_order,
    forced_by_damping,
    forced_first_order,
    from_interval_before,
    second_order,
)
from grader.quantities.finding import Find
from grader.quantities.links import (
    from_derivative,
    from_expression,
    from_kindred,
    from_law,
    from_states,
    source_law,
)
from grader.quantities.question import Question, time_text
from grader.quantities.records import EXPRESSION, RESPONSE, OfSignal
from grader.quantities.rules import Rule, from_first
from grader.quantities.s_domain import from_own_system, from_own_transform, inverted
from grader.quantities.thevenin import response_by_equivalent
from grader.quantities.words import phrase, titled
from grader.values.waveform import Piecewise, Waveform


class _OfTime(OfSignal):
    """An expression in t on the interval that a switching opens."""

    answers = EXPRESSION
    allows = ("after", "parts")


class Expression(_OfTime):
    """A signal as a function of time, on the interval that a switching opens."""

    name = EXPRESSION

    def reference(self, question: Question) -> Waveform:
        return question.waveform

    def rules(self, question: Question) -> Iterator[Rule]:
        """Initial value, final value and time constant; an element's law; the states; for second order, the roots."""
        says = "This follows from your own initial value, final value and time constant."
        yield from first_order(question, FIRST_ORDER_RESPONSE, says)
        yield from by_constants(question)
        yield from forced_first_order(question)
        yield from from_law(question, EXPRESSION)
        yield from source_law(question)
        yield from from_states(question, EXPRESSION)
        yield from from_kindred(question, EXPRESSION)
        yield from from_derivative(question)
        yield from second_order(question)
        yield from from_interval_before(question)
        yield from from_own_transform(question, question.start)
        yield from from_own_system(question, partial(inverted, start=question.start))
        yield from response_by_equivalent(question, FIRST_ORDER_RESPONSE)

    def text(self, problem: Problem, item: Item) -> str:
        opening, start = _opening(problem, item)
        times = () if problem.circuit is None else instants(problem.circuit)
        later = next((time for time in times if opening is not None and time > opening), None)
        when = f"t > {start}" if later is None else f"{start} < t < {time_text(later)}"
        return f"{titled(phrase(item.signal))} as an expression in t, for {when}"


class Response(OfSignal):
    """A signal as a function of time over all intervals, each switching opening a new one."""

    name = RESPONSE
    answers = RESPONSE

    def reference(self, question: Question) -> Piecewise:
        """The waveform of every interval from the one meant on."""
        intervals = list(enumerate(question.solved.intervals))[question.index :]
        return Piecewise(tuple((one.start, question.solved.waveform(question.signal, k)) for k, one in intervals))

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own transform, inverted; the own impulse response, convolved with the source."""
        yield from from_own_transform(question, None)
        yield from from_own_system(question, partial(inverted, start=None))

    def text(self, problem: Problem, item: Item) -> str:
        how = "one expression for each interval, or unit steps u(t)"
        return f"{titled(phrase(item.signal))} as a function of t for all t > {_opening(problem, item)[1]} ({how})"


def _opening(problem: Problem, item: Item) -> tuple[fmpq | None, str]:
    """When the interval meant begins, and the same as text."""
    opening = item.after
    if opening is None and problem.circuit is not None:
        opening = instants(problem.circuit)[0]
    return opening, time_text(opening) if opening else "0"


class NaturalPart(_OfTime):
    """The natural (transient) part of a signal: the terms with the circuit's own exponents."""

    name = "natural part"

    def reference(self, question: Question) -> Waveform:
        """Told from the forced part by the sources' own shapes."""
        return parts_by_shape(question.solved, question.signal, question.index)[0]

    def rules(self, question: Question) -> Iterator[Rule]:
        """With a final value, the own expression less that."""
        yield from from_expression(question, steps.without_final, "This follows from your own expression.")


class ForcedPart(_OfTime):
    """The forced (steady) part of a signal: the terms with the sources' own shapes."""

    name = Find.FORCED

    def reference(self, question: Question) -> Waveform:
        """Told from the natural part by the sources' own shapes."""
        return parts_by_shape(question.solved, question.signal, question.index)[1]

    def rules(self, question: Question) -> Iterator[Rule]:
        """The final value of the own expression, or the own final value; the own damping."""
        yield from from_expression(question, steps.settled, "This follows from your own expression.")
        yield from from_first(question.same_here(Find.FINAL), "x", "This follows from your own final value.")
        yield from forced_by_damping(question)


class ZeroInputPart(_OfTime):
    """The part of a signal that comes from the initial state alone, all sources at zero."""

    name = "zero-input part"
    other = "zero-state part"

    def reference(self, question: Question) -> Waveform:
        return zero_input(question.solved, question.signal, question.index)

    def rules(self, question: Question) -> Iterator[Rule]:
        """What the own other part leaves of the own whole response."""
        try:
            whole, rest = (next(question.same_here(find), None) for find in (EXPRESSION, self.other))
        except NotDefined:
            return
        if whole is not None and rest is not None:
            uses = (("x", whole.id), ("y", rest.id))
            yield Rule(formula="x-y", uses=uses, says="It is what the other part leaves of your own whole response.")

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        if item.signal is None or item.signal.kind not in ("power", "energy"):
            return ()
        return ("a power or an energy does not divide into such parts; ask for a current or a voltage",)


class ZeroStatePart(ZeroInputPart):
    """The part of a signal that comes from the sources alone, the storage elements empty at the start."""

    name = "zero-state part"
    other = "zero-input part"

    def reference(self, question: Question) -> Waveform:
        return question.waveform - zero_input(question.solved, question.signal, question.index)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own impulse response, convolved with the source; what the own other part leaves."""
        yield from from_own_system(question, partial(inverted, start=question.start))
        yield from super().rules(question)
