"""Questions that no circuit decides: choices, statements, stated values and expressions, and what a person marks."""

from collections.abc import Iterator, Mapping
from contextlib import suppress
from functools import partial
from operator import itemgetter
from typing import NamedTuple

from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.names import element_values, items_before
from grader.quantities.quantities import Quantity, quantity
from grader.quantities.question import Question, time_text
from grader.quantities.records import CHOICE, CHOICES, EXPRESSION, PERSON, VALUE, Asked
from grader.quantities.rules import Answer, Rule
from grader.reading.reader import read
from grader.reading.refusals import Refusal
from grader.reading.text.glyphs import normalize
from grader.reading.tree import Name, walk
from grader.reading.words import APART
from grader.regex import regex
from grader.values.dimension import NUMBER, TIME, Dimension
from grader.values.functions import exp
from grader.values.scalar import ONE, ZERO
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


class _Call(NamedTuple):
    """What an earlier expression is at an instant, or its derivative: ``steady(0)``, ``i'(20 ms)``, ``v(t)``."""

    id: str
    order: int
    at: str


class _Names(NamedTuple):
    """What a key may name, with the dimensions: elements, and earlier items by their ids."""

    measures: dict[str, Dimension | None]
    values: dict[str, Waveform]
    """Of the elements."""
    earlier: dict[str, Item]
    expressions: dict[str, Item]
    """Of the earlier items."""

    def in_text(self, text: str) -> list[tuple[str, int]]:
        """Those that a text holds as it is read, and where each begins, in order."""
        left_out = {place for found in _OF_CALLS.finditer(text) for place in range(*found.span())}
        kept = [place for place in range(len(text)) if place not in left_out]
        found = read("".join(text[place] for place in kept), expects=EXPRESSION, names=self.measures)
        nodes = [] if isinstance(found, Refusal) else walk(found[0].tree)
        return sorted(((node.name, kept[node.place]) for node in nodes if type(node) is Name), key=itemgetter(1))

    def without_calls(self, text: str) -> tuple[str, dict[str, _Call]]:
        """A text with a name in place of each call."""
        calls: dict[str, _Call] = {}
        while found := next(self._called(text), None):
            start, end, call = found
            name = f"{call.id}_at_{len(self.measures)}"
            measure = self.measures[call.id]
            self.measures[name] = measure and measure.over(TIME.raised(call.order))
            calls[name] = call
            text = text[:start] + name + text[end:]
        return text, calls

    def _called(self, text: str) -> Iterator[tuple[int, int, _Call]]:
        """Every call in a text, and where it stands."""
        for id, start in self.in_text(text):
            opening = _OPENING.match(text, start + len(id))
            if id in self.expressions and opening is not None:
                end = _closing(text, opening.end())
                at = text[opening.end() : end - 1].strip().rstrip("+")
                yield start, end, _Call(id, len(opening["order"]), at)

    def named(self, text: str) -> frozenset[str]:
        """The ids of the earlier items that a text names, in an instant too."""
        text, calls = self.without_calls(text)
        plain = {name for name, _ in self.in_text(text)}
        inside = (self.named(call.at) | {call.id} for call in calls.values())
        return frozenset((plain & self.earlier.keys()).union(*inside))

    def worth(
        self, text: str, dimension: Dimension | None, answers: Mapping[str, Waveform], *, known: bool = True
    ) -> Quantity:
        """What a text is worth; where the answers are not ``known``, only its kind and dimension are right."""
        plain, calls = self.without_calls(text)
        values = self.values | dict(answers)
        for name, call in calls.items():
            if call.id in answers:
                whole = _derivative(answers[call.id], call.order)
                values[name] = whole if call.at == "t" else self._at(call, whole, answers, known)
        try:
            return quantity(plain, dimension, values, expects=EXPRESSION, measures=self.measures)
        except ValueError as error:
            raise ValueError(str(error).replace(plain, text)) from None

    def _at(self, call: _Call, whole: Waveform, answers: Mapping[str, Waveform], known: bool) -> Waveform:
        at = number_of(self.worth(call.at, TIME, answers, known=known).waveform)
        start = self.expressions[call.id].after or ZERO
        if known and at < start:
            raise ValueError(f"'{call.at}' lies before what '{call.id}' says, which begins at {time_text(start)}")
        return whole.at(at) if known else constant(ONE)


_OF_CALLS = regex(r"'|\+(?=\s*\))|(?<=[\w'])\s+(?=\()")
"""What calls have of their own: marks of a derivative, blanks before the bracket, and the sign of an instant just after."""
_OPENING = regex(r"(?P<order>'{0,2})\s*\(")


def _closing(text: str, place: int) -> int:
    """The place behind the bracket that closes the one open before ``place``; the end of the text where none does."""
    depth = 1
    for end in range(place, len(text)):
        depth += {"(": 1, ")": -1}.get(text[end], 0)
        if not depth:
            return end + 1
    return len(text) + 1


def _names_for(problem: Problem, item: Item) -> _Names:
    from grader.quantities.catalogue import asked  # here: the catalogue imports this file

    names = _Names({}, {}, {}, {})
    for earlier in items_before(problem, item):
        entry = asked(earlier.find)
        kind = entry.kind(problem, earlier)
        if kind in (VALUE, EXPRESSION):
            names.earlier[earlier.id], names.measures[earlier.id] = earlier, None
            with suppress(ValueError):  # a fault in its own key is told there
                names.measures[earlier.id] = entry.dimension(problem, earlier)
        if kind == EXPRESSION:
            names.expressions[earlier.id] = earlier
    for name, value, dimension in element_values(problem.circuit):
        names.measures[name], names.values[name] = dimension, value
    return names


def _stated(problem: Problem, item: Item, answers: Mapping[str, Waveform] | None = None) -> Quantity:
    """The key as read: as an expression, which may turn out to be a plain value.

    What it is worth is right only with the ``answers`` to the earlier items that it names, its kind and dimension without.
    """
    names = _names_for(problem, item)
    stand_ins = {id: exp(-T) if id in names.expressions else constant(ONE) for id in names.earlier}
    known = answers is not None
    return names.worth(normalize(item.key or "").text, None, stand_ins if answers is None else answers, known=known)


def _derivative(own: Waveform, order: int) -> Waveform:
    return _derivative(own.derivative(), order - 1) if order else own


_AS_IT_STANDS = regex(r"([-+−]?\d+(?:[.,]\d+)?)\s*(%|[mkMG]?Hz|[mkM]?[VA]/[mμµn]?s)")


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
        if other := next((id for id in answers if id not in plain), None):
            raise NotDefined(
                f"the key names '{other}', which is no one expression; name one that holds on one interval"
            )
        try:
            return _stated(question.problem, question.item, plain).waveform
        except ValueError as error:
            raise NotDefined(str(error)) from None

    def written(self, item: Item, answer: Waveform) -> str:
        """A key in per cent, in hertz or per second as it stands: in base units nobody would know it again."""
        said = _AS_IT_STANDS.fullmatch((item.key or "").strip())
        return f"{said[1]} {said[2]}" if said else ""

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
    names = _names_for(question.problem, question.item)
    ids = names.named(normalize(question.item.key or "").text)
    return (item for id, item in names.earlier.items() if id in ids)
