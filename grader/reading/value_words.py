"""Values in words: an open or a short circuit, no finite value, zero, as before."""

import re
from functools import lru_cache

from flint import fmpq

from grader.reading.line.phrases import phrase_of, says
from grader.reading.tree import Infinity, Name, Node, Number
from grader.regex import regex
from grader.values.dimension import CONDUCTANCE, CURRENT, RESISTANCE, TIME, VOLTAGE, Dimension

_SHORT = regex(r"(?:a\s+)?(?:short(?:[- ]?circuit(?:ed)?)?|shorted)\s*\.?", re.IGNORECASE)
_OPEN = regex(r"(?:an\s+)?(?:open(?:[- ]?circuit(?:ed)?)?)\s*\.?", re.IGNORECASE)
_UNBOUNDED = regex(
    r"(?:[+]?\s*(?:∞|inf(?:inity|inite)?|oo|infty|unendlich|unbounded|does not settle|no limit|diverges|grows without bound))",
    re.IGNORECASE,
)


_NEVER = regex(r"[^1-9]*\b(?:never|nie|nunca|jamais|mai)\b[^1-9]*", re.IGNORECASE)
SAME = "the answer before"
"""Name of what the student answered to the nearest earlier item of the same kind."""


@lru_cache(maxsize=1)
def _zero() -> re.Pattern[str]:
    """``no current flows any more``: a phrase for 0, with words and nothing else around it."""
    return regex(rf"(?:(?:{phrase_of('lead').pattern})\b\s*)*(?:{phrase_of('zero').pattern})[^0-9=]*$", re.IGNORECASE)


def value_in_words(text: str, dimension: Dimension | None) -> Node | None:
    """A value given in words: a short or an open circuit, infinity; None for anything else.

    A short circuit is 0 Ω or 0 V, an open one 0 A or no finite resistance; ``no current`` is 0, ``as before`` an earlier
    answer.
    """
    text = text.strip()
    if _zero().match(text) is not None:
        return Number(fmpq(0), "0", 0)
    if says(re.split("[,;.(]", text, maxsplit=1)[0], "same") and not re.search("[0-9]", text):
        return Name(SAME, dimension, 0)
    if _UNBOUNDED.fullmatch(text) or (dimension == TIME and _NEVER.fullmatch(text)):
        return Infinity(0)
    if _SHORT.fullmatch(text):
        if dimension in {RESISTANCE, VOLTAGE}:
            return Number(fmpq(0), "0", 0)
        return Infinity(0) if dimension == CONDUCTANCE else None
    if _OPEN.fullmatch(text):
        if dimension in {CURRENT, CONDUCTANCE}:
            return Number(fmpq(0), "0", 0)
        return Infinity(0) if dimension == RESISTANCE else None
    return None
