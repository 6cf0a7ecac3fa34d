"""Rubrics that would stop, mislead or exhaust the program: each gives its sentence."""

from __future__ import annotations

import itertools

import pytest

from grader.errors import GraderError, RubricError
from grader.rubric.bounds import bounded_time, working_on
from grader.rubric.files import read_rubric
from grader.rubric.references import references
from tests.rubric.hostile import CASES, SOUND


def test_the_rubric_they_are_made_of_is_sound():
    assert len(references(read_rubric(SOUND.encode(), "weir.toml"))) == 2


def test_they_are_many():
    assert len(CASES) >= 60


@pytest.mark.parametrize("text, sentence", [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_sentence(text, sentence):
    with pytest.raises(GraderError) as caught:
        references(read_rubric(text.encode(), "weir.toml"))
    found = str(caught.value).splitlines()
    assert any(sentence in line for line in found), found[:3]
    assert all(line.startswith("weir.toml") and len(line) < 1000 for line in found)


def test_what_takes_too_long_is_named():
    """Work without end is stopped by the clock, and the sentence names the item that was at work."""

    @bounded_time(0.05)
    def endless():
        working_on("weir.toml, problem 'lamp', item 'v'")
        for _ in itertools.count():
            pass

    with pytest.raises(RubricError, match=r"weir.toml, problem 'lamp', item 'v': working this out takes longer than"):
        endless()
    with bounded_time(0.05):
        pass  # a bound that was kept leaves no clock behind
