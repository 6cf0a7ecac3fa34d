"""The poles and zeros of a transfer function, or of a signal's transform."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial

from grader.circuit.characteristic import characteristic
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import ROOTS, SIGNAL, TRANSFORM, Asked, Sample
from grader.quantities.rules import Answer, Roots, Rule
from grader.quantities.s_domain import FUNCTION, source_faults
from grader.quantities.second_order import listed
from grader.quantities.words import after_switching, phrase
from grader.values.dimension import RATE
from grader.values.laplace import fraction
from grader.values.waveform import Waveform


class Poles(Asked):
    """The poles of the transfer function from a source (``of``) to a signal; without ``of``, of the signal's transform."""

    name = "poles"
    answers = ROOTS
    needs = (SIGNAL,)
    allows = ("of", "after")
    measures = RATE
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="0, -3 + 4*I, -3 - 4*I")

    def reference(self, question: Question) -> Roots:
        """The roots of the denominator in lowest terms."""
        return roots_of({"x": question.answer_to(replace(question.item, find=_whole(question.item)))}, side=self.name)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own function of s."""
        whole = _whole(question.item)
        for item in question.earlier_here(whole):
            if question.about(item) == 1 and item.of == question.item.of:
                says = f"This follows from your own {whole}."
                yield Rule(formula="x", uses=(("x", item.id),), says=says, step=partial(roots_of, side=self.name))
                return

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """With ``of``, one independent source."""
        if item.after is not None and not item.of:
            return (
                "'after' means nothing for a transform, which counts from t = 0; name the source with 'of', or leave it out",
            )
        return source_faults(problem, item) if item.of else ()

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        signal = phrase(item.signal)
        of = f"transfer function from {item.of[0]} to the {signal}" if item.of else f"Laplace transform of the {signal}"
        return f"{self.name.capitalize()} of the {of}, all of them{after_switching(problem, item) if item.of else ''}"


class Zeros(Poles):
    """The zeros of the transfer function from a source (``of``) to a signal; without ``of``, of the signal's transform."""

    name = "zeros"
    sample = Sample(circuit="damper", item='voltage = "L1"\nof = "Vs"', answer="0, 0")


def _whole(item: Item) -> str:
    """The find whose answer has these poles and zeros."""
    return FUNCTION if item.of else TRANSFORM


def roots_of(named: Mapping[str, Answer], *, side: str) -> Roots:
    """The zeros or the poles of the function of s ``x``."""
    x = named["x"]
    if not isinstance(x, Waveform) or not x.is_number:
        raise NotDefined("a quotient of polynomials in s is needed")
    found = fraction(x.number)
    polynomial = found.bottom if side == Poles.name else found.top
    if len(polynomial) < 2:
        raise NotDefined(f"it has no finite {side}")
    return listed(characteristic(tuple(value / polynomial[-1] for value in polynomial)).roots)


ENTRIES = (Poles(), Zeros())
