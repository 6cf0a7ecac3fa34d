"""What a response that never settles is left with, the transient forgotten; worked out by hand.

`ramp`: 6t V on 2 Ω and 1 H: i = 3t - 1.5 + 1.5 e^(-2t) A; initial value, initial slope (3 - 3 = 0), forced part, time constant and form, a point each.
`wave`: 10 cos 3t V on 4 Ω and 1 H: i = 1.6 cos 3t + 1.2 sin 3t - 1.6 e^(-4t) A, or 2 cos(3t - 36.87°) and the same transient; the frequency besides.
`quick`: 12 e^(-t) V on 6 Ω, 1 H, 1/8 F: alpha = 3, omega0^2 = 8, and of v_C 12 · 8/(1 - 6 + 8) = 32 e^(-t) V is forced; with alpha = 2 96/5 = 19.2.
`side`: 3 e^(-2t) A on 1/8 Ω, 1/16 H, 1 F: alpha = 4, omega0^2 = 16, -2 · 3/(4 - 16 + 16) = -1.5 e^(-2t) V; with alpha = 3 -6/8 = -0.75.
`line`: 2 V, then 1 mA into 2 μF: v = 2 + 500t V, with no transient.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = """
title = "Forced (invented)"
[[problem]]
id = "ramp"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "6 t u(t) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "2 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "1 H"},
]
item = [{id = "i", find = "expression", current = "L1", points = 5}, {id = "v", find = "expression", voltage = "R1", points = 5}]
[[problem]]
id = "wave"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "10 cos(3 t) u(t) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "1 H"},
]
item = [{id = "i", find = "expression", current = "L1", points = 6}]
[[problem]]
id = "line"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], waveform = "u(t) mA"},
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "2 uF", initial = "2 V"},
]
item = [{id = "v", find = "expression", voltage = "C1", points = 4}]

[[problem]]
id = "quick"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "12 e^(-t) u(t) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "6 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "1 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "0.125 F"},
]
item = [{id = "alpha", find = "damping coefficient", points = 1}, {id = "v", find = "forced part", voltage = "C1", points = 4}]
[[problem]]
id = "side"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], waveform = "3 e^(-2t) u(t) A"},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "0.125 ohm"},
  {name = "L1", kind = "inductor", between = ["a", "g"], value = "0.0625 H"},
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "1 F"},
]
item = [{id = "alpha", find = "damping coefficient", points = 1}, {id = "v", find = "forced part", voltage = "C1", points = 4}]
"""
ROWS = [
    ("ramp.i", "3t - 1.5 + 1.5 e^(-2t) A", 5),
    ("ramp.i", "3t - 1.5 A", 1),
    ("ramp.i", "3t - 1.5 + 1.5 e^(-4t) A", 3),  # slope and time constant
    ("ramp.i", "2t - 1 + e^(-2t) A", 4),
    ("ramp.i", "5t - 4 A", 0),
    ("ramp.v", "6t - 3 V", 1),
    ("wave.i", "2 cos(3t - 36.87°) - 1.6 e^(-4t) A", 6),
    ("wave.i", "2 cos(3t - 36.87°) A", 2),  # forced part and frequency
    ("wave.i", "2.5 cos(3t - 36.87°) A", 1),
    ("line.v", "2 + 500t V", 4),
]


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "forced.toml"))


@pytest.mark.parametrize(("place", "text", "points"), ROWS)
def test_points(key, place, text, points):
    assert marks_of(key, {place: text})[place].awarded == points


@pytest.mark.parametrize(
    ("problem", "alpha", "forced", "points"),
    [
        ("quick", "2 1/s", "19.2 e^(-t) V", 4),
        ("quick", "2 1/s", "25 e^(-t) V", 3),  # the initial value neither right nor following
        ("quick", "3 1/s", "19.2 e^(-t) V", 3),
        ("side", "3 1/s", "-0.75 e^(-2t) V", 4),
        ("side", "4 1/s", "-0.75 e^(-2t) V", 3),
    ],
)
def test_a_forced_part_follows_from_the_own_damping(key, problem, alpha, forced, points):
    answers = {f"{problem}.alpha": alpha, f"{problem}.v": forced}
    assert marks_of(key, answers)[f"{problem}.v"].awarded == points


def test_a_forced_part_is_not_what_another_element_has(key):
    assert not marks_of(key, {"ramp.v": "6t - 3 V"})["ramp.v"].mistakes


def test_a_line_is_another_where_it_starts_elsewhere(key):
    assert marks_of(key, {"line.v": "500t V"})["line.v"].awarded < 4


def test_a_final_value_that_a_rubric_weighs_is_called_forced_part_where_nothing_settles():
    weighed = RUBRIC.replace(
        'current = "L1", points = 6}', 'current = "L1", points = 6, parts = {"final value" = 4, "time constant" = 2}}'
    )
    key = build_key(read_rubric(weighed.encode(), "forced.toml"))
    parts = marks_of(key, {"wave.i": "2 cos(3t - 36.87°) A"})["wave.i"].parts
    assert [(part.name, part.awarded) for part in parts] == [("forced part", 4), ("time constant", 0)]
