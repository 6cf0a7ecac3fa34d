"""Words that change what an answer says and are no part of its mathematics: ``at most 4 kΩ``, ``4 kΩ, crossed out``.

Where what they mean is certain, they are read (``twice 4 kΩ``; ``5 V, reversed`` in `grader.reading.line.falling`).  What is
left of them is never passed over as a remark: a person looks.
"""

import re
from enum import StrEnum
from functools import lru_cache

from grader.reading.line.falling import TURNED, has_direction, negative, tells_sign_of_an_end
from grader.reading.line.phrases import phrase_of
from grader.reading.line.unit_said import measured
from grader.reading.record import Reading
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import normalized_name
from grader.reading.tree import Constant, Name, Negative, Node, Number, Time, walk
from grader.regex import regex
from grader.values.laplace import VARIABLE

_NODE = r"(?:(?:the|node)\s+)*(?!(?:t|the|node)\b)"
_BETWEEN_NODES = regex(
    rf"[,(]?\s*(?:\b(?:flowing|counted|going|running|taken|measured|directed)\s+)?(?:"
    rf"\bfrom\s+{_NODE}(?P<start>[^\W\d_]\w{{0,7}})\s+to\s+{_NODE}(?P<end>[^\W\d_]\w{{0,7}})\b"
    rf"|(?<=[\s,;(])(?<![0-9]\s)(?P<first>(?!t\b)[^\W\d_][0-9]?)\s?(?:\bto\b|→|[-=]+>)\s?(?P<second>[^\W\d_][0-9]?)(?=\s*(?:$|[,;.)]))"
    r"|(?:\bwith\s+)?(?:\bthe\s+|\bits\s+)*(?:\b(?:plus|positive|(?P<minus>minus|negative))|\+)(?:\s+(?:pole|side|terminal|end|sign))?"
    rf"\s+(?:is\s+)?(?:at|on)\b(?:\s+{_NODE}(?P<plus>\w+))?)\s*\)?",
    re.IGNORECASE,
)
"""A direction told by the ends between which it counts."""
_GROUND = {"gnd": "ground", "earth": "ground"}


class Direction(StrEnum):
    """Which way an answer says it counts."""

    ASKED = "asked"
    REVERSED = "reversed"
    ANOTHER = "another"


_COMPARED = regex(r"[<>≤≥]=?\s*(?P<name>[^\W\d_]\w*)\s*[.!]*$")
"""``4 ms < tau``"""
_RANGE = regex(
    r"(?P<between>between\s+)?-?[0-9][0-9.,]*\s?[^\W\d_]{0,3}\s*\b(?(between)and|to)\s+-?[0-9][0-9.,]*\s?[^\W\d_]+[\s.]*"
)
"""``2.4 to 2.7 ms``, which is no value."""
_WORDY = regex(r"[<>≤≥]|[^\w\s]\s*[et]\s*=|[^\W\d_]{3}|\b(?:to|at|on|no|by|up)\b|→|[-=]>")
"""A glance that tells whether there may be such words at all."""


_NOTHING_FIRST = regex(r"\s*(?:0|zero|none|nothing|nil|null|infinite|infinity|∞)\s*[;:.,]\s+", re.IGNORECASE)
"""``zero; the 8 kΩ are seen by the source``: a value behind it may explain the first answer, or be another one."""


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
    nothing = _NOTHING_FIRST.match(text) if question.expects == "value" else None
    if nothing is not None and measured(text[nothing.end() :], question):
        return True
    place = min((node.place for node in walk(tree) if isinstance(node, (Number, Name, Time, Constant))), default=0)
    before, behind = text[:place], text[place:]
    if _taken_back().search(behind):
        return True
    if question.expects == "roots":
        return False  # a double root
    if _is_left_to_words(text, tree, question) or _is_compared_with_asked(text, question):
        return True
    if _is_bounded_or_multiple(before, behind, question):
        return True
    if question.expects == "value" and _is_part_of_a_sum(before, behind, question):
        return True
    signed = turned or isinstance(tree, Negative) or before.rstrip("( ").endswith("-")
    return not signed and (
        _turned().search(text) is not None
        or (has_direction(question.dimension) and ("negative" in text or tells_sign_of_an_end(text)))
    )


def _is_compared_with_asked(text: str, question: Question) -> bool:
    """Whether a line ends with what is asked, behind a sign that compares."""
    against = _COMPARED.search(text)
    return against is not None and normalized_name(against["name"]) in question.called


def _may_be_a_change(question: Question) -> bool:
    """Whether ``raised``, ``a drop of`` in front of a value make it a change: beside what is counted per second they tell its sense."""
    return question.dimension is None or question.dimension.second >= 0


