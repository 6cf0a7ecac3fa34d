"""What an interval has in common with an earlier one follows from the own value given there; worked out by hand.

`vat`: 12 V, 2 kΩ, 5 μF: 10 ms; from 20 ms on with 20 μF beside it: 12 V again, 50 ms; from 120 ms on 2 kΩ across: 6 V, 25 ms.
From an own 9 V: 9(1 - e^(-2)) = 7.782 V, 1/5 of it is kept, 9 - 7.4436 e^(-0.8) = 5.655 V at 60 ms.  From an own 10 V just before
2 V, 250 μJ - 50 μJ lost.
`coils`: 3 A beside 10 Ω, 0.4 H: 40 ms; from 50 ms on with 0.6 H in series: 100 ms.  From an own 2 A: 1.427 A, 0.4 of it is kept,
2 - 1.4292 e^(-1) = 1.474 A at 150 ms; from an own 1 A just before 0.4 A, 0.2 J - 0.08 J lost.
`twin`: one source of 10 V, then the other: the same end by chance.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = b"""
title = "In common (invented)"
[[problem]]
id = "vat"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["s", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["s", "r"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["r", "a"], value = "2 kohm"},
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "5 uF", initial = "0 V"},
  {name = "S2", kind = "switch", between = ["a", "b"], closes = "20 ms"},
  {name = "C2", kind = "capacitor", between = ["b", "g"], value = "20 uF", initial = "0 V"},
  {name = "S3", kind = "switch", between = ["a", "c"], closes = "120 ms"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "2 kohm"},
]
item = [
  {id = "vf", find = "final value", voltage = "C1", points = 1},
  {id = "tau", find = "time constant", points = 1},
  {id = "x1", find = "expression", voltage = "C1", points = 2},
  {id = "before", find = "value just before switching", voltage = "C1", after = "20 ms", points = 1},
  {id = "start", find = "initial value", voltage = "C1", after = "20 ms", points = 1},
  {id = "lost", find = "energy lost", after = "20 ms", points = 2},
  {id = "tau2", find = "time constant", after = "20 ms", points = 1},
  {id = "v60", find = "value at", voltage = "C1", at = "60 ms", points = 2},
  {id = "x2", find = "expression", voltage = "C1", after = "20 ms", points = 2},
  {id = "vf2", find = "final value", voltage = "C1", after = "20 ms", points = 1},
  {id = "tau3", find = "time constant", after = "120 ms", points = 1},
  {id = "vf3", find = "final value", voltage = "C1", after = "120 ms", points = 1},
]
[[problem]]
id = "coils"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], step = {before = "0 A", after = "3 A", at = "0 s"}},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "10 ohm"},
  {name = "L1", kind = "inductor", between = ["a", "b"], value = "0.4 H"},
  {name = "S1", kind = "switch", between = ["b", "g"], opens = "50 ms"},
  {name = "L2", kind = "inductor", between = ["b", "g"], value = "0.6 H", initial = "0 A"},
]
item = [
  {id = "if", find = "final value", current = "L1", points = 1},
  {id = "tau", find = "time constant", by = "L1", points = 1},
  {id = "before", find = "value just before switching", current = "L1", after = "50 ms", points = 1},
  {id = "lost", find = "energy lost", after = "50 ms", points = 2},
  {id = "i150", find = "value at", current = "L1", at = "150 ms", points = 2},
]
[[problem]]
id = "twin"
ground = "g"
element = [
  {name = "Va", kind = "voltage source", between = ["a", "g"], value = "10 V"},
  {name = "Vb", kind = "voltage source", between = ["b", "g"], value = "10 V"},
  {name = "S1", kind = "switch", between = ["a", "c"], closes = "0 s", opens = "3 ms"},
  {name = "S2", kind = "switch", between = ["b", "d"], closes = "3 ms"},
  {name = "R1", kind = "resistor", between = ["c", "e"], value = "1 kohm"},
  {name = "R2", kind = "resistor", between = ["d", "e"], value = "3 kohm"},
  {name = "C1", kind = "capacitor", between = ["e", "g"], value = "1 uF", initial = "0 V"},
]
item = [
  {id = "vf", find = "final value", voltage = "C1", points = 1},
  {id = "vf2", find = "final value", voltage = "C1", after = "3 ms", points = 1},
]
"""
NINE = "9 - 9e^(-100t) V"


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "shared.toml"))


@pytest.mark.parametrize(
    ("answers", "points"),
    [
        ({"vat.vf": "9 V", "vat.before": "7.782 V", "vat.start": "1.556 V", "vat.v60": "5.655 V"}, 2),
        ({"vat.vf": "9 V", "vat.before": "7.782 V", "vat.x2": "9 - 7.4436e^(-20(t-20ms)) V"}, 2),
        ({"vat.x1": NINE, "vat.x2": "9 - 7.4436e^(-20(t-20ms)) V"}, 2),
        ({"vat.vf": "9 V", "vat.vf2": "9 V"}, 1),
        ({"vat.vf": "9 V", "vat.vf3": "9 V"}, 0),
        ({"vat.vf": "9 V", "vat.before": "7.782 V", "vat.v60": "7.782 V"}, 0),
        ({"vat.tau": "20 ms", "vat.tau2": "100 ms"}, 1),
        ({"vat.tau": "20 ms", "vat.tau2": "20 ms"}, 0),
        ({"vat.tau": "20 ms", "vat.tau3": "50 ms"}, 0),
        ({"vat.before": "10 V", "vat.start": "2 V", "vat.lost": "200 uJ"}, 2),
        ({"vat.before": "10 V", "vat.start": "2 V", "vat.lost": "250 uJ"}, 0),
        ({"coils.if": "2 A", "coils.i150": "1.474 A"}, 2),
        ({"coils.if": "2 A", "coils.i150": "1.265 A"}, 0),
        ({"coils.before": "1 A", "coils.lost": "0.12 J"}, 2),
        ({"coils.before": "1 A", "coils.lost": "0.2 J"}, 0),
        ({"twin.vf": "8 V", "twin.vf2": "8 V"}, 0),
    ],
)
def test_points_of_the_last_answer(key, answers, points):
    assert marks_of(key, answers)[[*answers][-1]].awarded == points
