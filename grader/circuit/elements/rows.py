"""Arithmetic of rows, as far as laws need it."""

from __future__ import annotations

from grader.circuit.elimination import Row, add_scaled
from grader.values.scalar import ONE, Scalar


def scaled(row: Row, factor: Scalar) -> Row:
    """A multiple of a row."""
    return {column: value * factor for column, value in row.items()} if factor else {}


def total(*rows: Row) -> Row:
    """The sum of rows, without zeros."""
    found: Row = {}
    for row in rows:
        add_scaled(found, row, ONE)
    return found


def minus(left: Row, right: Row) -> Row:
    """The difference of two rows, without zeros."""
    return total(left, scaled(right, -ONE))
