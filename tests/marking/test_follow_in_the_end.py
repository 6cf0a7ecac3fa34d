"""A final value that another one is in the dc steady state, where nothing drops between them: charged once, and no other follows.

Worked out by hand.  `float`: 6 mA into 2 kΩ beside 1 kΩ and 4 μF: 12 V at both ends of 1 kΩ in the end.  `weir`: 12 V, 2 Ω, then 6 Ω beside
3 Ω behind a coil: 6 V at both; with 8 V at one 8 V at the other, and the source's own resistor is left 4 V.  `buoy`: 30 V, 10 kΩ,
then 2 μF beside 5 kΩ and 15 kΩ: 20 V and 1 mA, before the switch opens and, with it closed for good, in the end; with 15 V
(30 - 15)/10 kΩ = 1.5 mA, or 15/20 kΩ = 0.75 mA, as the capacitor takes none.  `kedge`: 3 A into 20 Ω beside 10 Ω and a coil: 2 A;
with 1 A 10 W in 10 Ω, 3 - 1 = 2 A through 20 Ω and 40 V across it, or 10 V by the other way.
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
[[problem]]
id = "buoy"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "30 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], opens = "0 s", closes = "1 s"},
  {name = "R1", kind = "resistor", between = ["b", "n"], value = "10 kohm"},
  {name = "C1", kind = "capacitor", between = ["n", "g"], value = "2 uF"},
  {name = "R2", kind = "resistor", between = ["n", "m"], value = "5 kohm"},
  {name = "R3", kind = "resistor", between = ["m", "g"], value = "15 kohm"},
]
item = [
  {id = "v", find = "value just before switching", after = "0 s", voltage = "C1", points = 2},
  {id = "i1", find = "value just before switching", after = "0 s", current = "R1", points = 2},
  {id = "i3", find = "value just before switching", after = "0 s", current = "R3", points = 2},
  {id = "vf", find = "final value", after = "1 s", voltage = "C1", points = 2},
  {id = "if", find = "final value", after = "1 s", current = "R1", points = 2},
]
[[problem]]
id = "kedge"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], value = "3 A"},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "20 ohm"},
  {name = "S1", kind = "switch", between = ["a", "b"], opens = "0 s"},
  {name = "R2", kind = "resistor", between = ["b", "n"], value = "10 ohm"},
  {name = "L1", kind = "inductor", between = ["n", "g"], value = "0.5 H"},
  {name = "R3", kind = "resistor", between = ["n", "g"], value = "40 ohm"},
]
item = [
  {id = "i0", find = "value just before switching", current = "L1", points = 2},
  {id = "i1", find = "value just before switching", current = "R1", points = 2},
  {id = "v1", find = "value just before switching", voltage = "R1", points = 2},
  {id = "p2", find = "value just before switching", power = "R2", points = 2},
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
        ({"buoy.v": "15 V"}, "buoy.i1", "1.5 mA", 2),
        ({"buoy.v": "15 V"}, "buoy.i1", "0.75 mA", 2),
        ({"buoy.v": "15 V"}, "buoy.i1", "3 mA", 0),
        ({"buoy.v": "20 V"}, "buoy.i1", "0.75 mA", 0),
        ({"buoy.v": "15 V", "buoy.i1": "1.2 mA"}, "buoy.i3", "1.2 mA", 2),
        ({"kedge.i0": "1 A"}, "kedge.i1", "2 A", 2),
        ({"kedge.i0": "1 A"}, "kedge.i1", "4 A", 0),
        ({"kedge.i0": "2 A"}, "kedge.i1", "2 A", 0),
        ({"kedge.i0": "1 A"}, "kedge.v1", "40 V", 2),
        ({"kedge.i0": "1 A"}, "kedge.v1", "10 V", 2),
        ({"kedge.i0": "1 A"}, "kedge.v1", "30 V", 0),
        ({"kedge.i0": "1 A"}, "kedge.p2", "10 W", 2),
        ({"kedge.i0": "1 A"}, "kedge.p2", "20 W", 0),
        ({"buoy.vf": "15 V"}, "buoy.if", "1.5 mA", 2),
        ({"buoy.vf": "15 V"}, "buoy.if", "0.75 mA", 2),
        ({"buoy.vf": "15 V"}, "buoy.if", "0.5 mA", 0),
    ],
)
def test_points(key, own, item, text, points):
    assert marks_of(key, own | {item: text})[item].awarded == points
