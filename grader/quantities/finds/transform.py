"""The Laplace transform of a signal, what the storage elements hold at 0- included."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.transformed import signal_transform
from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Sample
from grader.quantities.rules import Rule
from grader.quantities.s_domain import ANSWER, InSDomain, from_law_in_s, from_own_expression, from_own_system, in_s
from grader.quantities.words import phrase, symbol
from grader.values.waveform import Waveform


class Transform(InSDomain):
    """The Laplace transform of a signal (t counted from 0-), what the storage elements hold at 0- included."""

    name = "transform"
    needs = (SIGNAL,)
    allows = ("parts",)
    sample = Sample(circuit="charging", item='voltage = "C1"', answer="5000/(s**2 + 500*s)")

    def reference(self, question: Question) -> Waveform:
        """The circuit solved in the s-domain."""
        return signal_transform(question.solved, question.signal)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression, transformed; the element's law; the own impulse response or transfer function."""
        yield from from_own_expression(question)
        yield from from_law_in_s(question)
        yield from from_own_system(question, in_s)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        name = symbol(item.signal)
        return f"Laplace transform {name[0].upper()}{name[1:]}(s) of the {phrase(item.signal)}, {ANSWER}"


ENTRY = Transform()
