"""A slope whose sign is said in words: ``decreasing at 240 A/s`` is -240 A/s."""

from __future__ import annotations

from grader.reading.line.phrases import phrase_of
from grader.reading.tokens import Question
from grader.reading.tree import Negative, Node
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import RATE


def falls(text: str, question: Question) -> bool:
    """Whether a slope is asked and a word says that it is a falling one."""
    asked = question.dimension
    if question.expects != "value" or asked is None or asked.second >= 0 or asked == RATE:
        return False
    return phrase_of("falling").search(text) is not None


def negative(tree: Node) -> Node | None:
    """The value with a minus sign; None where it has one already, or is not known."""
    try:
        size = evaluate(tree).waveform.value()
    except (ValueError, ZeroDivisionError):
        return None
    return Negative(tree, tree.place) if size > 0 else None
