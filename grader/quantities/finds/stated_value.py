"""An answer that the instructor states, a value or an expression in t, for what no circuit models."""

from __future__ import annotations

from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.quantities import Quantity, quantity
from grader.quantities.question import Question
from grader.quantities.records import EXPRESSION, VALUE, Asked, Sample
from grader.values.dimension import NUMBER, Dimension
from grader.values.waveform import Waveform


def _stated(item: Item) -> Quantity:
    """The key as read: as an expression, which may turn out to be a plain value."""
    return quantity(item.key or "", None, expects=EXPRESSION)


class StatedValue(Asked):
    """An answer that the instructor states, a value or an expression in t, for what no circuit models."""

    name = "stated value"
    needs = ("key",)
    allows = ("parts",)
    circuit = False
    sample = Sample(item='key = "2.5 kHz"', answer="2500")

    def kind(self, item: Item) -> str:
        """An expression where t occurs in the key."""
        try:
            return VALUE if _stated(item).waveform.is_constant else EXPRESSION
        except ValueError:
            return EXPRESSION

    def dimension(self, problem: Problem, item: Item) -> Dimension:
        """That of the key's unit."""
        found = _stated(item).dimension
        return NUMBER if found is None else found

    def reference(self, question: Question) -> Waveform:
        """The key."""
        try:
            return _stated(question.item).waveform
        except ValueError as error:
            raise NotDefined(str(error)) from None

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return "Answer"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """The key must be readable."""
        if item.key is None:
            return ()
        try:
            _stated(item)
        except ValueError as error:
            return (f"'key': {error}",)
        return ()


ENTRY = StatedValue()
