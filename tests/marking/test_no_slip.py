"""What a catalogued mistake gives is no slip by ten or a hundred; worked out by hand.

`coil`: 90 Ω in series with 10 Ω: 100 Ω; without the 90 Ω 10 Ω.  `tank`: 20 V · 1/10 = 2 V, and 20 V is the source's.
`plain`: 0.04 H, 10 Ω: 4 ms, and 400 ms is the product of both, or a hundred times as long: an ohm times a henry is no second.
`pair`: 50 Ω, 0.05 H, 2 μF in parallel: 1/(2RC) = 5000 /s, and R/(2L) = 500 /s.
`wire`: 999 Ω in series with 1 Ω: 1 kΩ; without the 999 Ω 1 Ω, or Ω for kΩ.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

COIL = """
[[problem]]
id = "{id}"
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], step = {{before = "0 V", after = "10 V"}}}},
  {{name = "R1", kind = "resistor", between = ["a", "b"], value = "{other}"}},
  {{name = "R2", kind = "resistor", between = ["b", "c"], value = "{series}"}},
  {{name = "L1", kind = "inductor", between = ["c", "g"], value = "0.04 H"}},
]
item = [{{id = "seen", find = "resistance seen", points = 2}}, {{id = "tau", find = "time constant", points = 2}}]
"""
RUBRIC = (
    'title = "No slips (invented)"\n'
    + COIL.format(id="coil", other="10 ohm", series="90 ohm")
    + COIL.format(id="plain", other="9 ohm", series="1 ohm")
    + COIL.format(id="wire", other="1 ohm", series="999 ohm")
    + """
[[problem]]
id = "tank"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "20 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "9 kohm"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "1 uF"},
]
item = [{id = "end", find = "final value", voltage = "C1", points = 2}]
[[problem]]
id = "pair"
ground = "g"
element = [
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "50 ohm"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "50 mH", initial = "1 A"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "2 uF", initial = "2 V"},
]
item = [{id = "alpha", find = "damping coefficient", points = 2}]
"""
)


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "slips.toml"))


@pytest.mark.parametrize(
    ("place", "text", "points", "mistake"),
    [
        ("coil.seen", "10 ohm", 0, "own-series-resistor-lost"),
        ("coil.seen", "1 kohm", 1, "prefix-slip"),
        ("coil.seen", "100 kohm", 1, "prefix-slip"),
        ("wire.seen", "1 ohm", 1, "own-series-resistor-lost"),
        ("plain.tau", "400 ms", 1, "wrong-combination"),
        ("pair.alpha", "500 1/s", 0, "series-parallel-damping-exchanged"),
        ("pair.alpha", "50 1/s", 1, "prefix-slip"),
        ("tank.end", "20 V", 0, "final-is-source-value"),
        ("tank.end", "200 V", 1, "prefix-slip"),
        ("tank.end", "0.2 V", 1, "prefix-slip"),
        ("tank.end", "2 mV", 1, "prefix-slip"),
    ],
)
def test_points(key, place, text, points, mistake):
    mark = marks_of(key, {place: text})[place]
    assert mark.awarded == points
    assert mistake in mark.mistakes
