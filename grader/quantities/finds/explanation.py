"""A sentence or two that a person reads and gives points for."""

from __future__ import annotations

from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import PERSON, Asked, Sample


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


ENTRY = Explanation()
