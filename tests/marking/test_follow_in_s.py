"""A transfer function follows from the own time constant and final value; worked out by hand.

6 V on 3 kΩ, then 6 kΩ beside 5 µF: tau = 2 kΩ · 5 µF = 10 ms, v → 4 V, H = (2/3)/(1 + 0.01 s), of R1 1 - H; h = 66.67 e^(-100t).
Whoever has 20 ms finds (2/3)/(1 + 0.02 s) and 33.33 e^(-50t), whoever has 3 V 0.5/(1 + 0.01 s) and 50 e^(-100t).
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = """
title = "Filter (invented)"
[[problem]]
id = "p"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "6 u(t) - 6 u(t - 50 ms) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "3 kohm"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "6 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "5 uF"},
]
item = [
  {id = "tau", find = "time constant", points = 1},
  {id = "vf", find = "final value", voltage = "C1", points = 1},
  {id = "h", find = "transfer function", voltage = "C1", of = "Vs", points = 2},
  {id = "hr", find = "transfer function", voltage = "R1", of = "Vs", points = 2},
  {id = "ht", find = "impulse response", voltage = "C1", of = "Vs", points = 2},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "filter.toml"))


@pytest.mark.parametrize(
    ("tau", "vf", "item", "text", "points"),
    [
        ("20 ms", "4 V", "h", "0.6667/(1+0.02s)", 2), ("20 ms", "4 V", "h", "33.33/(s+50)", 2),
        ("10 ms", "3 V", "h", "0.5/(1+0.01s)", 2), ("20 ms", "3 V", "h", "0.5/(1+0.02s)", 2),
        ("20 ms", "3 V", "h", "0.6667/(1+0.02s)", 2),  # whoever put the gain right
        ("20 ms", "4 V", "h", "0.6667/(1+0.03s)", 0), ("10 ms", "4 V", "h", "0.6667/(1+0.02s)", 0),
        ("20 ms", "4 V", "hr", "(0.3333+0.02s)/(1+0.02s)", 2),
        ("20 ms", "4 V", "ht", "33.33 e^(-50t)", 2), ("10 ms", "3 V", "ht", "50 e^(-100t)", 2),
    ],
)  # fmt: skip
def test_a_transfer_function_follows(key, tau, vf, item, text, points):
    marks = marks_of(key, {"p.tau": tau, "p.vf": vf, f"p.{item}": text})
    assert marks[f"p.{item}"].awarded == points
