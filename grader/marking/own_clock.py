"""Instants and expressions that a student counts from a switching of their own choice, brought to the problem's clock."""

import re

from grader.marking.itemkey import ItemKey
from grader.quantities import Answer
from grader.reading.reader import read
from grader.reading.record import Reading
from grader.reading.refusals import Refusal
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import TIME
from grader.values.scalar import ZERO
from grader.values.waveform import Waveform, constant

TIME_TO_REACH = "time to reach"
ORIGIN = re.compile(
    r"\b(?:after|from|since|past|following|counted|measured)\b.*\b(?:switch|clos|open|chang|begin|start|second action)|\blater\b",
    re.IGNORECASE,
)
"""Words that say that an instant is counted from the switching and not on the problem's own clock."""
_INSTANT = re.compile(r"(?<![\w.,])[0-9][0-9.,]*\s*[mμ]?s?\b")
"""The instant from which ``t measured from 30 ms`` counts."""


def since_the_switching(item: ItemKey, reading: Reading, answer: Answer, text: str) -> Waveform | None:
    """An instant or an expression that is said to count from where the interval asked begins, on the problem's own clock."""
    reference = item.reference
    start = reference.start or ZERO
    words = text if reference.find == TIME_TO_REACH and ORIGIN.search(text) else reading.origin
    if not start or not words or not isinstance(answer, Waveform):
        return None
    if any(not acts and re.search(rf"\b{re.escape(name)}\b", words) for name, acts in reference.acting):
        return None  # from another switch's action
    if reference.find == TIME_TO_REACH:
        return answer + constant(start)
    named = _INSTANT.search(words)
    instant = () if named is None else read(named[0], dimension=TIME)
    if isinstance(instant, Refusal) or any(evaluate(one.tree).waveform != constant(start) for one in instant[:1]):
        return None
    return answer.delayed(start)
