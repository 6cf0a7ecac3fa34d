"""The value of a signal at the first instant after a switching, 0+."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities.composed import first_order_law
from grader.quantities.links import (
    INITIAL,
    JUST_BEFORE,
    at_instant,
    from_kindred,
    from_law,
    from_states,
    is_own_quantity,
)
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import at_zero, instants, phrase, signal_dimension, when
from grader.values.waveform import Waveform


class InitialValue(Asked):
    """The value of a signal at the first instant after a switching, 0+."""

    name = "initial value"
    needs = (SIGNAL,)
    allows = ("after",)
    dimension = staticmethod(signal_dimension)
    sample = Sample(circuit="charging", item='current = "C1"', answer="1/100")

    def reference(self, question: Question) -> Waveform:
        """The limit from the right."""
        value: Waveform = question.solved.just_after(question.signal, question.index)
        return value

    def rules(self, question: Question) -> Iterator[Rule]:
        """Continuity of what cannot jump, an element's law, Kirchhoff's laws with the states held, the own expression."""
        if is_own_quantity(question.circuit, question.signal):
            for item in question.earlier_here(JUST_BEFORE):
                if question.about(item) == 1:
                    yield Rule(
                        formula="x0",
                        uses=(("x0", item.id),),
                        says="It cannot jump, so your own value just before counts.",
                    )
                    break
        yield from from_law(question, INITIAL)
        yield from from_states(question, INITIAL, JUST_BEFORE)
        yield from from_kindred(question, INITIAL)
        yield from at_instant(question, question.start)
        if question.index > 1 and is_own_quantity(question.circuit, question.signal):
            yield from at_instant(question, question.start, index=question.index - 1)
        yield from first_order_law(question)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Initial value: {phrase(item.signal)} just after switching{when(problem, item)}"

    def names(self, item: Item) -> tuple[str, ...]:
        """``i(0+)``, ``i(0)``, ``i_0``, where the first switching is meant."""
        return (*instants(item, "0+", "0"), *at_zero(item)) if item.after is None else ()


ENTRY = InitialValue()
