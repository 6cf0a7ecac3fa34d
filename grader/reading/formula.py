"""Formulas of our own, in the notation students write."""

from functools import lru_cache

from grader.reading.part import readings_of
from grader.reading.refusals import CannotRead
from grader.reading.text.cell import Cell
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import vocabulary
from grader.reading.tree import Node


@lru_cache(maxsize=2048)
def formula_tree(formula: str, names: frozenset[str] = frozenset()) -> Node:
    """The tree of a formula of our own, in the notation students write: nothing but mathematics (its first reading counts).

    Raises
    ------
    ValueError
        If it cannot be read.
    """
    question = Question(vocabulary(tuple((name, None) for name in sorted(names))), expects="expression")
    try:
        return readings_of(Cell(formula), question, "")[0].tree
    except CannotRead as error:
        raise ValueError(f"the formula '{formula}' cannot be read ({error.kind})") from None
