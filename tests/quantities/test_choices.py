"""Statements to be judged: what counts as true and as false, and what a rubric may say of them."""

from __future__ import annotations

import pytest

from grader.errors import RubricError
from grader.reading.words import choose
from tests.quantities.building import problem


@pytest.mark.parametrize(
    "text, chosen",
    [("true", "true"), ("False", "false"), ("T", "true"), ("f", "false"), ("FALSE.", "false"), ("it is true", "true")],
)
def test_judged(text, chosen):
    assert choose(text, ("true", "false")).choice.option == chosen


def test_the_key_is_one_of_the_two():
    assert problem("", 'id = "s", find = "true or false", key = "True"').items[0].options == ("true", "false")
    with pytest.raises(RubricError, match='must be "true" or "false"'):
        problem("", 'id = "s", find = "true or false", key = "maybe"')
