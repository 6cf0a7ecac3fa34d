"""Which row of a table is the heading, and what its columns hold."""

import re
import unicodedata
from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from grader.reading.tokens.units import look_up
from grader.regex import regex
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

_STUDENT_ELSEWHERE = (
    "matrikelnummer", "matrikelnr", "studentnummer", "numéro d'étudiant", "numéro étudiant", "matricola", "numero di matricola",
    "número de matrícula", "número de estudiante", "número de estudante",
)  # fmt: skip
"""What lists of other countries call a student's number (common practice)."""

_RANK = {key(word): (role, rank) for role, words in _WORDS.items() for rank, word in enumerate(words)}
_RANK |= {key(word): (STUDENT, len(_WORDS[STUDENT])) for word in _STUDENT_ELSEWHERE}
STUDENT_HEADINGS = ", ".join(f"'{word}'" for word in _WORDS[STUDENT])
_YOUR = regex(r"(?:your|my)\s+")
_BRACKETS = regex(r"\s*[(\[][^)\]]*[)\]]?\s*[:.]?$")
_LONGEST = 60
_UNIT = r"([^)\]\s,;]+(?:\s?[/·*]\s?[^)\]\s]+|\sper\s[^)\]\s]+)?)"
_UNIT_ALONE = regex(rf"[(\[]\s*(?:in\s+)?{_UNIT}\s*[)\]]\s*$")
_UNIT_AFTER_IN = regex(rf"[(\[](?:[^()\[\]]*\s)?in\s+{_UNIT}(?:[\s,;][^()\[\]]*)?[)\]]")
_PIECES_OF_A_UNIT = regex(r"[\s/·*^\d().+−-]+|\bper\b")
_FULL_NAME = regex(r"[^\W\d][\w-]*\.[^\W\d][\w+∞-]*")
_NO_ANSWER = regex(r"\b(?:points?|scores?|grades?|marks?|feedback|comments?)\b", re.IGNORECASE)
"""Words of columns beside an answer's."""


class Column(NamedTuple):
    """A column of a wide table that holds one item: where, which, the unit that its heading gives, and how sure that is."""

    column: int
    pair: Pair
    unit: str
    rank: int
    """0: the heading is the id, 1: with a unit beside it, 2: among other words"""


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


def side_by_side(row: Mapping[int, str]) -> tuple[dict[str, int], ...]:
    """The columns of each table that begins in a row of headings: several where the same headings stand there once more."""
    parts: list[dict[int, str]] = [{}]
    for column, text in sorted(row.items()):
        if key(text) in map(key, parts[-1].values()):
            parts.append({})
        parts[-1][column] = text
    found = tuple(map(columns, parts))
    return found if all(map(is_heading, found)) else (columns(row),)


def student_columns(row: Mapping[int, str]) -> tuple[int, ...]:
    """Every column for the student in a row of headings, the most certain first."""
    found = ((role_of(text), column) for column, text in row.items())
    ranked = sorted((role[1], column) for role, column in found if role is not None and role[0] == STUDENT)
    return tuple(column for _, column in ranked)


def is_heading(found: Mapping[str, int]) -> bool:
    """Whether those columns make a row the heading of a table of answers."""
    return ITEM in found and ANSWER in found


def wide_columns(row: Mapping[int, str], items: Items) -> tuple[tuple[Column, ...], dict[int, str]]:
    """The columns of a wide table's heading that hold an item; and what to say of others that name one, by column.

    What stands beside an answer (how sure, how it was found) names its item as well: of several columns the heading with
    the id alone counts, else the one with but a unit beside it, else none, since which holds the answer would be a guess.
    """
    found: dict[Pair, list[Column]] = {}
    untaken: dict[int, str] = {}
    for column, text in sorted(row.items()):
        plain = items.find(text)
        pairs = (plain,) if plain else _within(text, items)
        if len(pairs) > 1:
            untaken[column] = f"{_shown(text)} names several items, so it was not read; an answer's heading names one"
        elif pairs and not plain and _NO_ANSWER.search(_FULL_NAME.sub("", text)):
            untaken[column] = (
                f"{_shown(text)} speaks of points, marks or comments, so it was not read; "
                f"if it holds answers, head it '{'.'.join(pairs[0])}'"
            )
        elif pairs:
            rank = _rank(text, items) if plain else _VAGUE
            found.setdefault(pairs[0], []).append(Column(column, pairs[0], _unit_of(text, items), rank))
    taken: list[Column] = []
    for named in found.values():
        best, others = _surest(named, row)
        taken += best
        untaken |= others
    return tuple(sorted(taken)), untaken


_SURE, _WITH_UNIT, _VAGUE = range(3)
"""How plainly a heading names its item: by the id alone, with but a unit beside it, among other words."""


def _rank(text: str, items: Items) -> int:
    if folded(text) in items.names or not re.search(r"[(\[]", text):
        return _SURE
    alone = _UNIT_ALONE.search(text)
    return _WITH_UNIT if alone and _is_unit(alone[1]) else _VAGUE


def _surest(named: list[Column], row: Mapping[int, str]) -> tuple[list[Column], dict[int, str]]:
    """Of the columns that name one item those that hold its answers, and what to say of the others."""
    rank = min(one.rank for one in named)
    best = [one for one in named if one.rank == rank]
    if rank != _SURE and len(best) > 1:
        headings = " and ".join(_shown(row[one.column]) for one in named)
        told = (
            f"{headings} name the same item, so none of them was read; "
            f"head the one with the answers '{'.'.join(named[0].pair)}'"
        )
        return [], {named[0].column: told, **{one.column: "" for one in named[1:]}}
    read = _shown(row[best[0].column])
    return best, {
        one.column: f"{_shown(row[one.column])} names the item that {read} answers, so it was not read"
        for one in named
        if one.rank > rank
    }


def _within(text: str, items: Items) -> tuple[Pair, ...]:
    """The items whose full names stand in a heading, as the export of a form has it: ``Time constant (valve.tau)``."""
    return tuple(dict.fromkeys(filter(None, map(items.find, _FULL_NAME.findall(text)))))


def _unit_of(text: str, items: Items) -> str:
    """The unit in a heading's brackets, if they hold no item."""
    brackets = _UNIT_ALONE.search(text) or next(reversed([*_UNIT_AFTER_IN.finditer(text)]), None)
    told = brackets is not None and folded(text) not in items.names and items.find(brackets[1]) is None
    return brackets[1] if brackets and told and _is_unit(brackets[1]) else ""


def _is_unit(text: str) -> bool:
    """Whether a heading's brackets hold a unit, and no word such as ``several``, nor a letter that is a unit in another case only."""
    pieces = [piece for piece in _PIECES_OF_A_UNIT.split(unicodedata.normalize("NFKC", text)) if piece]
    meanings = [look_up(piece)[:1] for piece in pieces]
    return bool(pieces) and all(
        found and (len(piece) > 1 or not found[0].slip) for piece, found in zip(pieces, meanings, strict=True)
    )


def _shown(text: str) -> str:
    text = " ".join(text.split())
    return f"'{text}'" if len(text) <= _LONGEST else f"'{text[:_LONGEST]}…'"
