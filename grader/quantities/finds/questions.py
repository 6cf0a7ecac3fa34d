"""Questions that no circuit decides: choices, statements, and what a person marks."""

from __future__ import annotations

from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import CHOICE, CHOICES, PERSON, Asked, Sample
from grader.reading.words import APART, lettered


class Choice(Asked):
    """One of several answers to choose from; ``key`` is the right one."""

    name = "choice"
    answers = CHOICE
    needs = ("options", "key")
    circuit = False
    key_is_answer = True
    measures = None
    sample = Sample(item='options = ["rises", "falls"]\nkey = "falls"', answer="falls")

    def reference(self, question: Question) -> str:
        """The option that the key names."""
        key = question.item.key or ""
        return next(option for option in question.item.options if option.lower() == key.lower())

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Choose one: {lettered(item.options)}"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Two options or more, all different, the key among them."""
        found = []
        folded = [option.lower() for option in item.options]
        if item.options and len(item.options) < 2:
            found.append("'options' must hold two answers or more to choose from")
        if len(set(folded)) != len(folded):
            found.append("two of the 'options' are the same")
        if item.options and item.key is not None and item.key.lower() not in folded:
            found.append(f"'key' is '{item.key}', but the options are {', '.join(item.options)}")
        return tuple(found)


class Choices(Asked):
    """All answers that hold, of several; each right one earns its share, and each wrong one takes as much."""

    name = "choices"
    answers = CHOICES
    needs = ("options", "key")
    circuit = False
    key_is_answer = True
    sample = Sample(
        item='options = ["rises", "falls", "ends at 0"]\nkey = ["falls", "ends at 0"]', answer="falls; ends at 0"
    )

    def reference(self, question: Question) -> str:
        """The options that the key names, in their own order."""
        keys = _keys(question.item)
        return APART.join(option for option in question.item.options if option.lower() in keys)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Name all that hold: {lettered(item.options)}"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Two options or more, all different, every key among them."""
        folded = [option.lower() for option in item.options]
        found = [
            f"'key' names '{one}', but the options are {', '.join(item.options)}"
            for one in _keys(item)
            if one not in folded
        ]
        if item.options and (len(item.options) < 2 or len(set(folded)) != len(folded)):
            found.append("'options' must hold two answers or more, all different")
        return tuple(found)


def _keys(item: Item) -> list[str]:
    return (item.key or "").lower().split(APART)


class TrueOrFalse(Asked):
    """A statement to be judged, which the item's ``text`` states; ``key`` is ``"true"`` or ``"false"``."""

    name = "true or false"
    answers = CHOICE
    needs = ("key",)
    circuit = False
    key_is_answer = True
    offered = ("true", "false")
    sample = Sample(item='key = "false"', answer="false")

    def reference(self, question: Question) -> str:
        """The key."""
        return (question.item.key or "").lower()

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet, where the statement stands in the problem's text."""
        return "True or false?"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """One of the two."""
        if item.key is None or item.key.lower() in self.offered:
            return ()
        return (f"'key' must be \"true\" or \"false\", not '{item.key}'",)


class Explanation(Asked):
    """A sentence that a person marks: every answer waits on the review list, equal ones in one row."""

    name = "explanation"
    answers = PERSON
    circuit = False
    words = "Explain in a sentence or two"
    sample = Sample(answer="A person gives the points.")

    def reference(self, question: Question) -> str:
        """None that a program knows."""
        return "A person gives the points."

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return self.words


class Sketch(Explanation):
    """A drawing that a person marks; in its place the student says where it is (a page, a file)."""

    name = "sketch"
    words = "Sketch; write here where it is to be found"
    sample = Sample(answer="A person gives the points.")


ENTRIES = (Choice(), Choices(), TrueOrFalse(), Explanation(), Sketch())
