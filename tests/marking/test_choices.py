"""Choices: one option, several of them, or none."""

import pytest

from grader.marking.judge import judge_choice, judge_choices
from grader.marking.judgement import Size
from grader.reading.words import APART


def test_a_choice():
    assert judge_choice("rises", "rises").size is Size.RIGHT
    assert judge_choice("falls", "rises").size is Size.WRONG
    assert judge_choice("rises", "falls").size is Size.WRONG


@pytest.mark.parametrize(
    ("given", "size", "found"),
    [
        (("b", "a"), Size.RIGHT, None),
        (("a",), Size.PARTS, (1, 2)),
        (("a", "b", "c"), Size.PARTS, (1, 2)),  # the wrong one takes off what a right one earns
        (("a", "c"), Size.WRONG, None),
        (("c", "d", "a"), Size.WRONG, None),
        (("c",), Size.WRONG, None),
        ((), Size.WRONG, None),
    ],
)
def test_options_of_which_several_hold(given, size, found):
    judged = judge_choices(APART.join(given), APART.join(("a", "b")))
    assert (judged.size, judged.found) == (size, found)
    assert not any(number in judged.found_said for number in "0123456789")  # how many hold is not told


def test_of_options_none_may_hold():
    assert judge_choices("", "").size is Size.RIGHT
    assert judge_choices("a", "").size is Size.WRONG
