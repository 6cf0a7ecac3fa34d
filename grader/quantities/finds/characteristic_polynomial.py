"""The characteristic polynomial of an interval's response, as an equation or by its coefficients."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities.equations import POLYNOMIAL, characteristic_polynomial, equation_text, polynomial_rules
from grader.quantities.question import Question
from grader.quantities.records import EQUATION, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.second_order import text_of
from grader.values.waveform import Waveform


class CharacteristicPolynomial(Asked):
    """The characteristic polynomial in s; an equation, a polynomial or its coefficients, whatever the common factor."""

    name = POLYNOMIAL
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

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return text_of("Characteristic equation in s", problem, item)


ENTRY = CharacteristicPolynomial()
