"""A statement to be judged; ``key`` is ``"true"`` or ``"false"``."""

from __future__ import annotations

from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import CHOICE, Asked, Sample


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


ENTRY = TrueOrFalse()
