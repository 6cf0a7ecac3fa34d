"""Words for times and over have no precedence: ``1 - e^(-20t) times 24 volts`` may mean all that stands beside them."""

import re

from grader.reading.tokens.units import look_up
from grader.regex import regex

WIDE = "The word '{}' was read for all that stands on either side of it."
_SPOKEN = regex(r"(?<![^\W\d_])(?P<word>times|over|mal|durch)(?![^\W\d_])", re.IGNORECASE)
_ADDED = regex(r"[\w)\]]\s*(?<![\^eE])[-+]\s*[\w(.]|\b(?:plus|minus)\b")
_INNER = regex(r"\([^()]*\)")
_UNIT = regex(r"\s(?P<unit>[^\W\d_]{1,12})\s*$")


def in_brackets(text: str) -> tuple[str, str] | None:
    """A text with brackets around both sides of its one such word, and the word; None where that changes nothing.

    Examples
    --------
    >>> in_brackets("v = 1 - e^(-20t) times 24 volts")
    ('v =(1 - e^(-20t)) times (24) volts', 'times')
    >>> in_brackets("24 V times (1 - e^(-20t))")
    """
    found = list(_SPOKEN.finditer(text))
    if len(found) != 1:
        return None
    begin = max((text.rfind(sign, 0, found[0].start()) for sign in "=:≈"), default=-1) + 1
    left, right = text[begin : found[0].start()], text[found[0].end() :]
    unit = _UNIT.search(right)
    end = unit.start() if unit is not None and look_up(unit["unit"]) else len(right)
    if not (_is_sum(left) or _is_sum(right[:end])):
        return None
    word = found[0]["word"]
    return f"{text[:begin]}({left.strip()}) {word} ({right[:end].strip()}){right[end:]}", word


def _is_sum(text: str) -> bool:
    """Whether a sign stands between terms, outside all brackets and exponents."""
    while (bare := _INNER.sub("0", text)) != text:
        text = bare
    return _ADDED.search(text) is not None
