"""One of several answers to choose from; ``key`` is the right one."""

from __future__ import annotations

from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import CHOICE, Asked, Sample
from grader.reading.words import lettered


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


ENTRY = Choice()