def _is_bounded_or_multiple(before: str, behind: str, question: Question) -> bool:
    """Whether words right in front of a value or behind it, in no brackets that stay open, make it a bound, a multiple or a change."""
    changes = ["change"] * _may_be_a_change(question)
    if _front("bound", "bound in front", "denied in front", "multiple", *changes).search(before):
        return True
    limits = _behind().search(behind)
    return limits is not None and behind.count("(", 0, limits.start() + 1) == behind.count(")", 0, limits.start() + 1)


def _is_part_of_a_sum(before: str, behind: str, question: Question) -> bool:
    """Whether words add to a value, or say by how much it differs: ``6 V more``, ``6 V below V2``, ``R3 plus 20 Ω``."""
    if (_may_be_a_change(question) and _BY.search(before)) or _more().match(behind):
        return True
    joined = _ADDED_TO.match(behind)
    names = [joined["name"]] if joined else [one["name"] for one in (_ADDED.search(before),) if one]
    found = [name for one in names if (name := question.vocabulary.find(one))]
    alike = any(question.vocabulary.dimensions[name] == question.dimension for name in found)
    return alike or bool(found and joined and joined["drop"])


_MEASURED = r"[0-9.,]+\s?[^\W\d_]{1,9}(?:/[^\W\d_]+)?"
_BY = regex(
    r"\b(?:increas|decreas|rais|reduc|lower|enlarg|chang|differ|jump|climb|mov|rais)\w*\s+(?:\S+\s+){0,2}by\s*[-+]?$",
    re.IGNORECASE,
)
_ADDED = regex(r"(?P<name>[^\W\d_]\w*)\s+(?:plus|minus)\s+$", re.IGNORECASE)
_ADDED_TO = regex(
    rf"{_MEASURED}[\s,]+(?:plus|minus|below|above|under|beneath|added\s+to|difference\s+to|in\s+(?:series|parallel)\s+(?:with|to))\s+"
    r"(?:the\s+)?(?:(?P<drop>drop|voltage|current)\s+(?:of|on|across|over|in)\s+)?(?P<name>[^\W\d_]\w*)",
    re.IGNORECASE,
)


@lru_cache(maxsize=1)
def _more() -> re.Pattern[str]:
    """Words right behind a value by which it is a difference."""
    return regex(
        rf"{_MEASURED}\s+(?:{phrase_of('more').pattern})(?!\s+or\b)(?:\s+(?:than|to|from|que)\b.*)?[\s).!]*$",
        re.IGNORECASE,
    )


_DEFINED = regex(
    r"(?<![\w^/*+-])e\s*=\s*(?!2[.,]7)[0-9]|(?<!\w)t\s*(?:=|is)\s*(?:[0-9]+\s*[*·]?\s*T\b|[tT]\s*/\s*[0-9]|(?:the\s+)?time\s+constant)"
)
"""``e = 2``, ``t = 2T``: a letter of every expression stands for something of its own."""
_MOVED = regex(
    r"\b(?:delayed|shifted|mirrored|verzögert|verschoben|gespiegelt|retardé|décalé|retrasad[oa]|desplazad[oa]|atrasad[oa]|deslocad[oa]|ritardat[oa]|spostat[oa])\b",
    re.IGNORECASE,
)


_SO_IT_FLOWS = regex(r"\b(?:so|hence|thus|means|meaning|really|actually)\b", re.IGNORECASE)
"""``-3 mA, so it really flows from y to x``: what a sign means is explained, and not turned again."""


_PATH = regex(
    r"\b(?:from|von)\s+(?:the\s+)?[A-Z]\w*\s+(?:(?:through|via|over)\s+\w+\s+)?(?:to|into|nach)\s+(?:the\s+)?[^\W\d_]\w*"
    r"|\b(?:dis)?charging\s+[A-Z]\w*"
)
"""``from V2 to C1``, ``charging C1``: a way told by elements, whose sense only the drawing says; where the sign is wrong it may be meant."""


def directed(
    found: tuple[Reading, ...], text: str, question: Question, way: Direction | None, turned: bool
) -> tuple[Reading, ...]:
    """The readings with the sign that a direction in words gives them, marked where words change them otherwise."""
    if (way is Direction.ANOTHER and not turned) or is_changed(text, found[0].tree, question, turned=turned):
        found = tuple(one._replace(changed=True) for one in found)
    elif has_direction(question.dimension) and _PATH.search(text):
        found = tuple(one._replace(dropped=True) for one in found)
    explained = _SO_IT_FLOWS.search(text) is not None and negative(found[0].tree) is None
    if way is not Direction.REVERSED or explained:
        return found
    negatives = (one._replace(tree=Negative(one.tree, one.tree.place), notes=(*one.notes, TURNED)) for one in found)
    return *negatives, *(one._replace(rival=True) for one in found)


