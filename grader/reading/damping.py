"""The damping type that an answer names, in any words for it or by a comparison."""

import re
from functools import lru_cache
from unicodedata import combining, normalize

from grader.reading.line.phrases import opened
from grader.reading.options import squeezed
from grader.regex import regex

DAMPING = ("overdamped", "critically damped", "underdamped", "undamped")
"""The damping types, in the trade's words; the options where a question states none."""
_EITHER = regex(r"\b(?:or|oder)\b", re.IGNORECASE)


def are_damping(options: tuple[str, ...]) -> bool:
    """Whether options are damping types."""
    return {squeezed(option) for option in options} <= {squeezed(word) for word in DAMPING}


def damping_named(text: str, options: tuple[str, ...]) -> list[str]:
    """The damping types that an answer names by a phrase, else by a comparison."""
    return _named_damping(text, options) or _compared(text)


def damping_begun(text: str, options: tuple[str, ...]) -> list[str]:
    """The damping types that an answer names by how their word begins."""
    return [option for option in options if re.search(_STEMS.get(squeezed(option)[:4], "$^"), _spaced(text))]


_LESS = regex(
    r"(?<!\w)(?:alpha|a|zeta|d)\s*(?:=\s*[0-9.,]+\s*)?(?P<sign>[<>=])\s*(?:omega_?[0on]|w_?[0on]|1(?![0-9.]))",
    re.IGNORECASE,
)
_MORE = regex(r"(?<!\w)(?:omega_?[0on]|w_?[0on]|1)\s*(?P<sign>[<>=])\s*(?:alpha|a|zeta|d)(?!\w)", re.IGNORECASE)


def _compared(text: str) -> list[str]:
    """The damping type that a comparison of α with ω0, or of ζ with 1, tells."""
    less = _LESS.search(text)
    found = less or _MORE.search(text)
    if found is None:
        return []
    sign = found["sign"] if less else {"<": ">", ">": "<", "=": "="}[found["sign"]]
    return [{">": DAMPING[0], "=": DAMPING[1], "<": DAMPING[2]}[sign]]


def _named_damping(text: str, options: tuple[str, ...]) -> list[str]:
    """The damping types that occur in the answer, by the phrases for them, in the order in which they are named."""
    said, by_word = f" {_spaced(text)} ", {squeezed(option): option for option in options}
    places: dict[str, int] = {}
    for words, kind in _damping_phrases():
        place = said.find(words)
        if place >= 0:
            places[kind] = min(place, places.get(kind, place))
    if len(places) > 1 and not _EITHER.search(text):  # "critically damped, not oscillatory"
        places = {kind: place for kind, place in places.items() if f" {kind} " in said} or places
    return [by_word[squeezed(kind)] for kind in sorted(places, key=places.__getitem__) if squeezed(kind) in by_word]


@lru_cache(maxsize=1)
def _damping_phrases() -> tuple[tuple[str, str], ...]:
    """Every phrase for a damping type as it is looked for, words whole where a script has blanks; long ones in any gender."""
    return tuple(
        (_spaced(phrase) if phrase[0] >= "\u2e80" else f" {_ANY_GENDER.sub('', _spaced(phrase) + ' ')}", kind)
        for phrase, kind in opened(*DAMPING).items()
    )


_STEMS = {"crit": r"\b[ck]rit", "over": r"\bover", "unde": r"\bunder"}
"""How the words begin, whatever becomes of their ends."""
_ANY_GENDER = regex(r"(?<=\w{8})[oaei] $")


def _spaced(text: str) -> str:
    """Words in lower case without accents, single blanks between them."""
    plain = "".join(sign for sign in normalize("NFKD", text.lower()) if not combining(sign))
    return re.sub(r"[\W_]+", " ", plain).strip()
