"""A constant where a response is asked that changes with time: what is said of it, and what is not."""

from grader.marking.follow import CarriedForward
from grader.marking.itemkey import ItemKey
from grader.marking.judgement import Judgement
from grader.quantities import Answer
from grader.values.comparison import Comparison
from grader.values.scalar import ZERO
from grader.values.waveform import Waveform

ONE_VALUE = "This is one value for all time, and what is asked changes with time."


def is_one_value(item: ItemKey, answer: Answer) -> bool:
    """Whether an answer does not vary where the right one does."""
    return CarriedForward(answer=answer, right=item.reference.answer).flat


def is_an_end_alone(item: ItemKey, answer: Answer, judgement: Judgement) -> bool:
    """Whether it is no more than the response's initial or final value, so that no mistake that leads to a constant is shown by it."""
    if not is_one_value(item, answer):
        return False
    held, right = judgement.comparison, item.reference.answer
    if isinstance(held, Comparison) and (held.initial or held.final):
        return True
    return isinstance(right, Waveform) and answer in (right.at(item.reference.start or ZERO), right.limit())  # a zero
