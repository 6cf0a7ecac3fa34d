"""A constant where a response is asked that changes: what it shows, and no mistake that leads to a constant.

`hoist`: 6 V, then 18 V, on 2 Ω, 6 Ω across and 1.5 Ω before 30 mH: 1.5 A to 4.5 A.  `lamp`: 5 μF at 8 V, left with 2 kΩ: 8 V to 0.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.one_value import ONE_VALUE
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = """
title = "One value (invented)"
[[problem]]
id = "hoist"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "6 V", after = "18 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "2 ohm"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "6 ohm"},
  {name = "R3", kind = "resistor", between = ["b", "c"], value = "1.5 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "30 mH"},
]
item = [{id = "i", find = "expression", current = "L1", points = 4}, {id = "v", find = "expression", voltage = "L1", points = 4}]
[[problem]]
id = "lamp"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "20 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], opens = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "3 kohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "2 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "5 uF"},
]
item = [{id = "v", find = "expression", voltage = "C1", points = 4}, {id = "rest", find = "value just before switching", voltage = "R1", points = 1}]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "one_value.toml"))


@pytest.mark.parametrize(
    ("place", "text", "points", "explained"),
    [
        ("hoist.i", "1.5 A", 1, False),
        ("hoist.i", "4.5 A", 1, False),
        ("hoist.i", "6 A", 0, False),
        ("hoist.v", "9 V", 1, False),
        ("hoist.v", "0 V", 0, False),
        ("hoist.v", "18 V", 0, True),  # the source's voltage
        ("lamp.v", "8 V", 1, False),
        ("lamp.v", "0 V", 0, False),
        ("lamp.v", "20 V", 0, True),
    ],
)
def test_what_is_said_of_a_constant(key, place, text, points, explained):
    mark = marks_of(key, {place: text})[place]
    assert mark.awarded == points
    assert ONE_VALUE in " ".join(mark.reasons)
    assert bool(mark.mistakes) == explained


def test_what_changes_is_no_constant(key):
    assert ONE_VALUE not in " ".join(marks_of(key, {"lamp.v": "8 e^(-t/5ms) V"})["lamp.v"].reasons)
