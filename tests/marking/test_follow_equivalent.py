"""What follows from an own equivalent circuit at the storage element; all points worked out by hand before any program saw them.

`crane`: v_oc = 20 · 12/16 = 15 V, R = 4 ∥ 12 + 2 = 5 Ω, i(0) = 6/5 = 1.2 A, i(∞) = 3 A, tau = 0.1 s, v_L(0+) = 15 - 6 = 9 V, di/dt = 18 A/s.
With 6 Ω: 2.5 A, 83.3 ms, 15 - 7.2 = 7.8 V, 15.6 A/s.  With 16 V: 3.2 A, 10 V.  With both: 2.667 A, 8.8 V.
`tank`: i_sc = 6 mA · 3/5 = 3.6 mA, R = 5 kΩ, v_oc = 18 V, v(0) = 6 V, i_C(0+) = 12 V/5 kΩ = 2.4 mA, tau = 10 ms, dv/dt = 1200 V/s.
With 1.2 kΩ: 10 mA, 4.32 V (by 3.6 mA · 1.2 kΩ), 2.4 ms, 5000 V/s.  With 4 mA: 20 V, 14 V/5 kΩ = 2.8 mA.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = """
title = "Equivalents (invented)"
[[problem]]
id = "crane"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "8 V", after = "20 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "4 ohm"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "12 ohm"},
  {name = "R3", kind = "resistor", between = ["b", "c"], value = "2 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.5 H"},
]
item = [
  {id = "voc", find = "open-circuit voltage", by = "L1", points = 1},
  {id = "seen", find = "resistance seen", points = 1},
  {id = "v0", find = "initial value", voltage = "L1", points = 1},
  {id = "final", find = "final value", current = "L1", points = 1},
  {id = "slope", find = "initial slope", current = "L1", points = 1},
  {id = "i", find = "expression", current = "L1", points = 4},
  {id = "v", find = "expression", voltage = "L1", points = 4},
]
[[problem]]
id = "tank"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], step = {before = "2 mA", after = "6 mA"}},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "3 kohm"},
  {name = "R2", kind = "resistor", between = ["a", "b"], value = "2 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "2 uF"},
]
item = [
  {id = "isc", find = "short-circuit current", between = ["b", "g"], points = 1},
  {id = "seen", find = "resistance between", between = ["b", "g"], points = 1},
  {id = "tau", find = "time constant", points = 1},
  {id = "i0", find = "initial value", current = "C1", points = 1},
  {id = "final", find = "final value", voltage = "C1", points = 1},
  {id = "slope", find = "initial slope", voltage = "C1", points = 1},
  {id = "v", find = "expression", voltage = "C1", points = 4},
]
[[problem]]
id = "short"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "8 V", after = "20 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "4 ohm"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "12 ohm"},
  {name = "R3", kind = "resistor", between = ["b", "c"], value = "2 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.5 H"},
]
item = [
  {id = "seen", find = "resistance seen", points = 1},
  {id = "i", find = "expression", current = "L1", points = 4},
  {id = "v", find = "expression", voltage = "L1", points = 4},
]
[[problem]]
id = "twice"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], step = {before = "2 mA", after = "6 mA"}},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "3 kohm"},
  {name = "R2", kind = "resistor", between = ["a", "b"], value = "2 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "2 uF"},
]
item = [
  {id = "voc", find = "open-circuit voltage", by = "C1", points = 1},
  {id = "isc", find = "short-circuit current", by = "C1", points = 1},
  {id = "tau", find = "time constant", points = 1},
]
"""

SIX, SIXTEEN, BOTH = {"seen": "6 ohm"}, {"voc": "16 V"}, {"seen": "6 ohm", "voc": "16 V"}
LOW, MORE = {"seen": "1.2 kohm"}, {"isc": "4 mA"}
ROWS = [
    ("crane", SIX, "v0", "7.8 V", 1),
    ("crane", SIX, "v0", "8.5 V", 0),
    ("crane", {"seen": "5 ohm"}, "v0", "7.8 V", 0),
    ("crane", SIXTEEN, "v0", "10 V", 1),
    ("crane", BOTH, "v0", "8.8 V", 1),
    ("crane", {"seen": "6 ohm", "voc": "15 V"}, "v0", "8.8 V", 0),
    ("crane", {"seen": "-5 ohm"}, "v0", "21 V", 0),  # 15 + 6: no circuit has such a resistance
    ("crane", SIX, "final", "2.5 A", 1),
    ("crane", SIX, "final", "2.8 A", 0),
    ("crane", {"seen": "5 ohm"}, "final", "2.5 A", 0),
    ("crane", SIXTEEN, "final", "3.2 A", 1),
    ("crane", BOTH, "final", "2.667 A", 1),
    ("crane", SIX, "slope", "15.6 A/s", 1),
    ("crane", {}, "slope", "15.6 A/s", 0),
    ("crane", SIX, "i", "2.5 - 1.3 e^(-12t) A", 4),
    ("crane", {}, "i", "2.5 - 1.3 e^(-12t) A", 2),  # initial value and form
    ("crane", SIX, "v", "7.8 e^(-12t) V", 4),
    ("tank", LOW, "i0", "10 mA", 1),
    ("tank", LOW, "i0", "8 mA", 0),
    ("tank", {"seen": "5 kohm"}, "i0", "10 mA", 0),
    ("tank", MORE, "i0", "2.8 mA", 1),
    ("tank", LOW, "final", "4.32 V", 1),
    ("tank", LOW, "final", "18 V", 1),  # right
    ("tank", {}, "final", "4.32 V", 0),
    ("tank", MORE, "final", "20 V", 1),
    ("tank", LOW, "tau", "2.4 ms", 1),
    ("tank", {}, "tau", "2.4 ms", 0),
    ("tank", LOW, "slope", "5000 V/s", 1),
    ("tank", LOW, "v", "4.32 + 1.68 e^(-t/2.4ms) V", 4),
    ("tank", LOW, "v", "18 - 12 e^(-t/2.4ms) V", 4),
    # 720 kV would follow, beside which 6 V and -12 V are both nothing: the initial value is wrong all the same
    ("tank", {"seen": "0.2 Gohm"}, "v", "18 - 30 e^(-100t) V", 3),
    ("short", SIX, "i", "2.5 - 1.3 e^(-12t) A", 4),
    ("short", SIX, "i", "3 - 1.8 e^(-12t) A", 4),
    ("short", SIX, "i", "2.8 - 1.6 e^(-12t) A", 3),  # the final value is neither right nor follows
    ("short", SIX, "v", "7.8 e^(-12t) V", 4),
    ("twice", {"isc": "6 mA"}, "tau", "6 ms", 1),  # 18 V/6 mA · 2 μF
    ("twice", {"voc": "12 V", "isc": "6 mA"}, "tau", "4 ms", 1),
    ("twice", {}, "tau", "6 ms", 0),
]


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "equivalent.toml"))


@pytest.mark.parametrize(("problem", "own", "item", "text", "points"), ROWS)
def test_an_own_equivalent_circuit_is_charged_once(key, problem, own, item, text, points):
    answers = {f"{problem}.{id}": said for id, said in own.items()} | {f"{problem}.{item}": text}
    assert marks_of(key, answers)[f"{problem}.{item}"].awarded == points
