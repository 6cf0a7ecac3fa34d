"""Questions that no circuit decides: choices, statements, stated values and expressions, and what a person marks."""

import re
from collections.abc import Iterator, Mapping
from functools import partial

from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.names import element_values, items_before
from grader.quantities.quantities import Quantity, quantity
from grader.quantities.question import Question
from grader.quantities.records import CHOICE, CHOICES, EXPRESSION, PERSON, VALUE, Asked
from grader.quantities.rules import Answer, Rule
from grader.reading.words import APART
from grader.values.dimension import NUMBER, Dimension
from grader.values.scalar import ONE
from grader.values.waveform import Waveform, constant


class Choice(Asked):
    """One of several answers to choose from; ``key`` is the right one."""

    name = "choice"
    answers = CHOICE
    circuit = False
    key_is_answer = True

    def reference(self, question: Question) -> str:
        key = question.item.key or ""
        return next(option for option in question.item.options if option.lower() == key.lower())

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Two options or more, all different, every key among them."""
        folded = [option.lower() for option in item.options]
        keys = self.keys_of(item) if item.options and item.key is not None else []
        found = [
            f"'key' names '{one}', but the options are {', '.join(item.options)}" for one in keys if one not in folded
        ]
        if item.options and len(set(folded)) < max(2, len(folded)):
            found.append("'options' must hold two answers or more, all different")
        return tuple(found)

    def keys_of(self, item: Item) -> list[str]:
        """The options that the key names, in small letters."""
        return [(item.key or "").lower()]


class Choices(Choice):
    """All answers that hold, of several; each right one earns its share, and each wrong one takes as much."""

    name = "choices"
    answers = CHOICES

    def reference(self, question: Question) -> str:
        """The options that the key names, in their own order."""
        keys = self.keys_of(question.item)
        return APART.join(option for option in question.item.options if option.lower() in keys)

    def keys_of(self, item: Item) -> list[str]:
        return (item.key or "").lower().split(APART)


class TrueOrFalse(Asked):
    """A statement to be judged, which the item's ``text`` states; ``key`` is ``"true"`` or ``"false"``."""

    name = "true or false"
    answers = CHOICE
    circuit = False
    key_is_answer = True

    def reference(self, question: Question) -> str:
        return (question.item.key or "").lower()

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        if item.key is None or item.key.lower() in self.offered:
            return ()
        return (f"'key' must be \"true\" or \"false\", not '{item.key}'",)


class Explanation(Asked):
    """A sentence that a person marks: every answer waits on the review list, equal ones in one row."""

    name = "explanation"
    answers = PERSON
    circuit = False

    def reference(self, question: Question) -> str:
        return "A person gives the points."


class Sketch(Explanation):
    """A drawing that a person marks; in its place the student says where it is (a page, a file)."""

    name = "sketch"


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
    """An answer that the instructor states, a value or an expression in t, for what no circuit models; it follows from the earlier items that its key names."""

    name = "stated value"
    circuit = False
    key_is_answer = True

    def kind(self, problem: Problem, item: Item) -> str:
        try:
            return VALUE if _stated(problem, item).waveform.is_constant else EXPRESSION
        except ValueError:
            return EXPRESSION

    def dimension(self, problem: Problem, item: Item) -> Dimension:
        found = _stated(problem, item).dimension
        return NUMBER if found is None else found

    def reference(self, question: Question) -> Waveform:
        answers = {item.id: question.answer_to(item) for item in _named(question)}
        plain = {id: answer for id, answer in answers.items() if isinstance(answer, Waveform)}
        try:
            return _stated(question.problem, question.item, plain).waveform
        except ValueError as error:
            raise NotDefined(str(error)) from None

    def rules(self, question: Question) -> Iterator[Rule]:
        """A key that is a formula of earlier items, in the own answers to these."""
        uses = tuple((item.id, item.id) for item in _named(question))
        if uses:
            step = partial(_by_key, problem=question.problem, item=question.item)
            says = "This follows from your own earlier answers."
            yield Rule(formula=question.item.key or "", uses=uses, says=says, step=step)

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        if item.key is None:
            return ()
        try:
            _stated(problem, item)
        except ValueError as error:
            return (f"'key': {error}",)
        return ()


def _by_key(named: Mapping[str, Answer], *, problem: Problem, item: Item) -> Waveform:
    """What the key is worth with answers to earlier items."""
    return _stated(problem, item, {name: own for name, own in named.items() if isinstance(own, Waveform)}).waveform


def _named(question: Question) -> Iterator[Item]:
    """The earlier items whose ids stand in the key."""
    words = set(re.findall(r"\w[\w-]*", question.item.key or ""))
    return (item for item in items_before(question.problem, question.item) if item.id in words)
