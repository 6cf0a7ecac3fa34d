"""The damping types, and the comparisons of α with ω0, or of ζ with 1, that tell them."""

import re
from functools import lru_cache

from grader.reading.line.phrases import phrase_of
from grader.reading.options import in_one_alphabet, squeezed
from grader.regex import regex

DAMPING = ("overdamped", "critically damped", "underdamped", "undamped")
"""The damping types, in the trade's words; the options where a question states none."""
_DAMPED = r"(?:alpha|a|zeta|d)\b"
_NATURAL = r"(?:omega_?[0on]|w_?[0on]|1(?![.,]?[0-9]))"


def are_damping(options: tuple[str, ...]) -> bool:
    """Whether options are damping types."""
    return {squeezed(option) for option in options} <= {squeezed(word) for word in DAMPING}


def with_types_named(text: str) -> str:
    """A text with the damping type in place of a comparison that tells it: ``α < ω0``, ``omega0 is larger than alpha``."""
    return _comparison().sub(_type_told, in_one_alphabet(text))


@lru_cache(maxsize=1)
def _comparison() -> re.Pattern[str]:
    signs = {"more": r">|≫", "less": r"<|≪", "same": "="}
    said = {"more": "growing", "less": "shrinking", "same": "unchanged"}
    ways = "|".join(rf"(?P<{way}>{signs[way]}|{phrase_of(said[way]).pattern})" for way in signs)
    value = r"(?:\s*=\s*[0-9.,]+)?\s*(?:is\s+|ist\s+|est\s+|es\s+|è\s+|é\s+)?"
    than = rf"\s*(?:{phrase_of('than').pattern}|to\b)?\s*"
    return regex(
        rf"(?<!\w)(?:(?P<first>{_DAMPED})|{_NATURAL}){value}(?:{ways}){than}(?(first){_NATURAL}|{_DAMPED})",
        re.IGNORECASE,
    )


def _type_told(match: re.Match[str]) -> str:
    if match["same"]:
        return DAMPING[1]
    return DAMPING[0 if (match["first"] is None) is bool(match["less"]) else 2]
