"""Finds the entries of the catalogue by their place in the folder ``finds``, and the words of each in the file beside it."""

import tomllib
from pathlib import Path
from typing import Any

from grader.catalogue import modules_of
from grader.circuit.response import Solved
from grader.problem import Item, Problem
from grader.quantities import finds
from grader.quantities.question import Question
from grader.quantities.records import Asked, described


def _entries() -> dict[str, Asked]:
    """One of every class with a name of its own in the folder, in order of these names."""
    found: list[Asked] = []
    for family, module in modules_of(finds):
        beside = Path(__file__).with_name("finds").joinpath(f"{family}.toml").read_text(encoding="utf-8")
        words = tomllib.loads(beside)
        own = (one for one in vars(module).values() if isinstance(one, type) and one.__module__ == module.__name__)
        found += [described(one(), words[one.name]) for one in own if issubclass(one, Asked) and "name" in vars(one)]
    entries = {entry.name: entry for entry in sorted(found, key=lambda entry: entry.name)}
    if len(entries) != len(found):
        raise ImportError("two entries of grader/quantities/finds have the same name")
    return entries


_ENTRIES = _entries()

FINDS = tuple(_ENTRIES)
"""The name of every ``find``, sorted."""


def question_of(problem: Problem, item: Item, solved: Solved | None, known: dict[Any, Any] | None = None) -> Question:
    """An item in its problem, with the response of its circuit (None where there is no circuit) and what is known of it already."""
    known = {} if known is None else known
    return Question(problem=problem, item=item, response=solved, asked=asked, known=known)


def asked(find: str) -> Asked:
    """The entry of that name (KeyError if there is none)."""
    return _ENTRIES[find]