_JOINED = regex(r"\b(?:in\s+)?(?:series|parallel|Reihe|Serie|série|serie)\b", re.IGNORECASE)
_COURSE = regex(
    r"\b(?:fall|decay|decreas|drop|di(?:es|ed|ing)\b|ris(?:es|ing)|grow|charg|discharg|exponential|abkling|fallend).*"
    r"(?:\btau\b|τ|time constant|exponential|Zeitkonstante)",
    re.IGNORECASE,
)


def _is_left_to_words(text: str, tree: Node, question: Question) -> bool:
    """Whether words say what the mathematics does not: ``4 Ω and 2 H in series``, s being asked for; ``3 V, falling with tau = 1 s``; ``4 to 5 V``."""
    if VARIABLE in question.vocabulary.dimensions:
        named = any(isinstance(node, Name) and node.name == VARIABLE for node in walk(tree))
        return not named and _JOINED.search(text) is not None
    if question.expects == "value":
        return _RANGE.fullmatch(text.rpartition("=")[2].strip()) is not None
    if question.expects != "expression":
        return False
    varies = any(isinstance(node, Time) for node in walk(tree))
    return any(one.search(text) for one in ((_DEFINED, _MOVED) if varies else (_COURSE,)))


def direction_told(text: str, question: Question) -> tuple[str, Direction | None]:
    """Which way an answer says it counts, and the answer without the words for the way asked or its reverse.

    ``v_xy`` counts from x to y, with its plus at x; ``from R2 to L1`` tells a path.
    """
    between = _BETWEEN_NODES.search(text) if question.expects != "roots" and _WORDY.search(text) else None
    if between is None or between["start"] in question.vocabulary.dimensions:
        return text, None
    if re.search("[0-9]", text[: between.start()]) and re.search("[0-9]", text[between.end() :]):
        return text, None  # 4 V with + at ground, so v_C = -4 V
    start, end, plus = (_GROUND.get(name, name) for name in _ends(between))
    way = _way(start, end, plus, question)
    if between["minus"] is not None and way in _OTHER_WAY:
        way = _OTHER_WAY[way]
    told = way in {Direction.ASKED, Direction.REVERSED}
    return text[: between.start()] + " " * len(between[0]) + text[between.end() :] if told else text, way


_OTHER_WAY: dict[Direction | None, Direction] = {
    Direction.ASKED: Direction.REVERSED,
    Direction.REVERSED: Direction.ASKED,
}


def _way(start: str, end: str, plus: str, question: Question) -> Direction | None:
    """Which way two ends are, or the one with the plus; None where they may be no nodes at all."""
    names = {name[1:] for name in question.called if len(name) > 2 and "(" not in name}
    pairs = [name for name in names if question.vocabulary.find(name) is None]  # v_R1 tells no ends
    if f"{start}{end}" in pairs or (plus and any(pair.startswith(plus) and pair != plus for pair in pairs)):
        return Direction.ASKED
    if f"{end}{start}" in pairs or (plus and any(pair.endswith(plus) and pair != plus for pair in pairs)):
        return Direction.REVERSED
    return Direction.ANOTHER if plus or len(start) < 3 > len(end) else None


def _ends(between: re.Match[str]) -> tuple[str, str, str]:
    """The ends between which a direction counts, or where its plus is."""
    start, end = between["start"] or between["first"] or "", between["end"] or between["second"] or ""
    return start.lower(), end.lower(), "" if start else (between["plus"] or "?").lower()


@lru_cache(maxsize=1)
def _taken_back() -> re.Pattern[str]:
    """Words that judge the value, and not a thing of their own: ``the wrong sign``."""
    return regex(
        rf"(?<!\bthe )(?-i:(?<!\ba ))(?<!\bmy )(?<!\bnot )(?:{phrase_of('taken back').pattern})|[,;.!?]\s*no(?:pe)?[\s.!]*$",
        re.IGNORECASE,
    )


@lru_cache(maxsize=2)
def _front(*kinds: str) -> re.Pattern[str]:
    """Words in front of the value."""
    return regex(rf"(?:{phrase_of(*kinds).pattern})\s?(?:\b(?:of|the|an?|about|exactly)\b\s?)*[-+(]*$", re.IGNORECASE)


@lru_cache(maxsize=1)
def _behind() -> re.Pattern[str]:
    """Words right behind the value: what ends the line, or compares the value with another one."""
    ends = phrase_of("bound", "multiple").pattern
    return regex(
        rf"(?:[0-9)]\s?[^\W\d_]{{1,9}}|\)|[^\W\d_][0-9])[\s(]+(?:{ends})[\s).!]*$"
        rf"|^[0-9.,]+\s?[^\W\d_]{{1,9}}\s+(?:{phrase_of('bound').pattern})",
        re.IGNORECASE,
    )


@lru_cache(maxsize=1)
def _turned() -> re.Pattern[str]:
    """Words for the other direction that nothing denies."""
    return regex(rf"(?<!\bnot )(?<!\bno )(?:{phrase_of('turned').pattern})", re.IGNORECASE)
