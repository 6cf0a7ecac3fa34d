"""From parsed parts to what the answer says: the last link of a chain, ranges, units of the whole."""

from __future__ import annotations

from typing import Any, NamedTuple

from grader.reading.forks import Forks, Way
from grader.reading.parse import Condition
from grader.reading.refusals import CannotRead
from grader.reading.spread import spread_units
from grader.reading.tokens import Question
from grader.reading.tree import Node, Time
from grader.reading.units import look_up


class Found(NamedTuple):
    """An answer as found: its tree, the unit of the whole, and how it was read."""

    tree: Node
    unit: str | None
    ways: tuple[Way, ...]
    others: tuple[tuple[str, Node], ...] = ()
    label: str = ""


def assemble(parts: tuple[Any, ...], question: Question, forks: Forks, unit: str) -> tuple[Found, ...]:
    """Every way to put the parts together, most plausible first."""
    values = [part for part in parts if type(part) is not Condition]
    if not values:
        raise CannotRead("blank")
    tree = values[0][-1]
    label = values[0][0] if type(values[0][0]) is str else ""
    found = []
    for whole, symbol, way in spread_units(tree, unit, question):
        found.append(Found(whole, symbol, (*forks.taken, way), (), label))
    return tuple(found)


__all__ = ["Found", "Time", "assemble", "look_up"]
