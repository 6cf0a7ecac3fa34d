"""All of several answers that hold; ``key`` lists the right ones."""

from __future__ import annotations

from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import CHOICES, Asked, Sample
from grader.reading.words import APART, lettered


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


ENTRY = Choices()
