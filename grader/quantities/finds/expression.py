"""A signal as a function of time, on the interval that a switching opens."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.circuit.network import instants
from grader.problem import Item, Problem
from grader.quantities.composed import first_order, from_interval_before, second_order
from grader.quantities.links import EXPRESSION, from_derivative, from_kindred, from_law, from_states
from grader.quantities.question import Question, time_text
from grader.quantities.records import EXPRESSION as KIND
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.s_domain import from_own_system, from_own_transform, inverted
from grader.quantities.words import phrase, signal_dimension, titled
from grader.values.waveform import Waveform

FORMULA = "xf+(x0-xf)*e^(-(t-t1)/tau)"


class Expression(Asked):
    """A signal as a function of time, on the interval that a switching opens."""

    name = "expression"
    answers = KIND
    needs = (SIGNAL,)
    allows = ("after", "parts")
    dimension = staticmethod(signal_dimension)
    sample = Sample(circuit="relay", item='current = "L1"', answer="3*exp(-20*t)")

    def reference(self, question: Question) -> Waveform:
        """The response on the interval meant."""
        return question.waveform

    def rules(self, question: Question) -> Iterator[Rule]:
        """Initial value, final value and time constant; an element's law; the states; for second order, the roots."""
        says = "This follows from your own initial value, final value and time constant."
        yield from first_order(question, FORMULA, says)
        yield from from_law(question, EXPRESSION)
        yield from from_derivative(question)
        yield from from_states(question, EXPRESSION)
        yield from from_kindred(question, EXPRESSION)
        yield from second_order(question)
        yield from from_interval_before(question)
        yield from from_own_transform(question, question.start)
        yield from from_own_system(question, partial(inverted, start=question.start))

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        opening = item.after
        if opening is None and problem.circuit is not None:
            opening = instants(problem.circuit)[0]
        start = time_text(opening) if opening is not None and opening != 0 else "0"
        later = (
            [] if problem.circuit is None or opening is None else [t for t in instants(problem.circuit) if t > opening]
        )
        when = f"{start} < t < {time_text(later[0])}" if later else f"t > {start}"
        return f"{titled(phrase(item.signal))} as an expression in t, for {when}"


ENTRY = Expression()
