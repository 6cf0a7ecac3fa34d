"""The words an answer may hold: functions, separating words, and the names of this question."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from grader.values.dimension import Dimension

FUNCTIONS = {
    "exp": "exp", "cos": "cos", "sin": "sin", "tan": "tan", "cosh": "cosh", "sinh": "sinh", "ch": "cosh", "sh": "sinh",
    "sqrt": "sqrt", "root": "sqrt", "ln": "ln", "log": "log", "abs": "abs", "frac": "frac", "kos": "cos", "sen": "sin",
}  # fmt: skip
"""How functions are written, and what each is called in the tree."""

SEPARATING_WORDS = {"for", "when", "if", "where", "with", "and", "or", "while", "at", "then", "bzw", "und", "oder", "für"}
"""Words between the parts of an answer."""

SKIPPED_WORDS = {
    "approx", "approximately", "about", "circa", "ca", "roughly", "around", "is", "the", "ans", "answer", "exactly", "etwa",
}  # fmt: skip
"""Words that change nothing."""

_CLASSICS = ("tau", "alpha", "beta", "omega", "zeta", "lambda", "sigma", "theta", "phi")


def folded(name: str) -> str:
    """A name without what handwriting cannot tell: letter case, underscores, brackets and spaces.

    Examples
    --------
    >>> folded("R_{th}") == folded("Rth") == folded("RTH")
    True
    """
    return _DROPPED.sub("", name).lower()


_DROPPED = re.compile(r"[_{}\s\\]")


class Vocabulary:
    """The names that an answer may use, ready for the scanner.

    Parameters
    ----------
    names : tuple of (str, Dimension or None)
        Elements and earlier items.
    """

    __slots__ = ("_folded", "dimensions", "names_only", "regex")

    def __init__(self, names: tuple[tuple[str, Dimension | None], ...]) -> None:
        self.dimensions = dict(names)
        self._folded: dict[str, str | None] = {}
        for name, _ in names:
            key = folded(name)
            self._folded[key] = None if key in self._folded else name
        spelled = {name for name, _ in names} | {folded(name) for name, _ in names if len(name) > 1}
        words = spelled.difference({"t", "e"}) | FUNCTIONS.keys() | {"pi", "t"}
        self.regex = re.compile("|".join([*map(re.escape, sorted(words, key=lambda w: (-len(w), w))), "[eE](?![a-zA-Z])"]))
        only = sorted(map(re.escape, spelled - {"t", "e"}), key=lambda w: (-len(w), w))
        self.names_only = re.compile(f"(?:{'|'.join(only)})+" if only else "(?!)")

    def find(self, word: str) -> str | None:
        """The name meant by a word, if it is one."""
        if word in self.dimensions:
            return word
        return self._folded.get(folded(word))


@lru_cache(maxsize=512)
def _vocabulary(names: tuple[tuple[str, Dimension | None], ...]) -> Vocabulary:
    return Vocabulary(names)


def vocabulary(names: Mapping[str, Dimension | None]) -> Vocabulary:
    """The vocabulary of these names, built once."""
    return _vocabulary(tuple(names.items()))
