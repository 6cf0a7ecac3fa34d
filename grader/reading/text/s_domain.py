"""Where s is the variable of a transform the second in the unit of the whole is none; where there are impulses, δ(t) is one."""

import re
from collections.abc import Container

from grader.regex import regex
from grader.values.laplace import IMPULSE, VARIABLE

_UNIT_TIMES_SECOND = regex(r"(?<![A-Za-z])([munpkMGµ]?[VA])(\s*[·⋅*.-]\s*|\s+|)s\s*([\])]?)\s*$")
_OTHER_LETTER = regex(r"(?<![A-Za-z_])[Sp](?![A-Za-z_])")

_LATER_IMPULSE = regex(r"(?:δ|delta|dirac)\s*\(\s*t\s*[-−–]\s*([^()]+)\)", re.IGNORECASE)
_OPEN_DELAY = regex(r"(e\s*\^\s*)([-−–]\s*[\d.,]*\s*[*·]?\s*s)(?=\s*/\s*(?:s(?![A-Za-z_])|\())")
_UNIT_IMPULSE = regex(r"(?:δ|delta|dirac)\s*\(\s*t\s*\)|(?<![A-Za-z])(?:delta|dirac)(?![A-Za-z])", re.IGNORECASE)
_IMPULSE_IN_WORDS = regex(
    r"\b(?:(?:an?|the|unit|dirac)\s+)*impulse(?:\s+of\s+(?:(?:strength|weight|area|size)\s+)?(?P<area>[0-9.]+))?(?:\s+(?:at\s+(?:t\s*=\s*)?0))?"
    r"\s*,?\s*(?:\b(?:and|then|followed by)\b\s*)*(?P<sign>[-−–+]|minus\b|plus\b)",
    re.IGNORECASE,
)


def with_impulse(text: str) -> str:
    """The unit impulse written as the letter that stands for it, in brackets, behind which a unit may stand.

    A later one is it from its instant on: where its factor changes, the impulse stands.

    Examples
    --------
    >>> with_impulse("2 δ(t) - 6e^(-3t)")
    '2 (delta) - 6e^(-3t)'
    >>> with_impulse("2 δ(t - 3 ms)")
    '2 (delta) u(t - 3 ms)'
    """
    text = _IMPULSE_IN_WORDS.sub(_spoken, text)
    return _UNIT_IMPULSE.sub(f"({IMPULSE})", _LATER_IMPULSE.sub(rf"{IMPULSE} u(t - \1)", text))


def _spoken(match: re.Match[str]) -> str:
    """``an impulse of 2 minus`` in signs."""
    return f"{match['area'] or '1'} δ(t) {'+' if match['sign'] in {'+', 'plus'} else '-'} "


def with_variable(text: str, names: Container[str]) -> str:
    """The variable written ``s``: a capital S, or a p where there is no s (as German books have it).

    The exponent of a delay without brackets ends before a slash with s below: only so is it one.

    Examples
    --------
    >>> with_variable("5e^-2s/(s+1)", ())
    '5e^(-2s)/(s+1)'
    >>> with_variable("4S/(S+2)", ()), with_variable("12/(p+5)", ())
    ('4s/(s+2)', '12/(s+5)')
    """
    letters = set(_OTHER_LETTER.findall(text)) - {name for name in "Sp" if name in names}
    if re.search(r"(?<![A-Za-z_])s(?![A-Za-z_])", text) or len(letters) != 1:
        return _closed(text)
    return _closed(_OTHER_LETTER.sub(VARIABLE, text))


def _closed(text: str) -> str:
    return _OPEN_DELAY.sub(r"\1(\2)", text)


def without_second(text: str, names: Container[str]) -> str:
    """``12/(s+5) V·s`` without its second; ``Vs`` stays where it is a name.

    Examples
    --------
    >>> without_second("12/(s + 5) mV s", ())
    '12/(s + 5) mV'
    """
    found = _UNIT_TIMES_SECOND.search(text)
    if found is None or (f"{found[1]}s" in names and not found[2]):
        return text
    return text[: found.end(1)] + found[3]


_TOP = regex(r"\b(?:numerator|top|above|Zähler)\b", re.IGNORECASE)
_BOTTOM = regex(r"\b(?:denominator|bottom|below|Nenner)\b", re.IGNORECASE)
_AROUND = regex(r"^(?:[\s:=]|\b(?:is|are|in|on|the|we|have)\b)+|(?:\s|\b(?:is|are|in|on|the|as|at)\b)+$")


def with_quotient(text: str) -> str:
    """``numerator 6, denominator s + 2`` as ``(6)/(s + 2)``."""
    sides = re.split(r"[,;]|\band\b", text) if _BOTTOM.search(text) else []
    found = [(side, word) for pattern in (_TOP, _BOTTOM) for side in sides if (word := pattern.search(side))]
    if len(sides) != 2 or len({side for side, _ in found}) != 2 or len(found) != 2:
        return text
    said = [
        side[word.end() :] if re.search("[0-9s]", side[word.end() :]) else side[: word.start()] for side, word in found
    ]
    return "({})/({})".format(*(_AROUND.sub("", one) for one in said)).ljust(len(text))
