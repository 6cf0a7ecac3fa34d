"""Words that belong to no part: ``2.4 mA in L1``, ``4 V, does not jump``, ``the coil sees: 32 ohm``."""

import re
from collections.abc import Callable
from typing import NamedTuple

from grader.reading.line.chain import NEAR
from grader.reading.line.fit import OF_THE_KIND_ASKED, fit
from grader.reading.line.phrases import phrase_of
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import GREEK_NAMES, NUMBER_WORDS, VALUE_WORDS
from grader.reading.tree import Name, Node, Number, walk
from grader.regex import regex
from grader.values.dimension import POWER

_CLAUSE_END = regex(r"[;\n]|,(?![0-9])|\.(?=\s)|$")
_LINK = regex(
    r"[\s,;:(-]*(?:\b(?:for|when|if|where|with|and|or|while|at|then|is|the|(?-i:an?))\b[\s,;]*)*$", re.IGNORECASE
)
_NAMING = regex(r"[=:≈]|\b(?:is|are|equals?|ist|est|es|es igual a|é|jest)\b", re.IGNORECASE)
_AT_AN_INSTANT = regex(r"(?<!\w)t\s*=\s*(?:0[-+]?|[0-9.,]+\s?[mμ]?s)\s*:")
"""``energy stored in the coil at t = 0: 4.8 J``"""
_SUBJECT = regex(r"[^\W\d_]\w*")
"""A name and nothing else, of which words and a number say something: ``C charges up to 36 V``."""
_MATHEMATICS = regex(
    r"(?<![\w.])(?:(?:(?:minus|plus|neg|negative)\s|[-+(\[√±])?\s*[0-9.,√(\[]|[-+±]|e\s?\^|(?:exp|cos|sin|ln|sqrt)\s?\(|[RLCVIU][a-z0-9]{0,2}\s?[*/])|$"
)


class Remark(NamedTuple):
    """A line without a remark."""

    text: str
    """The line, the remark overwritten by blanks."""
    said: str
    apart: bool
    """Whether brackets, a comma or its place in front set it apart; else it may belong to what it follows."""


def without_remark(text: str, place: int, holds_value: Callable[[str], bool]) -> Remark | None:
    """The line without the remark that holds the word at ``place``; None where it is none, or no value would be left."""
    if _CALLED.match(text, place) or text[:place].rstrip().endswith("*"):
        return None
    if _SYMBOL.match(text, place) and _IN_A_SUM.search(text, 0, place):
        return None
    found = _without_remark(text, place, holds_value)
    return found if found is not None and holds_value(found.text) else None


_CALCULATES = regex(r"[0-9][^,;]*[-+*/^]|(?:^|\S)(?:\s?[+*/^]|-|\s-\s)[^,;]*[0-9]")


_CALLED = regex(r"[^\W\d_]+(?:\(|\w*\s?[\^*])")
"""A function that nobody knows, the power of a name, or a factor, is no remark."""
_SYMBOL = regex(rf"(?:{'|'.join(GREEK_NAMES)}|[^\W\d_])(?:_\w+|[0-9])?(?!\w)")
_IN_A_SUM = regex(r"[-+]\s*[0-9][0-9.,]*\s?$")
"""``60 ms + 1.134 tau_2``: what stands behind a number of a sum is a factor."""


