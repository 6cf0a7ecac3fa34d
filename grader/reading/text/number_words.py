"""Numbers in words to digits: ``two point five volts``, ``three quarters of 24 V``, ``one hundred and twenty``.

Words are numbers only where a unit, a sign, *of* or the end follows: ``two resistors`` counts things, and is no value.
"""

import re
from functools import cache

from grader.reading.tokens.units import look_up, nearest
from grader.reading.tokens.vocabulary import NUMBER_WORDS, WORDS
from grader.regex import regex

_LARGE, _PARTS, _SIZES, _TIMES, _CHANGES = (WORDS[kind] for kind in ("large", "parts", "sizes", "times", "changes"))
_WORD = "|".join(
    sorted((*NUMBER_WORDS, *_LARGE, *(f"{one}s?" for one in _PARTS), "point", "komma"), key=len, reverse=True)
)
_A = rf"a(?=\s+(?:{'|'.join((*_LARGE, *_PARTS))})\b)"
_FOLLOWED = regex(
    r"\s*(?:$|[-+±*/=≈,;.)\n]|of\b(?!\s+an?\b)|(?:and|or)\s+(?:minus|plus|[-+0-9])|1\s?/|(?:per|times|plus|minus)\b|e\s?\^|(?:kilo|mega|milli|micro|nano)[-\s]|(?P<word>[^\W\d_]+))"
)
_AND_A_PART = regex(rf"(?<![\w.,])([0-9]+)\s+and\s+(an?|one|two|three)\s+({'|'.join(_PARTS)})s?\b", re.IGNORECASE)
_OF_A_SIZE = regex(
    r"(?<=[0-9])\s+(thousand(?:th)?|million(?:th)?|hundredth)s?\b(?=\s*(?:of\b|[^\W\d_]{3,}|[AVWJsΩ]\b|$))",
    re.IGNORECASE,
)
_TIMES_IN_FRONT = regex(rf"(?<!\band a )\b({'|'.join(_TIMES)})\s+(?:of\s+)?(?:the\s+)?(?=\(?[0-9])", re.IGNORECASE)
_CHANGED = regex(rf"(?P<value>[0-9)]\s?[^\W\d_]{{1,9}}|\)),?\s+({'|'.join(_CHANGES)})(?=[\s).!]*$)", re.IGNORECASE)
_LONG_WORD = regex(r"[^\W\d_]{3,}")
_KNOWN = frozenset(
    {*NUMBER_WORDS, *_LARGE, *_PARTS, *(f"{one}s" for one in (*_PARTS, *_SIZES)), *_SIZES, *_TIMES, *_CHANGES}
)


@cache
def _words() -> re.Pattern[str]:
    """Words that make a number; few lines have one, and of all patterns this one takes longest to make."""
    return regex(rf"(?<![\w.'])(?:{_A}|{_WORD})(?:(?:\s+and)?[\s-]+(?:{_A}|{_WORD}))*(?![\w'(])", re.IGNORECASE)


def with_digits(text: str) -> str:
    """The text with its numbers in words written in digits, as long as before.

    Examples
    --------
    >>> with_digits("three quarters of V0").split()
    ['(3/4)', 'of', 'V0']
    >>> with_digits("the two resistors")
    'the two resistors'
    """
    if _KNOWN.isdisjoint(_LONG_WORD.findall(text.lower())):
        return text
    text = _TIMES_IN_FRONT.sub(lambda match: _TIMES[match[1].lower()].ljust(len(match[0])), text)
    text = _CHANGED.sub(lambda match: (match["value"] + _CHANGES[match[2].lower()]).ljust(len(match[0])), text)
    text = _OF_A_SIZE.sub(lambda match: _SIZES[match[1].lower()].ljust(len(match[0])), text)
    text = _AND_A_PART.sub(_with_a_part, text)
    return _words().sub(lambda match: _digits(text, match), text)


def _with_a_part(match: re.Match[str]) -> str:
    """``8 and a third`` as ``(8+1/3)``."""
    return f"({match[1]}+{NUMBER_WORDS.get(match[2].lower(), 1)}/{_PARTS[match[3].lower()]})".ljust(len(match[0]))


def _digits(text: str, match: re.Match[str]) -> str:
    """The digits for some words, or the words where no number is meant."""
    following = _FOLLOWED.match(text, match.end())
    word = following["word"] if following is not None else None
    counts = following is None or (word and not look_up(word) and nearest(word) is None)
    words = re.findall(r"[^\W\d_]+", match[0].lower())
    number = "" if counts or words == ["oh"] else _number(["one" if word == "a" else word for word in words])
    return number.rjust(len(match[0])) if 0 < len(number) <= len(match[0]) else match[0]


def _number(words: list[str]) -> str:
    """A decimal number, a fraction or a whole number; "" for anything else."""
    for point in {"point", "komma"} & {*words}:
        whole, places = words[: words.index(point)], words[words.index(point) + 1 :]
        digits = [str(NUMBER_WORDS[word]) for word in places if word in NUMBER_WORDS and NUMBER_WORDS[word] < 10]
        return f"{_whole(whole) or 0}.{''.join(digits)}" if len(digits) == len(places) > 0 else ""
    part = _PARTS.get(words[-1]) or _PARTS.get(words[-1].removesuffix("s"))
    if part is None:
        whole_number = _whole(words)
        return "" if whole_number is None else str(whole_number)
    if words == ["half"]:
        return "0.5"
    before, more = words[:-1], 0
    if "and" in before:  # twelve and a half
        apart = len(before) - 1 - before[::-1].index("and")
        before, more = before[apart + 1 :], _whole(before[:apart]) or 0
    if before and _whole(before) is None:  # six and two thirds
        before, more = before[-1:], _whole(before[:-1]) or 0
    top = _whole(before) if before else 1
    if top is None:
        return ""
    return f"({more}+{top}/{part})" if more else f"({top}/{part})"


def _whole(words: list[str]) -> int | None:
    """``two hundred forty``; None where the words make no number."""
    total = group = 0
    last = 1000
    for word in (one for one in words if one != "and"):
        if word in _LARGE:
            group = max(group, 1) * _LARGE[word]
            if word == "thousand":
                total, group = total + group, 0
            last = _LARGE[word]
        elif word in NUMBER_WORDS and ((NUMBER_WORDS[word] < 10 and last >= 20) or (NUMBER_WORDS[word] < 100 <= last)):
            group, last = group + NUMBER_WORDS[word], NUMBER_WORDS[word]
        else:
            return None
    return total + group if words else None
