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
from grader.values.dimension import NUMBER, TIME, Dimension
from grader.values.functions import exp
from grader.values.scalar import ONE
from grader.values.waveform import TIME as T
from grader.values.waveform import Waveform, constant, number_of


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

    It may name elements and earlier items (by their ids), of these that are expressions what they are at an instant, too;
    what it is worth is right only with the ``answers`` to these, its kind and dimension without.
    """
    from grader.quantities.catalogue import asked  # here: the catalogue imports this file

    measures: dict[str, Dimension | None] = {}
    values: dict[str, Waveform] = {}
    expressions = set()
    for earlier in items_before(problem, item):
        entry = asked(earlier.find)
        kind = entry.kind(problem, earlier)
        if kind in (VALUE, EXPRESSION):
            measures[earlier.id] = entry.dimension(problem, earlier)
            values[earlier.id] = constant(ONE) if kind == VALUE else exp(-T)
        if kind == EXPRESSION:
            expressions.add(earlier.id)
    for name, value, dimension in element_values(problem.circuit):
        measures[name], values[name] = dimension, value
    values |= dict(answers or {})

    def at_instant(said: re.Match[str]) -> str:
        if said["id"] not in expressions or said["at"] is None:
            return said[0]
        name, order = f"{said['id']}_{said.start()}", len(said["order"])
        measure = measures[said["id"]]
        measures[name] = measure and measure.over(TIME.raised(order))
        whole = _derivative(values[said["id"]], order)
        if said["at"].strip() == "t":
            values[name] = whole
            return name
        at = number_of(quantity(said["at"].rstrip("+"), TIME, values, measures=measures).waveform)
        values[name] = whole.at(at) if answers else constant(ONE)
        return name

    key = item.key or ""
    text = _ids(problem, item).sub(at_instant, key)
    try:
        return quantity(text, None, values, expects=EXPRESSION, measures=measures)
    except ValueError as error:
        raise ValueError(str(error).replace(text, key)) from None


def _ids(problem: Problem, item: Item) -> re.Pattern[str]:
    """The ids of earlier items in a key, and what expressions and their derivatives are at an instant: ``steady(0)``, ``i'(20 ms)``."""
    ids = sorted((re.escape(one.id) for one in items_before(problem, item)), key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?P<id>{'|'.join(ids) or '(?!)'})(?!\w)(?:(?P<order>'{{0,2}})\s*\((?P<at>[^()]*)\))?")


def _derivative(own: Waveform, order: int) -> Waveform:
    return _derivative(own.derivative(), order - 1) if order else own


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
    said = _ids(question.problem, question.item).finditer(question.item.key or "")
    ids = {one["id"] for one in said}
    return (item for item in items_before(question.problem, question.item) if item.id in ids)
