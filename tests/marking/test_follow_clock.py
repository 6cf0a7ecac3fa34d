"""An own expression that counts from another switching is charged once: instants follow on its clock; worked out by hand.

`gate`: 12 V on 6 Ω and 0.3 H, i = 2 (1 - e^(-20t)) A, 1 A at 34.66 ms, 1.1013 A at 40 ms; then 4 Ω: 3 - 1.8987 e^(-13.33(t - 40 ms)) A,
2 A after ln(1.8987)/13.33 = 48.09 ms, at 88.09 ms; 1.5458 A at 60 ms, and 2.1469 A with t for t - 40 ms.  With 4 A in the end, 4 - 2.8987 e^(...):
2 A after 27.84 ms; with 1.5 A at 40 ms, 3 - 1.5 e^(...): after 30.41 ms.
`bell`: 10 V at 20 ms on 60 Ω, 0.1 H, 40 μF: alpha = 300, omega_d = 400, largest pi/400 = 7.854 ms later, at 27.85 ms.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = """
title = "Clocks (invented)"
[[problem]]
id = "gate"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
  {name = "R2", kind = "resistor", between = ["c", "d"], value = "2 ohm"},
  {name = "S2", kind = "switch", between = ["c", "d"], closes = "40 ms"},
  {name = "L1", kind = "inductor", between = ["d", "g"], value = "0.3 H"},
]
item = [
  {id = "first", find = "expression", current = "L1", after = "0 s", points = 4},
  {id = "one", find = "time to reach", current = "L1", level = "1 A", after = "0 s", points = 2},
  {id = "second", find = "expression", current = "L1", after = "40 ms", points = 4},
  {id = "two", find = "time to reach", current = "L1", level = "2 A", after = "40 ms", points = 2},
  {id = "at", find = "value at", current = "L1", at = "60 ms", points = 1},
]
[[problem]]
id = "bell"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "10 V", at = "20 ms"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "60 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "0.1 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "40 uF"},
]
item = [
  {id = "v", find = "expression", voltage = "C1", points = 6},
  {id = "when", find = "time of maximum", voltage = "C1", points = 2},
  {id = "peak", find = "peak time", voltage = "C1", points = 2},
]
"""
UNMOVED, MOVED = "3 - 1.8987 e^(-13.333t) A", "3 - 1.8987 e^(-13.333(t-40ms)) A"
RINGS = "10 - e^(-300t)(10 cos 400t + 7.5 sin 400t) V"
ROWS = [
    ("gate", {"second": UNMOVED}, "second", UNMOVED, 3),  # the initial value
    ("gate", {"second": UNMOVED}, "two", "48.1 ms", 2),
    ("gate", {"second": UNMOVED}, "two", "88.1 ms", 2),
    ("gate", {"second": UNMOVED}, "two", "70 ms", 0),
    ("gate", {"second": UNMOVED}, "at", "2.147 A", 1),
    ("gate", {"second": UNMOVED}, "at", "1.546 A", 1),
    ("gate", {"second": UNMOVED}, "at", "1.9 A", 0),
    ("gate", {"second": MOVED}, "two", "48.1 ms", 0),
    ("gate", {"second": MOVED}, "at", "2.147 A", 0),
    ("gate", {"second": "4 - 2.8987 e^(-13.333t) A"}, "two", "27.84 ms", 2),
    ("gate", {"second": "4 - 2.8987 e^(-13.333t) A"}, "two", "67.84 ms", 2),
    ("gate", {"second": "3 - 1.5 e^(-13.333(t-40ms)) A"}, "two", "70.41 ms", 2),
    ("gate", {"second": "3 - 1.5 e^(-13.333(t-40ms)) A"}, "two", "30.41 ms", 0),
    ("gate", {"first": "2 - 2 e^(-20(t-40ms)) A"}, "one", "74.66 ms", 2),
    ("gate", {"first": "2 - 2 e^(-20(t-40ms)) A"}, "one", "34.66 ms", 2),
    ("gate", {"first": "2 - 2 e^(-20(t-40ms)) A"}, "one", "80 ms", 0),
    ("gate", {"first": "2 - 2 e^(-20t) A"}, "one", "74.66 ms", 0),
    ("bell", {"v": RINGS}, "v", RINGS, 5),  # the initial value; the slope, 15 V/s for 0, is small beside 3000 V/s
    ("bell", {"v": RINGS}, "when", "7.854 ms", 2),
    ("bell", {"v": RINGS}, "when", "27.85 ms", 2),
    ("bell", {"v": RINGS}, "when", "9 ms", 0),
    ("bell", {"v": RINGS}, "peak", "7.854 ms", 2),
    ("bell", {}, "when", "7.854 ms", 0),
    ("bell", {}, "peak", "7.854 ms", 0),
]


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "clock.toml"))


@pytest.mark.parametrize(("problem", "own", "item", "text", "points"), ROWS)
def test_an_own_clock_is_charged_once(key, problem, own, item, text, points):
    answers = {f"{problem}.{id}": said for id, said in own.items()} | {f"{problem}.{item}": text}
    assert marks_of(key, answers)[f"{problem}.{item}"].awarded == points
