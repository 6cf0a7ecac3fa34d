"""An answer that the instructor states, a value or an expression in t, for what no circuit models."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.names import element_values, items_before
from grader.quantities.quantities import Quantity, quantity
from grader.quantities.question import Question
from grader.quantities.records import EXPRESSION, VALUE, Asked, Sample
from grader.values.dimension import NUMBER, Dimension
from grader.values.scalar import ONE
from grader.values.waveform import Waveform, constant


def _stated(problem: Problem, item: Item, answers: Mapping[str, Waveform] | None = None) -> Quantity:
    """The key as read: as an expression, which may turn out to be a plain value.

    It may name elements and earlier items (by their ids); what it is worth is right only with the ``answers`` to these,
    its kind and dimension without.
    """
    from grader.quantities.catalogue import asked  # here: the catalogue imports this file

    measures: dict[str, Dimension | None] = {}
    values: dict[str, Waveform] = {}
    for earlier in items_before(problem, item):
        entry = asked(earlier.find)
        if entry.kind(problem, earlier) == VALUE:
            measures[earlier.id], values[earlier.id] = entry.dimension(problem, earlier), constant(ONE)
    for name, value, dimension in element_values(problem.circuit):
        measures[name], values[name] = dimension, value
    return quantity(item.key or "", None, values | dict(answers or {}), expects=EXPRESSION, measures=measures)


class StatedValue(Asked):
    """An answer that the instructor states, a value or an expression in t, for what no circuit models."""

    name = "stated value"
    needs = ("key",)
    allows = ("parts",)
    circuit = False
    key_is_answer = True
    sample = Sample(item='key = "2.5 kHz"', answer="2500")

    def kind(self, problem: Problem, item: Item) -> str:
        """An expression where t occurs in the key."""
        try:
            return VALUE if _stated(problem, item).waveform.is_constant else EXPRESSION
        except ValueError:
            return EXPRESSION

    def dimension(self, problem: Problem, item: Item) -> Dimension:
        """That of the key's unit."""
        found = _stated(problem, item).dimension
        return NUMBER if found is None else found

    def reference(self, question: Question) -> Waveform:
        """The key."""
        answers = {item.id: question.answer_to(item) for item in _named(question)}
        plain = {id: answer for id, answer in answers.items() if isinstance(answer, Waveform)}
        try:
            return _stated(question.problem, question.item, plain).waveform
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
            _stated(problem, item)
        except ValueError as error:
            return (f"'key': {error}",)
        return ()


def _named(question: Question) -> Iterator[Item]:
    """The earlier items whose ids stand in the key."""
    words = set(re.findall(r"\w[\w-]*", question.item.key or ""))
    return (item for item in items_before(question.problem, question.item) if item.id in words)


ENTRY = StatedValue()
