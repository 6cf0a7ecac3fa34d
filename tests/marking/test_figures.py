"""What figures are worth beside the tolerance; worked out by hand.

`tank`: 10 V · 1 kΩ/6 kΩ = 1.6667 V.  `coil`: 0.16 H/15 Ω = 10.667 ms, with an own 12 Ω 13.333 ms.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = """
title = "Figures (invented)"
[marking]
SETTINGS
[[problem]]
id = "tank"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "10 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "5 kohm"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "1 uF"},
]
item = [{id = "end", find = "final value", voltage = "C1", points = 4}]
[[problem]]
id = "coil"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "10 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "15 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "0.16 H"},
]
item = [
  {id = "seen", find = "resistance seen", points = 1},
  {id = "tau", find = "time constant", points = 4},
]
"""
THREE = 'tolerance = "0.1 %"\nfollowed_tolerance = "0.1 %"\nsignificant_figures = 3\n'
REQUIRED = 'significant_figures_rule = "required"\n'
TWO = 'tolerance = "1 %"\nsignificant_figures = 2\n' + REQUIRED


@pytest.mark.parametrize(
    ("settings", "answers", "points"),
    [
        (THREE + REQUIRED, {"tank.end": "1.67 V"}, 4),  # 0.2 % off, and rightly rounded
        (THREE + REQUIRED, {"tank.end": "1670 mV"}, 4),
        (THREE + REQUIRED, {"tank.end": "1.667 V"}, 4),
        (THREE + REQUIRED, {"tank.end": "1.7 V"}, 3),  # a figure too few: a quarter
        (THREE + REQUIRED, {"tank.end": "1.70 V"}, 0),  # three figures, and the last is wrong
        (THREE + REQUIRED, {"tank.end": "1.6 V"}, 0),
        (THREE + REQUIRED, {"tank.end": "1.66 V"}, 0),
        (THREE + REQUIRED, {"tank.end": "1.664 V"}, 0),
        (THREE + REQUIRED, {"tank.end": "2 V"}, 0),
        (THREE + REQUIRED, {"tank.end": "-1.67 V"}, 2),
        (THREE, {"tank.end": "1.67 V"}, 4),
        (THREE, {"tank.end": "1.7 V"}, 0),  # where figures are advised they have no cost, and the tolerance decides
        ('tolerance = "0.1 %"', {"tank.end": "1.67 V"}, 0),
        (TWO, {"coil.tau": "11 ms"}, 4),
        (TWO, {"coil.tau": "0.011 s"}, 4),
        (TWO, {"coil.tau": "10.7 ms"}, 4),
        (TWO, {"coil.tau": "10 ms"}, 0),
        (TWO, {"coil.tau": "12 ms"}, 0),
        (TWO, {"coil.tau": "11 s"}, 2),
        (THREE + REQUIRED, {"coil.seen": "12 ohm", "coil.tau": "13.3 ms"}, 4),
        (THREE + REQUIRED, {"coil.seen": "12 ohm", "coil.tau": "13 ms"}, 3),
        (THREE + REQUIRED, {"coil.seen": "12 ohm", "coil.tau": "13.4 ms"}, 0),
    ],
)
def test_points(settings, answers, points):
    key = build_key(read_rubric(RUBRIC.replace("SETTINGS", settings).encode(), "figures.toml"))
    *_, last = answers
    assert marks_of(key, answers)[last].awarded == points


def test_a_point_between_thousands_makes_up_for_no_prefix():
    """10.667 s: whoever writes 10.667 ms may mean 10667 ms, which a person says; until then it is a slip with the prefix."""
    key = build_key(read_rubric(RUBRIC.replace("SETTINGS", "").replace('"0.16 H"', '"160 H"').encode(), "figures.toml"))
    mark = marks_of(key, {"coil.tau": "10.667 ms"})["coil.tau"]
    assert (mark.awarded, mark.review) == (2, True)


def test_a_number_without_percent_is_explained_as_percent():
    """4 rad/s to 5 rad/s, damping ratio 0.8: exp(-4 pi/3) = 1.516 %; 1.5 is that, rounded too far for a tolerance of 1 %."""
    key = build_key(read_rubric(PERCENT.encode(), "percent.toml"))
    found = [marks_of(key, {"wave.over": text})["wave.over"].mistakes for text in ("1.5 %", "1.5")]
    assert found[0] == found[1] == ("rounded-too-far",)


PERCENT = """
title = "Percent (invented)"
[[problem]]
id = "wave"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "1 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "8 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "1 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "0.04 F"},
]
item = [{id = "over", find = "percent overshoot", voltage = "C1", points = 1, tolerance = "1 %", key = "1.516 %"}]
"""