def _without_remark(text: str, place: int, holds_value: Callable[[str], bool]) -> Remark | None:
    opening = _opening_bracket(text, place)
    if opening is not None:
        closing = text.find(")" if text[opening] == "(" else "]", place)
        end = closing + 1 if closing > 0 else len(text)
        if _CALCULATES.search(text, opening, end) and not re.search(r"[^\W\d_]\s*$", text[:opening]):
            return None  # mathematics that holds a word nobody knows
        return _without(text, opening, end, apart=True)
    ending = _CLAUSE_END.search(text, place)
    end = ending.start() if ending is not None else len(text)
    begin = max((match.end() for match in re.finditer(r"[;\n]|,(?![0-9])|\.(?=\s)", text[:place])), default=0)
    link = _LINK.search(text, begin, place)
    start = link.start() if link is not None else place
    before = text[begin:start].strip()
    subject = _SUBJECT.fullmatch(before) is not None and re.search(r"(?<!\w)[0-9]", text[place:end]) is not None
    if subject or not holds_value(before):
        named = _AT_AN_INSTANT.search(text, place, end) or _NAMING.search(text, place, end)
        if named is not None and holds_value(text[named.end() : end]):
            return _without(text, begin, named.end(), apart=True)
        if begin and holds_value(text[:begin]):
            return _without(text, begin, end, apart=True)
        value = _MATHEMATICS.search(text, place, end)
        stop = value.start() if value is not None else end
        return _without(text, begin, stop, apart=True)
    return _without(text, start, end, apart="," in text[start:place] or ";" in text[start:place])


def _without(text: str, start: int, end: int, *, apart: bool) -> Remark:
    left = text[:start] + " " * (end - start) + text[end:]
    return Remark(left, " ".join(text[start:end].split()).strip(" ,;:()[]=-"), apart)


def _opening_bracket(text: str, place: int) -> int | None:
    """The bracket that is open at a place."""
    depth = 0
    for index in range(place - 1, -1, -1):
        if text[index] in ")]":
            depth += 1
        elif text[index] in "([":
            if depth == 0:
                return index
            depth -= 1
    return None


_WORD = regex(r"[^\W\d_]\w*")
_DIGIT = regex(r"∞|(?<![^\W\d_])[0-9]|(?<![^\W_])[ij][0-9]")
"""A number, and not that of a switch: ``with S1 closed``."""


def holds_value(text: str, question: Question) -> bool:
    """Whether anything is left that a value can be made of."""
    words = _WORD.findall(text)
    return _DIGIT.search(text) is not None or any(
        word.lower() in VALUE_WORDS or question.vocabulary.find(word) is not None for word in words
    )


def matters(remark: str, question: Question, tree: Node) -> bool:
    """Whether a remark beside what was read holds what may be meant: a direction; beside what is not of the kind asked a number or a name.

    Beside an expression a number that is none of its own, nor the sum or difference of two, as its ends are.  What else there is of the kind asked is looked at by itself (`grader.reading.elsewhere`).
    """
    if phrase_of("direction").search(remark) or (question.dimension == POWER and _DELIVERED.search(remark)):
        return True
    if _JOINED.search(remark) and any(isinstance(node, Name) for node in walk(tree)):
        return True
    as_asked = fit(tree, question) == OF_THE_KIND_ASKED
    if question.expects == "value" and as_asked:
        return False
    words = _WORD.findall(remark)
    said = {float(one.replace(",", ".")) for one in _NUMBER.findall(remark)}
    said |= {float(number) for word in words if (number := NUMBER_WORDS.get(word.lower(), 1)) > 1}
    if as_asked:
        return _holds_another(said, tree)
    return bool(said) or any(question.vocabulary.find(word) is not None for word in words)


def _holds_another(said: set[float], tree: Node) -> bool:
    """Whether one of some numbers is neither in an expression nor the sum or difference of two that are."""
    own = {0.0, *(float(node.value) for node in walk(tree) if isinstance(node, Number))}
    ends = {abs(one + sign * other) for one in own for other in own for sign in (1, -1)}
    return any(min(abs(one - end) for end in ends) > NEAR * one for one in said)


_JOINED = regex(r"\b(?:in\s+)?(?:series|parallel|Reihe|Serie|série|serie)\b", re.IGNORECASE)
"""How what is named beside a value belongs together."""
_DELIVERED = regex(r"\b(?:deliver|suppl(?:y|ies)|releas|giv(?:es|ing)\s+(?:off|back|away))", re.IGNORECASE)
"""Which way a power is counted."""
_NUMBER = regex(r"[0-9]+(?:[.,][0-9]+)?")
