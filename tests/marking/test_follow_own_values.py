"""What follows from own values at an instant where a state jumps, from a turning point's instant, and by a key that is a formula.

All points were worked out by hand before any program saw them.  `tanks`: 4 μF at 30 V joined to 2 μF at 0: 4 · 30/6 = 20 V,
1.8 - 1.2 = 0.6 mJ lost, 1 kΩ · 6 μF = 6 ms.  With 24 V before: 16 V, 1.152 - 0.768 = 0.384 mJ; with 16 V after alone 1.032 mJ.
`winch`: 0.2 H at 4 A and 0.3 H at 1 A the other way: (0.8 - 0.3)/0.5 = 1 A, 1.6 + 0.15 - 0.25 = 1.5 J, 6 V/9 Ω = 0.667 A, rate 18 1/s.
With 6 A before: 1.8 A, 3.6 + 0.15 - 0.81 = 2.94 J; with 2 A the other way: 0.4 A, 2.16 J; with both 1.2 A, 3.84 J.
`boom`: 0.1 H at 4 A and 0.3 H at rest: 1 A, 0.8 - 0.2 = 0.6 J.  With 2 A before: 0.5 A, 0.2 - 0.05 = 0.15 J.
`bell`: 10 V for 20 ms on 1 kΩ and 10 μF: 8.647 V.  With 6.32 V: that is the peak, and -6.32 V, -6.32 mA at the resistor after.
`drum`: 4 V, then 12 V on 4 Ω and 8 mH, tau 2 ms: 1 A to 3 A, 2.264 A at 2 ms, 2.729 A at 4 ms, 12 - 10.917 = 1.083 V at the coil then.
With 2.5 A at 4 ms: 10 V at the resistor, 2 V at the coil.  With 2 A at the start: 2.632 A at 2 ms; 12 - 8 = 4 V is the coil's largest.
`vat`: 5 V, then 15 V on 1 kΩ and 10 μF: 10 mA at first; with 8 V at the start 7 mA; 15 - 7/e = 12.425 V at 10 ms.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = """
title = "Own values (invented)"
[[problem]]
id = "tanks"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "30 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], opens = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "n"], value = "2 kohm"},
  {name = "C1", kind = "capacitor", between = ["n", "g"], value = "4 uF"},
  {name = "S2", kind = "switch", between = ["n", "m"], closes = "0 s"},
  {name = "C2", kind = "capacitor", between = ["m", "g"], value = "2 uF"},
  {name = "R2", kind = "resistor", between = ["m", "g"], value = "1 kohm"},
]
item = [
  {id = "before", find = "value just before switching", voltage = "C1", points = 1},
  {id = "start", find = "initial value", voltage = "C2", points = 2},
  {id = "lost", find = "energy lost", points = 2},
  {id = "v", find = "expression", voltage = "C1", points = 4},
]
[[problem]]
id = "winch"
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "3 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "0.2 H"},
  {name = "S1", kind = "switch", between = ["c", "g"], opens = "0 s"},
  {name = "L2", kind = "inductor", between = ["d", "c"], value = "0.3 H"},
  {name = "R2", kind = "resistor", between = ["d", "e"], value = "6 ohm"},
  {name = "V2", kind = "voltage source", between = ["e", "g"], value = "6 V"},
]
item = [
  {id = "b1", find = "value just before switching", current = "L1", points = 1},
  {id = "b2", find = "value just before switching", current = "L2", points = 1},
  {id = "start", find = "initial value", current = "L1", points = 2},
  {id = "lost", find = "energy lost", points = 2},
  {id = "i", find = "expression", current = "L2", points = 4},
]
[[problem]]
id = "boom"
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], value = "20 V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "5 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "0.1 H"},
  {name = "S1", kind = "switch", between = ["c", "g"], opens = "0 s"},
  {name = "L2", kind = "inductor", between = ["c", "d"], value = "0.3 H"},
  {name = "R2", kind = "resistor", between = ["d", "g"], value = "3 ohm"},
]
item = [
  {id = "before", find = "value just before switching", current = "L1", points = 1},
  {id = "start", find = "initial value", current = "L1", points = 2},
  {id = "lost", find = "energy lost", points = 2},
]
[[problem]]
id = "bell"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "10 u(t) - 10 u(t - 20 ms) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "10 uF"},
]
item = [
  {id = "v20", find = "value at", voltage = "C1", at = "20 ms", points = 2},
  {id = "peak", find = "maximum", voltage = "C1", until = "60 ms", points = 2},
  {id = "low", find = "minimum", voltage = "R1", until = "60 ms", points = 2},
  {id = "ilow", find = "minimum", current = "R1", until = "60 ms", points = 2},
]
[[problem]]
id = "drum"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "4 V", after = "12 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "8 mH"},
]
item = [
  {id = "i0", find = "initial value", current = "L1", points = 1},
  {id = "change", find = "stated value", key = "i0 - 3 A", points = 1, text = "The factor of the exponential"},
  {id = "i2", find = "value at", current = "L1", at = "2 ms", points = 2},
  {id = "i4", find = "value at", current = "L1", at = "4 ms", points = 2},
  {id = "vtop", find = "maximum", voltage = "L1", points = 2},
  {id = "itop", find = "maximum", current = "R1", until = "4 ms", points = 2},
  {id = "rtop", find = "maximum", voltage = "R1", until = "4 ms", points = 2},
  {id = "vlow", find = "minimum", voltage = "L1", until = "4 ms", points = 2},
]
[[problem]]
id = "vat"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "5 V", after = "15 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "10 uF"},
]
item = [
  {id = "v0", find = "initial value", voltage = "C1", points = 1},
  {id = "k", find = "stated value", key = "(15 V - v0)/1 kohm", points = 1, text = "The current at first"},
  {id = "v10", find = "value at", voltage = "C1", at = "10 ms", points = 2},
  {id = "final", find = "final value", voltage = "C1", points = 1},
  {id = "top", find = "maximum", voltage = "C1", points = 2},
]
[[problem]]
id = "table"
item = [
  {id = "ia", find = "stated value", key = "4 mA", points = 1, text = "Read from the plot"},
  {id = "vb", find = "stated value", key = "ia * 3 kohm", points = 2, text = "The voltage with it"},
]
"""

LOW, HIGH, TURNED, BOTH = {"before": "24 V"}, {"b1": "6 A"}, {"b2": "2 A"}, {"b1": "6 A", "b2": "2 A"}
EARLY, LATE, TWO, EIGHT = {"v20": "6.32 V"}, {"i4": "2.5 A"}, {"i0": "2 A"}, {"v0": "8 V"}
ROWS = [
    # what is kept where a state jumps
    ("tanks", LOW, "start", "16 V", 2),
    ("tanks", LOW, "start", "24 V", 0),  # as if nothing jumped
    ("tanks", {"before": "30 V"}, "start", "16 V", 0),
    ("tanks", LOW | {"start": "16 V"}, "lost", "0.384 mJ", 2),
    ("tanks", LOW, "lost", "0.384 mJ", 2),
    ("tanks", {"start": "16 V"}, "lost", "1.032 mJ", 2),
    ("tanks", LOW | {"start": "16 V"}, "lost", "0.5 mJ", 0),
    ("tanks", LOW | {"start": "24 V"}, "lost", "0 J", 0),
    ("tanks", LOW | {"start": "16 V"}, "v", "16 e^(-t/6ms) V", 4),
    ("tanks", {"start": "20 V"}, "v", "16 e^(-t/6ms) V", 3),
    ("winch", HIGH, "start", "1.8 A", 2),
    ("winch", TURNED, "start", "0.4 A", 2),
    ("winch", BOTH, "start", "1.2 A", 2),
    ("winch", HIGH, "start", "6 A", 0),
    ("winch", HIGH, "start", "2.4 A", 0),  # the other coil's flux left out
    ("winch", {"b1": "4 A"}, "start", "1.8 A", 0),
    ("winch", HIGH | {"start": "1.8 A"}, "lost", "2.94 J", 2),
    ("winch", TURNED | {"start": "0.4 A"}, "lost", "2.16 J", 2),
    ("winch", BOTH | {"start": "1.2 A"}, "lost", "3.84 J", 2),
    ("winch", HIGH | {"start": "1.8 A"}, "lost", "3.75 J", 0),  # what is left is not taken off
    ("winch", HIGH | {"start": "1.8 A"}, "i", "-0.667 - 1.133 e^(-18t) A", 4),
    ("winch", HIGH | {"start": "1.8 A"}, "i", "-0.667 - 2.133 e^(-18t) A", 3),
    ("winch", {"start": "1 A"}, "i", "-0.667 - 1.133 e^(-18t) A", 3),
    ("boom", {"before": "2 A", "start": "0.5 A"}, "lost", "0.15 J", 2),
    ("boom", {"before": "2 A"}, "lost", "0.15 J", 2),
    ("boom", {"start": "2 A"}, "lost", "0 J", 0),  # nothing left to work out
    ("boom", {"before": "2 A", "start": "0.5 A"}, "lost", "0.19 J", 0),  # what the other coil has then left out
    # a largest or smallest value at an instant whose own value, or one that it hangs on, was asked
    ("bell", EARLY, "peak", "6.32 V", 2),
    ("bell", EARLY, "low", "-6.32 V", 2),
    ("bell", EARLY, "ilow", "-6.32 mA", 2),
    ("bell", EARLY, "peak", "7 V", 0),
    ("bell", EARLY, "low", "-3.16 V", 0),
    ("bell", {"v20": "8.647 V"}, "peak", "6.32 V", 0),
    ("drum", LATE, "itop", "2.5 A", 2),
    ("drum", LATE, "rtop", "10 V", 2),
    ("drum", LATE, "vlow", "2 V", 2),
    ("drum", LATE, "rtop", "9 V", 0),
    ("drum", {"i4": "2.729 A"}, "vlow", "2 V", 0),
    ("drum", TWO, "vtop", "4 V", 2),
    ("vat", {"final": "12 V"}, "top", "12 V", 2),
    ("vat", {"v10": "12 V", "final": "15 V"}, "top", "12 V", 0),  # it goes on rising
    # a change of nothing leaves nothing to work out
    ("drum", TWO, "i2", "2.632 A", 2),
    ("drum", {"i0": "3 A"}, "i2", "3 A", 2),
    ("vat", EIGHT, "v10", "12.425 V", 2),
    ("vat", {"v0": "15 V"}, "v10", "15 V", 2),
    # a key that is a formula of earlier items
    ("drum", TWO, "change", "-1 A", 1),
    ("drum", TWO, "change", "-1.5 A", 0),
    ("drum", {"i0": "1 A"}, "change", "-1 A", 0),
    ("vat", EIGHT, "k", "7 mA", 1),
    ("vat", {"v0": "5 V"}, "k", "7 mA", 0),
    ("table", {"ia": "5 mA"}, "vb", "15 V", 2),
    ("table", {"ia": "4 mA"}, "vb", "15 V", 0),
]


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "own_values.toml"))


@pytest.mark.parametrize(("problem", "own", "item", "text", "points"), ROWS)
def test_what_follows_from_own_values_is_paid_and_nothing_else(key, problem, own, item, text, points):
    answers = {f"{problem}.{id}": said for id, said in own.items()} | {f"{problem}.{item}": text}
    assert marks_of(key, answers)[f"{problem}.{item}"].awarded == points
