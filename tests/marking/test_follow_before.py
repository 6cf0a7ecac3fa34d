"""A value just before a switching of what is no state, from own values of the states and from the own response before it.

All points were worked out by hand.  `pump`: 10 V on 1 kΩ and 10 μF for 10 ms: 10/e = 3.679 mA; with 20 ms for tau 3.935 V, so that
6.065 V and mA are left (by C dv/dt 3.033 mA).  `hoist`: of 4 A 6 Ω beside 2 Ω with 80 mH leave 3 A, tau 10 ms; with 20 ms 1.896 A at
20 ms, 2.104 A and 12.62 V at R1, 12.62 - 3.79 = 8.83 V at the coil (by L di/dt 4.415 V).  `tank`: 12 V, 2 kΩ, 4 kΩ beside 1 μF: 8 V and
2 mA before; with 6 V 3 mA through R1 and 1.5 mA through R2.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

PUMP = """
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "10 uF"},
  {name = "S2", kind = "switch", between = ["c", "d"], closes = "10 ms"},
  {name = "R2", kind = "resistor", between = ["d", "g"], value = "4 kohm"},
]
"""
HOIST = """
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], step = {before = "0 A", after = "4 A"}},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "6 ohm"},
  {name = "L1", kind = "inductor", between = ["a", "b"], value = "80 mH"},
  {name = "R2", kind = "resistor", between = ["b", "c"], value = "2 ohm"},
  {name = "S1", kind = "switch", between = ["c", "g"], opens = "20 ms"},
  {name = "R3", kind = "resistor", between = ["c", "g"], value = "8 ohm"},
]
"""
TANK = """
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], opens = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "2 kohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "4 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF"},
]
"""
EARLIER = {
    "expression": 'find = "expression"',
    "at": 'find = "value at", at = "10 ms"',
    "before": 'find = "value just before switching", after = "10 ms"',
    "after": 'find = "initial value", after = "10 ms"',
}
SLOW, COIL, SIX = "10(1 - e^(-t/20ms)) V", "3(1 - e^(-t/20ms)) A", "6 V"
ROWS = [
    (PUMP, "expression", SLOW, 'current = "R1"', "6.065 mA", 2),
    (PUMP, "expression", SLOW, 'current = "R1"', "5 mA", 0),
    (PUMP, "expression", "10(1 - e^(-t/10ms)) V", 'current = "R1"', "6.065 mA", 0),
    (PUMP, "expression", SLOW, 'voltage = "R1"', "6.065 V", 2),
    (PUMP, "expression", SLOW, 'current = "C1"', "6.065 mA", 2),
    (PUMP, "expression", SLOW, 'current = "C1"', "3.033 mA", 2),
    (PUMP, "at", "3.935 V", 'current = "C1"', "6.065 mA", 2),
    (PUMP, "before", "3.935 V", 'current = "R1"', "6.065 mA", 2),
    (PUMP, "before", "3.935 V", 'current = "R1"', "3.935 mA", 0),
    (PUMP, "after", "3.935 V", 'current = "R1"', "6.065 mA", 2),
    (HOIST, "expression", COIL, 'current = "R1"', "2.104 A", 2),
    (HOIST, "expression", COIL, 'voltage = "L1"', "8.83 V", 2),
    (HOIST, "expression", COIL, 'voltage = "L1"', "4.415 V", 2),
    (HOIST, "expression", COIL, 'voltage = "L1"', "16.8 V", 0),
    (TANK, "first", SIX, 'current = "R1"', "3 mA", 2),
    (TANK, "first", SIX, 'current = "R2"', "1.5 mA", 2),
    (TANK, "first", SIX, 'current = "R2"', "3 mA", 2),  # what R1 carries, as the capacitor takes none
    (TANK, "first", SIX, 'current = "R2"', "2.4 mA", 0),
]


@pytest.mark.parametrize(("circuit", "earlier", "own", "signal", "text", "points"), ROWS)
def test_what_holds_just_before_follows_from_the_own_state(circuit, earlier, own, signal, text, points):
    state = 'current = "L1"' if circuit == HOIST else 'voltage = "C1"'
    when = {PUMP: ', after = "10 ms"', HOIST: ', after = "20 ms"', TANK: ""}[circuit]
    asked = EARLIER.get(earlier, 'find = "value just before switching"')
    items = f"""item = [
  {{id = "x", {asked}, {state}, points = 2}},
  {{id = "y", find = "value just before switching"{when}, {signal}, points = 2}},
]"""
    rubric = f'title = "Before (invented)"\n[marking]\ntolerance = "1 %"\n[[problem]]\nid = "p"\n{circuit}\n{items}\n'
    key = build_key(read_rubric(rubric.encode(), "before.toml"))
    assert marks_of(key, {"p.x": own, "p.y": text})["p.y"].awarded == points
