"""The equations behind a response: characteristic polynomial and differential equation."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities.composed import from_values
from grader.quantities.equations import (
    POLYNOMIAL,
    characteristic_polynomial,
    differential_equation,
    equation_text,
    polynomial_rules,
    with_final,
)
from grader.quantities.links import FINAL
from grader.quantities.question import Question
from grader.quantities.records import EQUATION, SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import after_switching, phrase, symbol
from grader.values.waveform import Waveform


class CharacteristicPolynomial(Asked):
    """The characteristic polynomial in s; an equation, a polynomial or its coefficients, whatever the common factor."""

    name = POLYNOMIAL
    label = "Characteristic equation in s"
    answers = EQUATION
    allows = ("after",)
    sample = Sample(circuit="damper", answer="1*t**2 + 6*t + 25")

    def reference(self, question: Question) -> Waveform:
        """With 1 before the highest power; t stands for s."""
        return characteristic_polynomial(question)

    def rules(self, question: Question) -> Iterator[Rule]:
        """Roots, α and ω0, or the time constant."""
        yield from polynomial_rules(question)

    def written(self, item: Item, answer: Waveform) -> str:
        """As an equation in s."""
        return equation_text(answer)


class DifferentialEquation(Asked):
    """The differential equation of a signal, sources constant; its terms in any order, whatever the common factor."""

    name = "differential equation"
    answers = EQUATION
    needs = (SIGNAL,)
    allows = ("after",)
    sample = Sample(circuit="damper", item='voltage = "C1"', answer="1*t**3 + 6*t**2 + 25*t - 125")

    def reference(self, question: Question) -> Waveform:
        """All on one side, with 1 before the highest derivative; the n-th derivative stands as ``t^(n+1)``."""
        return differential_equation(question)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The characteristic polynomial with the final value."""
        says = "This follows from your own characteristic polynomial and final value."
        yield from from_values(
            question, "p(d/dt)*x = p(0)*xf", says, needs={"p": POLYNOMIAL, "xf": FINAL}, step=with_final
        )

    def written(self, item: Item, answer: Waveform) -> str:
        """As an equation, in SI base units."""
        return equation_text(answer, symbol(item.signal))

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Differential equation of the {phrase(item.signal)}{after_switching(problem, item)}"


ENTRIES = (CharacteristicPolynomial(), DifferentialEquation())
