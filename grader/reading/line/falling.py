"""A sign said in words: ``decreasing at 240 A/s`` is -240 A/s, ``2 A out of the capacitor`` -2 A into it."""

import re

from grader.reading.line.phrases import phrase_of
from grader.reading.tokens import Question
from grader.reading.tokens.units import look_up
from grader.reading.tokens.vocabulary import normalized_name
from grader.reading.tree import Name, Negative, Node, Roots, Sum, walk
from grader.reading.value.evaluate import evaluate
from grader.regex import regex
from grader.values.dimension import CHARGE, CURRENT, POWER, RATE, TIME, VOLTAGE, Dimension

FALLING = "The word for falling was read as a minus sign."
TURNED = "The sign or direction said in words was read as a minus sign."
_OUT_OF_A_STORE = regex(r"\b(?:out of|leaving|leaves)\s+(?:the\s+)?(?:cap(?:acitor)?|C_?[0-9]?)\b", re.IGNORECASE)
_NEGATIVE = regex(
    r"[\s,;(]*(?:\b(?:but|and|so|it|its|it's|is|the|value|sign|with|a|an|in|polarity|flowing)\b\s*)*"
    rf"(?<!\bnot )(?<!\bno )(?:\b(?:neg|negative|minus sign|negativ|negativo)\b|{phrase_of('turned').pattern})"
    r"(?:\s+(?:sign|polarity|direction|way|round|around|to|the|arrow|reference|one|asked|drawn))*\s*[)!.]*\s*(?:$|(?=\b(?:as|because|since)\b))"
    r"|\b(?:is|it's|becomes|turns)\s+negative\b",
    re.IGNORECASE,
)
_SIGN_WORD = regex(rf"neg|minus|{phrase_of('turned').pattern}", re.IGNORECASE)
_REVERSED = regex(r"\bpolarity\s+(?:is\s+)?(?:reversed|opposite)|\b(?:reversed|opposite)\s+polarity\b", re.IGNORECASE)

_END = r"(?<!\bin the )(?<!\bat the )\b(?:end|side|terminal|pole|plate|lead|pin|top|bottom)\b"
_SIGN = r"\b(?:negative|positive|minus|plus)\b"
_SIGN_OF_AN_END = regex(rf"{_END}[^,;.0-9]{{0,12}}{_SIGN}\s*(?:$|[,;.)])|{_SIGN}[^,;.0-9]{{0,12}}{_END}", re.IGNORECASE)

_AGAINST = regex(
    r"\b(?:against|opposite\s+(?:to|of)|contrary\s+to)\s+(?:the\s+|its\s+)?(?:given\s+|positive\s+)?(?:arrow|reference|counting)\b",
    re.IGNORECASE,
)


_ROOTS_NEGATIVE = regex(
    r"[\s,;(]*(?:\b(?:both|all|each|but|and|are|is|with|the|in|on|real)\b\s*)*(?:\b(?:negative|neg|minus\s+signs?)\b(?!\s+(?:real|part|imag))"
    r"|\b(?:left|LH)\b[\w\s-]*\bplane\b|\bLHP\b)(?:\s+(?:roots?|poles?|ones?|numbers?|sign))*[\s):.!]*(?=$|[-+]?[0-9])",
    re.IGNORECASE,
)
_NO_BRACKET = regex(r"[^()]")
_ROOTS_POSITIVE = regex(r"\b(?:both|all|and|but)\s+positive\b", re.IGNORECASE)


def roots_without_sign(text: str) -> tuple[str, bool]:
    """``2 and 5, both negative`` without the words for the sign, and whether there are any."""
    said = _ROOTS_NEGATIVE.search(text)
    return (
        (text, False)
        if said is None
        else (text[: said.start()] + _NO_BRACKET.sub(" ", said[0]) + text[said.end() :], True)
    )


def roots_with_sign(tree: Roots, text: str, *, negative_said: bool) -> tuple[Roots, bool]:
    """The roots with the sign that words give all of them, and whether such words contradict the roots themselves."""
    signed = [negative(root) for root in tree.roots]
    if negative_said and all(signed):
        return tree._replace(roots=tuple(root for root in signed if root is not None)), False
    return tree, _ROOTS_POSITIVE.search(text) is not None and not all(signed)


def tells_sign_of_an_end(text: str) -> bool:
    """``62 V, the lower end negative``: what that makes of the value's sign, only the drawing tells."""
    return _SIGN_OF_AN_END.search(text) is not None


def without_sign(text: str) -> str:
    """``519 V but negative`` without the words for the sign, overwritten by blanks."""
    said = _NEGATIVE.search(text) if _SIGN_WORD.search(text) and not tells_sign_of_an_end(text) else None
    return text if said is None or not said.start() else text[: said.start()].ljust(said.end()) + text[said.end() :]


def has_direction(asked: Dimension | None) -> bool:
    """Whether values of a kind are counted in a direction, and slopes."""
    return asked is not None and (asked.second < 0 or asked in {CURRENT, VOLTAGE, POWER, CHARGE})


def sign_in_words(text: str, question: Question) -> str:
    """What is told of a word that is a minus sign to the quantity asked; "" where there is none."""
    asked = question.dimension
    if question.expects != "value" or asked is None:
        return ""
    if without_sign(text) != text and has_direction(asked):
        return TURNED
    if asked in {CURRENT, VOLTAGE}:
        turned = asked == VOLTAGE or not question.called or any(name.startswith("ic") for name in question.called)
        said = (_OUT_OF_A_STORE if asked == CURRENT else _REVERSED).search(text)
        return TURNED if (turned and said is not None) or _AGAINST.search(text) else ""
    falls = (
        asked.second < 0
        and asked != RATE
        and any(_is_of_a_slope(text[one.end() :], asked) for one in phrase_of("falling").finditer(text))
    )
    return FALLING if falls else ""


_DROP = regex(r"\s*(?:by\s+)?[0-9][0-9.,]*\s?(?P<unit>[^\W\d_]+)")


def _is_of_a_slope(behind: str, asked: Dimension) -> bool:
    """Whether what falls is what is asked: ``drops 5 V`` says nothing of a slope in A/s."""
    drop = _DROP.match(behind)
    meanings = look_up(drop["unit"])[:1] if drop is not None else ()
    return all(one.dimension in {None, TIME, asked, asked.times(TIME)} for one in meanings)


def is_counted_backwards(label: str, question: Question) -> bool:
    """``v_yx = 5 V``, v_xy being asked: the ends between which a voltage counts are exchanged."""
    name = normalized_name(label)
    return (
        len(name) == 3 and name[0] in "vu" and name not in question.called and name[0] + name[:0:-1] in question.called
    )


def negative(tree: Node) -> Node | None:
    """The value with a minus sign; None where it has one already, or is not known; of letters products and quotients are."""
    if not any(isinstance(node, (Negative, Sum)) for node in walk(tree)) and any(
        isinstance(node, Name) for node in walk(tree)
    ):
        return Negative(tree, tree.place)
    try:
        size = evaluate(tree).waveform.value()
    except (ValueError, ZeroDivisionError):
        return None
    return Negative(tree, tree.place) if size > 0 else None
