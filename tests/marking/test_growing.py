"""A response that grows, worked out by hand: 2 uF holds 3 V, and a controlled source feeds it with 0.5 mS: 3 e^(250 t) V.

At 4 ms it has grown to 3 e = 8.155 V; then 1 kohm beside it leaves (0.5 - 1) mS: 8.155 e^(-250(t - 4 ms)) V.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = b"""
title = "Growing (invented)"
[[problem]]
id = "horn"
ground = "g"
element = [
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "2 uF", initial = "3 V"},
  {name = "G1", kind = "voltage-controlled current source", between = ["g", "a"], gain = "0.5 mS", control = ["a", "g"]},
  {name = "S1", kind = "switch", between = ["a", "b"], opens = "0 s", closes = "4 ms"},
  {name = "R1", kind = "resistor", between = ["b", "g"], value = "1 kohm"},
]
item = [
  {id = "start", find = "initial value", voltage = "C1", points = 1},
  {id = "v", find = "expression", voltage = "C1", points = 3},
  {id = "v4", find = "value just before switching", voltage = "C1", after = "4 ms", points = 1},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "growing.toml"))


@pytest.mark.parametrize(
    ("answers", "held"),
    [
        ({"horn.v": "3 e^(250t) V"}, 3),
        ({"horn.v": "3.02 e^(250t) V"}, 3),
        ({"horn.v": "3.3 e^(250t) V"}, 2),
        ({"horn.v": "3 e^(-250t) V"}, 2),
        ({"horn.start": "2.5 V", "horn.v": "2.5 e^(250t) V"}, 3),
        ({"horn.start": "2.5 V", "horn.v": "2.8 e^(250t) V"}, 2),
        ({"horn.v": "2.5 e^(250t) V", "horn.v4": "6.796 V"}, 1),
    ],
)
def test_points(key, answers, held):
    assert marks_of(key, answers)[[*answers][-1]].awarded == held


def test_what_agrees_is_told_truly(key):
    (reason,) = marks_of(key, {"horn.v": "3.3 e^(250t) V"})["horn.v"].reasons
    assert "the time constant and the form agree" in reason
    assert "the initial value does" in reason
