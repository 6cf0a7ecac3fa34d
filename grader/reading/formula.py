"""Formulas of our own, in the notation students write."""

from functools import lru_cache

from grader.reading.reader import read
from grader.reading.refusals import Refusal
from grader.reading.tree import Node


@lru_cache(maxsize=2048)
def formula_tree(formula: str, names: frozenset[str] = frozenset()) -> Node:
    """The tree of a formula of our own, in the notation students write (its first reading counts).

    Raises
    ------
    ValueError
        If it cannot be read.
    """
    readings = read(formula, expects="expression", names=dict.fromkeys(sorted(names)))
    if isinstance(readings, Refusal):
        raise ValueError(f"the formula '{formula}' cannot be read: {readings.sentence}")  # noqa: TRY004 - a refusal is a value
    return readings[0].tree
