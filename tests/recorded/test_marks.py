"""Marking says of every recorded answer what it said; see `tests/recorded/marks.py`."""

from functools import cache

import pytest

from grader.marking.key import build_key
from tests.recorded.marks import TABLES, marked_anew, rows_of, rubric_of, uploads_of


@cache
def key_of(table):
    return build_key(rubric_of(table))


@pytest.mark.parametrize("table", TABLES)
def test_the_answers_are_marked_as_recorded(table):
    key = key_of(table)
    key.remembered.clear()  # a mark of an earlier run says nothing of the code as it is now
    for rows in uploads_of(rows_of(table)):
        for row, now in zip(rows, marked_anew(key, rows), strict=True):
            assert now == row, "where that is meant: python -m tests.recorded.marks, and read the diff"
