"""The pieces an answer is cut into, and what is known of the question while reading.

The modules beside it make tokens of characters (`scan`; `numerals`, `scan_labels`, `scan_words`, `scan_units` with `units` and
`vocabulary`) and put them in order: values and ranges set apart (`balance`), the brackets put in that students leave out
(`brackets`, with `extent`, `slashes`, `lost`).
"""

from collections.abc import Iterable
from functools import lru_cache
from typing import Any, NamedTuple

from grader.reading.tokens.vocabulary import Vocabulary, normalized_name, vocabulary
from grader.values.dimension import Dimension


class Token(NamedTuple):
    """A piece of the answer: ``kind`` is one of `grader.reading.tree.parse`, ``value`` a node where the piece is one already."""

    kind: str
    value: Any
    start: int
    end: int


class Question(NamedTuple):
    """What is asked, as far as reading may know it: it ranks readings and never decides what is right."""

    vocabulary: Vocabulary
    expects: str = "value"
    dimension: Dimension | None = None
    called: frozenset[str] = frozenset()
    """What the quantity asked may be called, as `normalized_name` has it; empty where that is not known."""
    line: str = ""
    """The whole line, where a part of it is read: it may give names their values."""


@lru_cache(maxsize=512)
def question_of(
    expects: str, dimension: Dimension | None, names: tuple[tuple[str, Dimension | None], ...], called: tuple[str, ...]
) -> Question:
    """What one item asks, the same for all who answer it."""
    return Question(vocabulary(names), expects, dimension, frozenset(map(normalized_name, called)))


def kinds(tokens: Iterable[Token]) -> list[str]:
    """Their kinds, one after the other."""
    return [token.kind for token in tokens]


def virtual(kind: str, place: int, value: Any = None) -> Token:
    """A token that the student left out; it has no width."""
    return Token(kind, value, place, place)
