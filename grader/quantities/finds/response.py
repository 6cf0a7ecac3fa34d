"""A signal as a function of time over all intervals, each switching opening a new one."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.circuit.network import instants
from grader.problem import Item, Problem
from grader.quantities.question import Question, time_text
from grader.quantities.records import RESPONSE, SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.s_domain import from_own_system, from_own_transform, inverted
from grader.quantities.words import phrase, signal_dimension, titled
from grader.values.piecewise import Piecewise


class Response(Asked):
    """A signal as a function of time over all intervals, each switching opening a new one."""

    name = RESPONSE
    answers = RESPONSE
    needs = (SIGNAL,)
    allows = ("after",)
    dimension = staticmethod(signal_dimension)
    sample = Sample(
        circuit="pulse",
        item='current = "L1"',
        answer="Piecewise((-3*exp(-2*t) + 3, t < 1), (-3*exp(-2*t) + 3*exp(-2*t + 2), True))",
    )

    def reference(self, question: Question) -> Piecewise:
        """The waveform of every interval from the one meant on."""
        intervals = enumerate(question.solved.intervals)
        return Piecewise(
            tuple(
                (interval.start, question.solved.waveform(question.signal, index))
                for index, interval in intervals
                if index >= question.index
            )
        )

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own transform, inverted; the own impulse response, convolved with the source."""
        yield from from_own_transform(question, None)
        yield from from_own_system(question, partial(inverted, start=None))

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        opened = item.after
        if opened is None and problem.circuit is not None:
            opened = instants(problem.circuit)[0]
        start = "0" if not opened else time_text(opened)
        how = "one expression for each interval, or unit steps u(t)"
        return f"{titled(phrase(item.signal))} as a function of t for all t > {start} ({how})"


ENTRY = Response()
