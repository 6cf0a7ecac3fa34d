"""The words an answer may hold: functions, separating words, and the names of this question."""

import re
import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

from grader.regex import regex
from grader.values.dimension import Dimension

WORDS: dict[str, Any] = tomllib.loads(Path(__file__).with_name("words.toml").read_text(encoding="utf-8"))
FUNCTIONS, OPERATOR_WORDS = (
    {word: meaning for meaning, words in WORDS[kind].items() for word in words}
    for kind in ("functions", "operator_words")
)
SEPARATING_WORDS = frozenset(WORDS["separating_words"])
SKIPPED_WORDS = frozenset(WORDS["skipped_words"])
LITTLE_WORDS = frozenset(WORDS["little_words"])
DOUBLING_WORDS = frozenset(WORDS["doubling_words"])
ZERO_WORDS = frozenset(WORDS["zero_words"])
GREEK_NAMES = frozenset(WORDS["greek_names"])
INFINITY_WORDS = frozenset(WORDS["infinity_words"])

NUMBER_WORDS = {word: number for number, words in enumerate(WORDS["until_nineteen"]) for word in words}
NUMBER_WORDS |= {word: 10 * number for number, word in enumerate(WORDS["tens"], start=2)}
"""Numbers in words; what is left of them beside a number or a thing counts that: ``two resistors``."""


VALUE_WORDS = ZERO_WORDS | INFINITY_WORDS | {"pi"}
"""Words that are a value by themselves."""

INSTANT = r"\(\s*(?:[0-9.,]+\s?[mμun]?s|(?:t_?[0-9]|[0-9.,]+\s?(?:[mμun]?s)?)\s*(?:\^\s*)?(?:[({][-+][)}]|[-+])|t\s*(?:->|→)\s*(?:∞|inf\w*|oo|unendl\w*)|0\s*(?:\^\s*)?(?:[({]\s*[-+]?\s*[)}]|[-+])?|t|\+?\s?∞|\+?\s?inf\w*|oo|unendl\w*|initial\w*|final\w*|start|end)\s*\)"
"""What stands in the brackets of ``i(0+)``, ``v(∞)``, ``i(initial)``: part of the name, not a factor."""

ALIASES = {
    "t": "tau", "tc": "tau", "timeconstant": "tau", "w": "omega", "wd": "omegad", "w0": "omega0",
    "a": "alpha",
}  # fmt: skip
"""Letters written for want of Greek ones, by `normalized_name` name; capital T for the time constant was seen in a thread."""

UNIT_LETTERS = frozenset("AVWSFHCJsm")
"""Letters that are units first: only a name spelled just like that is meant by one, not a and α by A."""

_DROPPED = regex(r"[_{}\s\\^]")
_INFINITE = regex(r"\((?:t(?:->|→))?(?:∞|inf\w*|oo|unendl\w*|final\w*)\)")
_NOUGHT = regex(r"\((?:0\(?\+?\)?|initial\w*|start)\)")


def normalized_name(name: str) -> str:
    """A name without what handwriting cannot tell: letter case, underscores, brackets, spaces.

    Examples
    --------
    >>> normalized_name("R_{th}") == normalized_name("Rth") == normalized_name("RTH")
    True
    >>> normalized_name("i_L(∞)") == normalized_name("iL(inf)")
    True
    """
    name = _DROPPED.sub("", name).lower()
    if "(" in name:
        name = _NOUGHT.sub("(0)", _INFINITE.sub("(inf)", name))
    return name


_LIKE_A_WORD = regex(rf"(?!(?:(?!if|in|is|it)[ivqrwp][a-z]|delta|{'|'.join(GREEK_NAMES)})$)[a-z]{{2,}}")
"""Names that prose may hold (``end``, ``seen``, ``vinf``), and no symbols: ``ic``, ``tau``."""

_EULER = regex(r"e(?![a-z])|E(?=\s*(?:\^|\*\*|-))")


class Vocabulary:
    """The names that an answer may use, ready for the scanner.

    Attributes
    ----------
    dimensions : dict
        Dimension of each name, None where it is not known.
    names_only : re.Pattern
        Matches names written together: ``RC``.
    words : dict
        Names that prose may hold, as `normalized_name` has them, with their dimensions; none of the others.
    """

    __slots__ = ("_folded", "_known", "dimensions", "names_only", "words")

    def __init__(self, names: tuple[tuple[str, Dimension | None], ...]) -> None:
        self.words = {name: own for name, own in names if _LIKE_A_WORD.fullmatch(name)}
        names = tuple(one for one in names if one[0] not in self.words)
        self.dimensions = dict(names)
        self._folded: dict[str, str] = {}
        for name, _ in names:
            self._folded.setdefault(normalized_name(name), name)  # i(0+) before i(0): the same one
        spelled = {name for name, _ in names} | {normalized_name(name) for name, _ in names if len(name) > 1}
        spelled -= {"t", "e"}
        self._known = (
            spelled
            | FUNCTIONS.keys()
            | GREEK_NAMES
            | {f"{name[0]}_{name[1:]}" for name in spelled if name[1:].isdigit()}
            | {"TAU", "Tau", "EXP", "COS", "SIN", "SQRT", "Exp", "Cos", "Sin", "LN", "pi", "t"}
        )
        longest_first = sorted(spelled, key=lambda name: (-len(name), name))
        self.names_only = regex(f"(?:{'|'.join(map(re.escape, longest_first))})+" if spelled else "(?!)")

    def beginning(self, text: str, place: int, end: int) -> str | None:
        """The longest known word at a place: a name, a function, ``t``, ``e``, ``pi``."""
        words = (text[place:until] for until in range(end, place, -1))
        return next((word for word in words if word in self._known), None) or (
            text[place] if _EULER.match(text, place) else None
        )

    def find(self, word: str) -> str | None:
        """The name meant by a word, if it is one."""
        if word in self.dimensions:
            return word
        if not self._folded or word in {"t", "e"} or word in UNIT_LETTERS:
            return None
        key = normalized_name(word)
        nought = f"{key[:-1]}0" if key.endswith("o") and key not in {"to", "so", "no", "do"} else key  # vo for v0
        return self._folded.get(key) or self._folded.get(nought) or self._folded.get(ALIASES.get(nought, ""))


@lru_cache(maxsize=512)
def vocabulary(names: tuple[tuple[str, Dimension | None], ...]) -> Vocabulary:
    """The vocabulary of these names with their dimensions, built once."""
    return Vocabulary(names)
