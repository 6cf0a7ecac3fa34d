"""Exact Gauss-Jordan elimination on sparse rows of scalars, fed one equation at a time.

Circuit equations are very sparse (two to four entries a row) and come in several number fields:
rationals, sums of roots, rational functions of symbols.  Rows as dictionaries serve them all with one
short routine, and equations may be appended after the rest has been reduced, which is what index
reduction needs.
"""

from collections.abc import Iterable
from typing import TypeAlias

from grader.values.scalar import Scalar

Row: TypeAlias = dict[int, Scalar]
"""Column to non-zero coefficient; the equation says that the sum of coefficient times column is zero."""


def add_scaled(row: Row, other: Row, factor: Scalar) -> None:
    """Add ``factor * other`` to `row` in place, dropping what cancels."""
    for column, value in other.items():
        product = value * factor
        present = row.get(column)
        total = product if present is None else present + product
        if total == 0:
            row.pop(column, None)
        else:
            row[column] = total


class Elimination:
    """Rows solved for as many of the pivot columns as they determine.

    Parameters
    ----------
    pivots : range
        The columns to solve for.  All others are data: they are carried along.

    Attributes
    ----------
    solved : dict of int to Row
        For each column solved for, its row; the column has coefficient one there and stands in no other row.
    """

    def __init__(self, pivots: range) -> None:
        self.pivots = pivots
        self.solved: dict[int, Row] = {}

    def add(self, equation: Row) -> Row | None:
        """Take in an equation.

        Returns
        -------
        Row or None
            None where it determined one more column; otherwise what it says about the data columns alone
            (empty: nothing new).
        """
        row = dict(equation)
        for column in [c for c in row if c in self.solved]:
            add_scaled(row, self.solved[column], -row[column])
        candidates = [c for c in row if c in self.pivots]
        if not candidates:
            return row
        # Element currents and derivatives stand in the last columns and in the fewest equations: taking the
        # last column first keeps the rows short.
        pivot = max(candidates)
        lead = row[pivot]
        if lead != 1:
            row = {column: value / lead for column, value in row.items()}
        for other in self.solved.values():
            if pivot in other:
                add_scaled(other, row, -other[pivot])
        self.solved[pivot] = row
        return None

    def add_all(self, equations: Iterable[Row]) -> list[Row]:
        """Take in equations; return what they say about the data columns alone, where they say anything."""
        return [residue for residue in map(self.add, equations) if residue]

    def free(self) -> list[int]:
        """The pivot columns left undetermined."""
        return [column for column in self.pivots if column not in self.solved]

    def value(self, column: int) -> Row:
        """A solved column in terms of data (and undetermined) columns."""
        return {c: -v for c, v in self.solved[column].items() if c != column}
