"""A value at an instant follows from the own expression by the element's law; worked out by hand.

12 V, closed at 0 and opened at 1 s, on 4 Ω and 2 H, 6 Ω across both: i = 3 (1 - e^(-2t)) A and v_L = 12 e^(-2t) V, 4.415 V at 0.5 s.
Whoever has 3 (1 - e^(-4t)) A finds 2 · 12 e^(-4t) V: 3.248 V at 0.5 s, 0.4396 V just before 1 s.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = """
title = "Law (invented)"
[[problem]]
id = "p"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s", opens = "1 s"},
  {name = "R0", kind = "resistor", between = ["b", "g"], value = "6 ohm"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "2 H"},
]
item = [
  {id = "i", find = "expression", current = "L1", points = 4},
  {id = "half", find = "value at", voltage = "L1", at = "0.5 s", points = 1},
  {id = "v1", find = "value just before switching", voltage = "L1", after = "1 s", points = 1},
]
"""


@pytest.mark.parametrize(
    ("item", "right", "own", "wrong"),
    [("half", "4.415 V", "3.25 V", "3.8 V"), ("v1", "1.624 V", "0.44 V", "0.7 V")],
)
def test_a_value_follows_by_the_law_of_its_element(item, right, own, wrong):
    key = build_key(read_rubric(RUBRIC.encode(), "law.toml"))
    slipped, place = "3 (1 - e^(-4t)) A", f"p.{item}"
    found = [
        marks_of(key, {"p.i": said, place: text})[place].awarded
        for said, text in ((slipped, right), (slipped, own), (slipped, wrong), ("3 (1 - e^(-2t)) A", own))
    ]
    assert found == [1, 1, 0, 0]
