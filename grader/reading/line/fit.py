"""How well a value fits what is asked, as far as reading may know: its kind, never its size."""

from __future__ import annotations

from grader.reading.tokens import Question
from grader.reading.tree import Choice, Node, Time, walk
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import NUMBER

OF_ANOTHER_KIND, BARE, OF_THE_KIND_ASKED = 0, 1, 2


def fit(tree: Node, question: Question) -> int:
    """How well what a tree says fits what is asked."""
    if isinstance(tree, Choice):
        return OF_THE_KIND_ASKED
    varies = any(isinstance(node, Time) for node in walk(tree))
    if question.expects != "value":
        return OF_THE_KIND_ASKED if varies or question.expects == "roots" else BARE
    if varies:
        return OF_ANOTHER_KIND
    try:
        dimension = evaluate(tree).dimension
    except (ValueError, ZeroDivisionError):
        return BARE
    if dimension in {None, NUMBER}:
        return BARE
    return OF_THE_KIND_ASKED if question.dimension in {None, dimension} else OF_ANOTHER_KIND
