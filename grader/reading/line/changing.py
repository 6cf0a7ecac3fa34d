"""Words that change what an answer says and are no part of its mathematics: ``at most 4 kΩ``, ``4 kΩ, crossed out``.

Where what they mean is certain, they are read (``twice 4 kΩ``; ``5 V, reversed`` in `grader.reading.line.falling`).  What is
left of them is never passed over as a remark: a person looks.
"""

import re
from functools import lru_cache

from grader.reading.line.phrases import phrase_of
from grader.reading.tokens import Question
from grader.reading.tree import Constant, Name, Negative, Node, Number, Time, walk

_BETWEEN_NODES = re.compile(
    r"\bfrom\s+(?:node\s+)?(?P<start>(?!t\b)[^\W\d_][0-9]?)\s+to\s+(?:node\s+)?(?P<end>[^\W\d_][0-9]?)(?!\w)"
    r"|(?<=[\s,;(])(?P<first>(?!t\b)[^\W\d_][0-9]?)\s?(?:\bto\b|→|[-=]+>)\s?(?P<second>[^\W\d_][0-9]?)\s*(?=$|[,;.)])"
    r"|(?:\b(?:plus|positive)|\+)(?:\s+(?:pole|side|terminal|end))?\s+(?:is\s+)?(?:at|on)\b(?:\s+(?:the\s+)?(?:node\s+)?(?P<plus>\w+))?",
    re.IGNORECASE,
)
"""A direction told by the ends between which it counts; whether it is the one asked, a person sees."""


_WORDY = re.compile(r"[^\W\d_]{3}|\b(?:to|at|on)\b|→|[-=]>")
"""A glance that tells whether there may be such words at all."""


def is_changed(text: str, tree: Node, question: Question, *, turned: bool) -> bool:
    """Whether words of a line change the value that was read from it.

    Parameters
    ----------
    text : str
        The line, in the one alphabet; the tree's places are places in it.
    tree : Node
        What was read.
    question : Question
    turned : bool
        Whether its direction was read already.
    """
    if not _WORDY.search(text):
        return False
    place = min((node.place for node in walk(tree) if isinstance(node, (Number, Name, Time, Constant))), default=0)
    before, behind = text[:place], text[place:]
    if _taken_back().search(behind):
        return True
    if question.expects == "roots":
        return False  # a double root
    limits = _behind().search(behind)
    outside = limits is not None and behind.count("(", 0, limits.start() + 1) == behind.count(
        ")", 0, limits.start() + 1
    )
    changes = question.dimension is None or question.dimension.second >= 0
    if _front("bound", "bound in front", "multiple", *["change"] * changes).search(before) or outside:
        return True
    signed = turned or isinstance(tree, Negative) or before.rstrip("( ").endswith("-")
    return not signed and _tells_direction(text, question)


def _tells_direction(text: str, question: Question) -> bool:
    """Whether a line tells a direction other than the one asked (``v_xy``: from x to y); ``from R2 to L1`` tells a path."""
    if _turned().search(text) is not None:
        return True
    between = _BETWEEN_NODES.search(text)
    if between is None or between["start"] in question.vocabulary.dimensions:
        return False
    start, end = between["start"] or between["first"] or between["plus"], between["end"] or between["second"] or ""
    return not any(name[1:].startswith(f"{start}{end}".lower()) for name in question.called if len(name) > 2)


@lru_cache(maxsize=1)
def _taken_back() -> re.Pattern[str]:
    """Words that judge the value, and not a thing of their own: ``the wrong sign``."""
    return re.compile(
        rf"(?<!\bthe )(?-i:(?<!\ba ))(?<!\bmy )(?<!\bnot )(?:{phrase_of('taken back').pattern})", re.IGNORECASE
    )


@lru_cache(maxsize=2)
def _front(*kinds: str) -> re.Pattern[str]:
    """Words in front of the value."""
    return re.compile(
        rf"(?:{phrase_of(*kinds).pattern})\s?(?:\b(?:of|the|an?|about|exactly)\b\s?)*[-+(]*$", re.IGNORECASE
    )


@lru_cache(maxsize=1)
def _behind() -> re.Pattern[str]:
    """Words right behind the value: what ends the line, or compares the value with another one."""
    ends = phrase_of("bound", "multiple").pattern
    return re.compile(
        rf"(?:[0-9)]\s?[^\W\d_]{{1,9}}|\))[\s(]+(?:{ends})[\s).!]*$"
        rf"|^[0-9.,]+\s?[^\W\d_]{{1,9}}\s+(?:{phrase_of('bound').pattern})",
        re.IGNORECASE,
    )


@lru_cache(maxsize=1)
def _turned() -> re.Pattern[str]:
    """Words for the other direction that nothing denies."""
    return re.compile(rf"(?<!\bnot )(?<!\bno )(?:{phrase_of('turned').pattern})", re.IGNORECASE)
