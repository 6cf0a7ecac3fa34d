"""The value of a signal at an instant: just before and just after a switching, in the end, and at any other."""

from collections.abc import Iterator
from functools import partial

from msgspec.structs import replace

from grader.problem import Item
from grader.quantities import steps
from grader.quantities.composed import FIRST_ORDER, FIRST_ORDER_RESPONSE, first_order_law, from_values
from grader.quantities.dc import from_dc, from_kindred_in_dc, from_states_in_dc
from grader.quantities.finding import Find
from grader.quantities.links import (
    at_instant,
    from_derivative,
    from_expression,
    from_kept,
    from_kindred,
    from_law,
    from_states,
    held_before,
    is_own_quantity,
)
from grader.quantities.question import Question
from grader.quantities.records import OfSignal
from grader.quantities.rules import Rule, from_first
from grader.quantities.s_domain import ended, from_own_system
from grader.quantities.shared import from_other_interval
from grader.quantities.thevenin import by_equivalent
from grader.quantities.words import at_zero, instants, instants_at
from grader.values.waveform import Waveform


def _held(question: Question) -> Iterator[Rule]:
    """What a storage element holds while nothing flows into it."""
    says = "Nothing changes it in between, so your own earlier value counts."
    yield from from_first(held_before(question), "x0", says, name="x0")


class ValueJustBeforeSwitching(OfSignal):
    """The value of a signal at the last instant before a switching: the dc steady state before the first one."""

    name = Find.JUST_BEFORE

    def reference(self, question: Question) -> Waveform:
        return question.solved.just_before(question.signal, question.index)

    def rules(self, question: Question) -> Iterator[Rule]:
        """An element's law, the dc steady state before the first switching, before a later one the own expression that ends there; the states."""
        yield from from_law(question, Find.JUST_BEFORE)
        if question.index == 1:
            yield from from_dc(question, Find.JUST_BEFORE)
            yield from from_states_in_dc(question, Find.JUST_BEFORE, 0)
            yield from from_kindred_in_dc(question, Find.JUST_BEFORE, 0)
        else:
            yield from at_instant(question, question.start, index=question.index - 1)
            yield from from_derivative(question, question.start, index=question.index - 1)
            yield from _held(question)
        yield from from_states(question, Find.JUST_BEFORE, Find.AT, Find.INITIAL, index=question.index - 1)

    def names(self, item: Item) -> tuple[str, ...]:
        """``i(0-)``, where the first switching is meant, else ``i(30ms-)``."""
        return instants_at(item, item.after, "-") if item.after else instants(item, "0-")


class InitialValue(OfSignal):
    """The value of a signal at the first instant after a switching, 0+."""

    name = Find.INITIAL

    def reference(self, question: Question) -> Waveform:
        return question.solved.just_after(question.signal, question.index)

    def rules(self, question: Question) -> Iterator[Rule]:
        """Continuity of what cannot jump, an element's law, Kirchhoff's laws with the states held, the own expression."""
        continuous = is_own_quantity(question.circuit, question.signal)
        if continuous:
            says = "It cannot jump, so your own value just before counts."
            yield from from_first(question.same_here(Find.JUST_BEFORE), "x0", says, name="x0")
            yield from _held(question)
        yield from from_law(question, Find.INITIAL)
        yield from from_kept(question)
        yield from from_states(question, Find.INITIAL, Find.JUST_BEFORE, Find.AT)
        yield from from_kindred(question, Find.INITIAL)
        yield from at_instant(question, question.start)
        if question.index > 1 and continuous:
            yield from at_instant(question, question.start, index=question.index - 1)
        yield from from_derivative(question, question.start)
        yield from from_derivative(question, question.start, find=Find.SLOPE)
        yield from first_order_law(question)
        yield from by_equivalent(question, Find.INITIAL)

    def names(self, item: Item) -> tuple[str, ...]:
        """``i(0+)``, ``i(0)``, ``i_0``, where the first switching is meant, else ``i(30ms+)``, ``i(30ms)``."""
        if item.after:
            return instants_at(item, item.after, "+", "")
        return (*instants(item, "0+", "0"), *at_zero(item))


class FinalValue(OfSignal):
    """What a signal tends to in the interval meant, as if nothing acted any more."""

    name = Find.FINAL

    def reference(self, question: Question) -> Waveform:
        return question.solved.final(question.signal, question.index)

    def rules(self, question: Question) -> Iterator[Rule]:
        """An element's law, Kirchhoff's laws with the final states, the own expression."""
        yield from from_law(question, Find.FINAL)
        yield from from_states(question, Find.FINAL)
        yield from from_kindred(question, Find.FINAL)
        yield from from_dc(question, Find.FINAL)
        yield from from_states_in_dc(question, Find.FINAL, question.index)
        yield from from_kindred_in_dc(question, Find.FINAL, question.index)
        yield from from_expression(question, steps.settled, "This follows from your own expression for very large t.")
        yield from from_own_system(question, ended)
        yield from by_equivalent(question, Find.FINAL)
        yield from from_other_interval(question, Find.FINAL)

    def names(self, item: Item) -> tuple[str, ...]:
        """``i(inf)``."""
        return instants(item, "inf")


class ValueAt(OfSignal):
    """The value of a signal at an instant; at a switching, just after it."""

    name = Find.AT

    def reference(self, question: Question) -> Waveform:
        assert question.item.at is not None
        return question.solved.waveform(question.signal, question.index_at(question.item.at)).at(question.item.at)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression at that instant; an element's law; initial value, final value and time constant."""
        at = question.item.at
        assert at is not None
        index = question.index_at(at)
        if index == 0:
            return
        yield from at_instant(question, at, index=index)
        if (
            at == question.solved.intervals[index].start
            and index > 1
            and is_own_quantity(question.circuit, question.signal)
        ):
            yield from at_instant(question, at, index=index - 1)
        yield from from_law(question, Find.AT)
        yield from from_states(question, Find.AT)
        yield from from_kindred(question, Find.AT)
        yield from from_derivative(question, at, index=index)
        opened = question.solved.intervals[index].start
        says = "This follows from your own initial value, final value and time constant."
        step = partial(steps.first_order_at, start=opened, time=at)
        here = replace(question, item=replace(question.item, after=opened))
        yield from from_values(here, FIRST_ORDER_RESPONSE, says, needs=FIRST_ORDER, step=step)

    def names(self, item: Item) -> tuple[str, ...]:
        """``i(30ms)``."""
        return () if item.at is None else instants_at(item, item.at, "")
