"""A final value that another one is in the dc steady state, where nothing drops between them: charged once, and no other follows.

Worked out by hand.  `float`: 6 mA into 2 kΩ beside 1 kΩ and 4 μF: 12 V at both ends of 1 kΩ in the end.  `weir`: 12 V, 2 Ω, then 6 Ω beside
3 Ω behind a coil: 6 V at both; with 8 V at one 8 V at the other, and the source's own resistor is left 4 V.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = """
title = "In the end (invented)"
[[problem]]
id = "float"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "n"], step = {before = "0 A", after = "6 mA"}},
  {name = "R1", kind = "resistor", between = ["n", "g"], value = "2 kohm"},
  {name = "R2", kind = "resistor", between = ["n", "c"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "4 uF"},
]
item = [
  {id = "vc", find = "final value", voltage = "C1", points = 2},
  {id = "vn", find = "final value", voltage = ["n", "g"], points = 2},
  {id = "back", find = "final value", voltage = ["g", "n"], points = 2},
]
[[problem]]
id = "weir"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "12 V"}},
  {name = "R1", kind = "resistor", between = ["a", "n"], value = "2 ohm"},
  {name = "R2", kind = "resistor", between = ["n", "g"], value = "6 ohm"},
  {name = "L1", kind = "inductor", between = ["n", "m"], value = "1 H"},
  {name = "R3", kind = "resistor", between = ["m", "g"], value = "3 ohm"},
]
item = [
  {id = "v3", find = "final value", voltage = "R3", points = 2},
  {id = "v2", find = "final value", voltage = "R2", points = 2},
  {id = "v1", find = "final value", voltage = "R1", points = 2},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "end.toml"))


@pytest.mark.parametrize(
    ("own", "item", "text", "points"),
    [
        ({"float.vc": "18 V"}, "float.vn", "18 V", 2),
        ({"float.vc": "18 V"}, "float.back", "-18 V", 2),
        ({"float.vc": "18 V"}, "float.vn", "9 V", 0),
        ({"float.vc": "12 V"}, "float.vn", "18 V", 0),
        ({"weir.v3": "8 V"}, "weir.v2", "8 V", 2),
        ({"weir.v3": "8 V", "weir.v2": "8 V"}, "weir.v1", "4 V", 2),
        ({"weir.v3": "8 V"}, "weir.v1", "8 V", 0),
    ],
)
def test_points(key, own, item, text, points):
    assert marks_of(key, own | {item: text})[item].awarded == points
