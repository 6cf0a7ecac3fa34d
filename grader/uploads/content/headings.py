"""Which row of a table is the heading, and what its columns hold."""

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from grader.uploads.content.items import Items, Pair
from grader.uploads.names import folded, key

ITEM, ANSWER, UNIT, PROBLEM, WORKING, STUDENT = "item", "answer", "unit", "problem", "working", "student"

_WORDS: Mapping[str, tuple[str, ...]] = {
    ITEM: ("item", "item id", "items", "item name", "part", "quantity", "question", "asked"),
    ANSWER: ("answer", "your answer", "answers", "student answer", "response", "result", "value"),
    UNIT: ("unit", "units", "your unit"),
    PROBLEM: ("problem", "problem id", "problems", "exercise", "circuit"),
    WORKING: ("working", "your working", "workings", "work", "steps", "calculation", "derivation", "reasoning"),
    STUDENT: (
        "student", "student id", "student number", "student no", "id", "id number", "roster id", "matriculation number",
    ),
}  # fmt: skip
"""Headings understood for each column, the most certain first."""

_RANK = {key(word): (role, rank) for role, words in _WORDS.items() for rank, word in enumerate(words)}
STUDENT_HEADINGS = ", ".join(f"'{word}'" for word in _WORDS[STUDENT])
_YOUR = re.compile(r"(?:your|my)\s+")
_BRACKETS = re.compile(r"\s*[(\[][^)\]]*[)\]]?\s*[:.]?$")
_LONGEST = 60
_UNIT_BRACKETS = re.compile(r"[(\[]\s*(?:in\s+)?([^)\]\s]*(?:\s?[/·*]\s?[^)\]\s]+|\sper\s[^)\]\s]+)?)\s*[)\]]\s*$")
_FULL_NAME = re.compile(r"[^\W\d][\w-]*\.[^\W\d][\w+∞-]*")
_NO_ANSWER = re.compile(r"\b(?:points?|scores?|grades?|marks?|feedback|comments?)\b", re.IGNORECASE)
"""Words of columns beside an answer's."""


class Column(NamedTuple):
    """A column of a wide table that holds one item: where, which, and the unit that its heading gives."""

    column: int
    pair: Pair
    unit: str


def role_of(text: str) -> tuple[str, int] | None:
    """What a heading names (``item``, ``answer`` …) and how certain that is (0: the word itself), if anything."""
    return _role_of(text) if len(text) <= _LONGEST else None


@lru_cache(maxsize=4096)
def _role_of(text: str) -> tuple[str, int] | None:
    """Remembered, since the uploads of a class say the same in most of their cells."""
    found = _RANK.get(key(text).strip(":.#*")) or _RANK.get(key(_BRACKETS.sub("", text)).strip(":.#*"))
    whose = _YOUR.match(folded(text)) if found is None else None
    own = _role_of(folded(text)[whose.end() :]) if whose else None
    return own if own and own[0] == STUDENT else found


def columns(row: Mapping[int, str]) -> dict[str, int]:
    """Where each role stands in a row of headings; of two columns for one role the more certain, then the first."""
    best: dict[str, tuple[int, int]] = {}
    for column, text in sorted(row.items()):
        if found := role_of(text):
            role, rank = found
            best[role] = min(best.get(role, (rank, column)), (rank, column))
    return {role: column for role, (_, column) in best.items()}


def student_columns(row: Mapping[int, str]) -> tuple[int, ...]:
    """Every column for the student in a row of headings, the most certain first."""
    found = ((role_of(text), column) for column, text in row.items())
    ranked = sorted((role[1], column) for role, column in found if role is not None and role[0] == STUDENT)
    return tuple(column for _, column in ranked)


def is_heading(found: Mapping[str, int]) -> bool:
    """Whether those columns make a row the heading of a table of answers."""
    return ITEM in found and ANSWER in found


def wide_columns(row: Mapping[int, str], items: Items) -> tuple[Column, ...]:
    """The columns of a wide table's heading that name an item."""
    found = []
    for column, text in sorted(row.items()):
        if pair := items.find(text) or _within(text, items):
            brackets = _UNIT_BRACKETS.search(text)
            told = brackets is not None and folded(text) not in items.names and items.find(brackets[1]) is None
            found.append(Column(column, pair, brackets[1] if brackets and told else ""))
    return tuple(found)


def _within(text: str, items: Items) -> Pair | None:
    """The one item whose full name stands in a heading, as the export of a form has it: ``Time constant (valve.tau)``."""
    named = {items.find(name) for name in _FULL_NAME.findall(text)} - {None}
    return named.pop() if len(named) == 1 and not _NO_ANSWER.search(text) else None
