"""Finds the entries of the catalogue by their place in the folder ``finds``."""

from typing import Any

from grader.catalogue import modules_of
from grader.problem import Item, Problem
from grader.quantities import finds
from grader.quantities.question import Question
from grader.quantities.records import Asked


def _entries() -> dict[str, Asked]:
    """One of every class with a name of its own in the folder, in order of these names."""
    classes = {one for _, module in modules_of(finds) for one in vars(module).values() if isinstance(one, type)}
    found = [one() for one in classes if issubclass(one, Asked) and "name" in vars(one)]
    entries = {entry.name: entry for entry in sorted(found, key=lambda entry: entry.name)}
    if len(entries) != len(found):
        raise ImportError("two entries of grader/quantities/finds have the same name")
    return entries


_ENTRIES = _entries()

FINDS = tuple(_ENTRIES)
"""The name of every ``find``, sorted."""


def question_of(problem: Problem, item: Item, solved: Any) -> Question:
    """An item in its problem, with the response of its circuit (None where there is no circuit)."""
    return Question(problem=problem, item=item, solved=solved, reference=_reference)


def _reference(question: Question) -> Any:
    return asked(question.item.find).reference(question)


def asked(find: str) -> Asked:
    """The entry of that name (KeyError if there is none)."""
    return _ENTRIES[find]
