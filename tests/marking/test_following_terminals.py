"""What follows from a resistance at an element's own terminals, from a combined element, from what is held while nothing
happens, and in a stretch of time from the own answers on all the intervals that it spans; of an
equation coefficient by coefficient.

All circuits are invented; the points were worked out by hand before any run.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = """
title = "Ferry landing, invented"

# L1, joined at 10 ms, sees 6 || 3 = 2 ohm: 250 ms; R5 hangs elsewhere and has 2 ohm by chance.
[[problem]]
id = "winch"
title = "Winch"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "n"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["n", "b"], value = "6 ohm"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "3 ohm"},
  {name = "S2", kind = "switch", between = ["b", "c"], closes = "10 ms"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.5 H"},
  {name = "R5", kind = "resistor", between = ["x", "g"], value = "2 ohm"},
  {name = "Is", kind = "current source", between = ["g", "x"], value = "1 A"},
]
item = [
  {id = "other", find = "resistance between", between = ["x", "g"], points = 1},
  {id = "rth", find = "resistance between", between = ["b", "g"], points = 1},
  {id = "tau", find = "time constant", after = "10 ms", points = 1},
]

# Both capacitors behind S2: 30 + 60 = 90 uF, 2 k + 3 k = 5 kohm: 450 ms.
[[problem]]
id = "horn"
title = "Horn"
ground = "g"
element = [
  {name = "C1", kind = "capacitor", between = ["p", "g"], value = "30 uF", initial = "40 V"},
  {name = "C2", kind = "capacitor", between = ["p", "g"], value = "60 uF"},
  {name = "S2", kind = "switch", between = ["p", "r"], closes = "10 ms"},
  {name = "R1", kind = "resistor", between = ["r", "c"], value = "2 kohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "3 kohm"},
]
item = [
  {id = "ceq", find = "equivalent capacitance", of = ["C1", "C2"], points = 1},
  {id = "tau", find = "time constant", after = "10 ms", points = 1},
]

# The same without a question for the combined capacitor; rth is asked before the switch joins its terminals to them.
[[problem]]
id = "bell"
title = "Bell"
ground = "g"
element = [
  {name = "S0", kind = "switch", between = ["c", "d"], opens = "0 s"},
  {name = "R0", kind = "resistor", between = ["d", "g"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["p", "g"], value = "30 uF", initial = "40 V"},
  {name = "C2", kind = "capacitor", between = ["p", "g"], value = "60 uF", initial = "40 V"},
  {name = "S2", kind = "switch", between = ["p", "r"], closes = "10 ms"},
  {name = "R1", kind = "resistor", between = ["r", "c"], value = "2 kohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "3 kohm"},
]
item = [
  {id = "rth", find = "resistance between", between = ["r", "g"], points = 1},
  {id = "tau", find = "time constant", after = "10 ms", points = 1},
  {id = "v0", find = "initial value", voltage = "C1", points = 1},
  {id = "v", find = "value at", voltage = "C1", at = "100 ms", points = 1},
]

# i = 10/5 = 2 A, held while S1 is a short across the coil; then through R1: v = -2·20 = -40 V.
[[problem]]
id = "brake"
title = "Brake"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["s", "g"], value = "10 V"},
  {name = "S0", kind = "switch", between = ["s", "n"], opens = "0 s"},
  {name = "R0", kind = "resistor", between = ["n", "a"], value = "5 ohm"},
  {name = "S1", kind = "switch", between = ["a", "g"], closes = "0 s", opens = "10 ms"},
  {name = "L1", kind = "inductor", between = ["a", "g"], value = "0.1 H"},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "20 ohm"},
]
item = [
  {id = "i0", find = "initial value", current = "L1", points = 1},
  {id = "before", find = "value just before switching", current = "L1", after = "10 ms", points = 1},
  {id = "i10", find = "initial value", current = "L1", after = "10 ms", points = 1},
  {id = "v10", find = "initial value", voltage = "R1", after = "10 ms", points = 1},
]

# At rest at 8 V, but not held: C1 would move from any other voltage, by R1.
[[problem]]
id = "lamp"
title = "Lamp"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["s", "g"], value = "8 V"},
  {name = "S0", kind = "switch", between = ["s", "d"], closes = "0 s"},
  {name = "R0", kind = "resistor", between = ["d", "g"], value = "1 kohm"},
  {name = "R1", kind = "resistor", between = ["s", "c"], value = "2 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "5 uF"},
  {name = "S1", kind = "switch", between = ["c", "e"], closes = "20 ms"},
  {name = "R2", kind = "resistor", between = ["e", "g"], value = "2 kohm"},
]
item = [
  {id = "v0", find = "initial value", voltage = "C1", points = 1},
  {id = "v20", find = "initial value", voltage = "C1", after = "20 ms", points = 1},
]

# L1 sees 6 ohm: 1/3 s, towards 2 A: i' + 3 i = 6.
[[problem]]
id = "fan"
title = "Fan"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "6 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "2 H"},
]
item = [
  {id = "tau", find = "time constant", points = 1},
  {id = "end", find = "final value", current = "L1", points = 1},
  {id = "de", find = "differential equation", current = "L1", points = 2},
]

# v = 20 e^(-10t) V, from 50 ms on 12.131 e^(-20(t-50ms)) V: 8 V at 70.8 ms, R1 takes 12.64 + 3.68 = 16.32 mJ, 0.787 + 0.607 mC.
[[problem]]
id = "flare"
title = "Flare"
ground = "g"
element = [
  {name = "C1", kind = "capacitor", between = ["p", "g"], value = "100 uF", initial = "20 V"},
  {name = "S1", kind = "switch", between = ["p", "n"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["n", "g"], value = "1 kohm"},
  {name = "S2", kind = "switch", between = ["n", "m"], closes = "50 ms"},
  {name = "R2", kind = "resistor", between = ["m", "g"], value = "1 kohm"},
]
item = [
  {id = "v", find = "response", voltage = "C1", points = 4},
  {id = "low", find = "time to reach", voltage = "C1", level = "8 V", from = "0 s", points = 1},
  {id = "heat", find = "energy dissipated", of = "R1", from = "0 s", points = 1},
  {id = "q", find = "charge passed", current = "R1", from = "0 s", points = 1},
]

[[problem]]
id = "heats"
title = "The flare's heats"
ground = "g"
element = [
  {name = "C1", kind = "capacitor", between = ["p", "g"], value = "100 uF", initial = "20 V"},
  {name = "S1", kind = "switch", between = ["p", "n"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["n", "g"], value = "1 kohm"},
  {name = "S2", kind = "switch", between = ["n", "m"], closes = "50 ms"},
  {name = "R2", kind = "resistor", between = ["m", "g"], value = "1 kohm"},
]
item = [
  {id = "h1", find = "energy dissipated", of = "R1", until = "50 ms", points = 1},
  {id = "h2", find = "energy dissipated", of = "R1", after = "50 ms", points = 1},
  {id = "heat", find = "energy dissipated", of = "R1", from = "0 s", points = 1},
]

# v = 12 (1 - e^(-50t)) V, from 40 ms on 6 + 4.376 e^(-100(t-40ms)) V: 9 V at 27.7 and 43.8 ms, falling through 7 V at 54.8 ms.
# R1 takes 0.707 mJ until 40 ms and 0.510 mJ from then until 80 ms.
[[problem]]
id = "mill"
title = "Mill"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "2 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "10 uF"},
  {name = "S2", kind = "switch", between = ["c", "d"], closes = "40 ms"},
  {name = "R2", kind = "resistor", between = ["d", "g"], value = "2 kohm"},
]
item = [
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "nine", find = "time to reach", voltage = "C1", level = "9 V", from = "0 s", points = 1},
  {id = "low", find = "time to reach", voltage = "C1", level = "7 V", direction = "falling", from = "0 s", points = 1},
  {id = "least", find = "minimum", voltage = "C1", from = "30 ms", until = "50 ms", points = 1},
  {id = "h1", find = "energy dissipated", of = "R1", until = "40 ms", points = 1},
  {id = "heat", find = "energy dissipated", of = "R1", from = "0 s", until = "80 ms", points = 1},
]

# The mill's, where the second expression is asked, too.
[[problem]]
id = "sluice"
title = "Sluice"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "2 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "10 uF"},
  {name = "S2", kind = "switch", between = ["c", "d"], closes = "40 ms"},
  {name = "R2", kind = "resistor", between = ["d", "g"], value = "2 kohm"},
]
item = [
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "v40", find = "expression", voltage = "C1", after = "40 ms", points = 4},
  {id = "nine", find = "time to reach", voltage = "C1", level = "9 V", from = "0 s", points = 1},
]

# 1/(2·10·20m) = 2.5 1/s, 1/sqrt(0.5·20m) = 10 rad/s, 3 A: i'' + 5 i' + 100 i = 300.
[[problem]]
id = "swing"
title = "Swing"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], value = "3 A"},
  {name = "S1", kind = "switch", between = ["a", "g"], opens = "0 s"},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "10 ohm"},
  {name = "L1", kind = "inductor", between = ["a", "g"], value = "0.5 H"},
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "20 mF"},
]
item = [
  {id = "alpha", find = "damping coefficient", points = 1},
  {id = "w0", find = "undamped natural frequency", points = 1},
  {id = "end", find = "final value", current = "L1", points = 1},
  {id = "de", find = "differential equation", current = "L1", points = 3},
]
"""

SWING = {"swing.alpha": "2.5 1/s", "swing.w0": "5 rad/s", "swing.end": "3 A"}
FLARE = "20 e^(-10t) V for t < 50 ms; 12.13 e^(-12.5(t-50ms)) V for t > 50 ms"  # 80 ms for 50 ms

CASES = [
    ({"winch.rth": "9 ohm", "winch.tau": "55.6 ms"}, "winch.tau", 1),  # 0.5/9
    ({"winch.rth": "9 ohm", "winch.tau": "500 ms"}, "winch.tau", 0),
    ({"winch.other": "5 ohm", "winch.tau": "100 ms"}, "winch.tau", 0),  # not what L1 sees
    ({"horn.ceq": "20 uF", "horn.tau": "100 ms"}, "horn.tau", 1),  # 5 k · 20 u
    ({"horn.ceq": "20 uF", "horn.tau": "150 ms"}, "horn.tau", 0),  # C1 alone
    ({"bell.rth": "1.2 kohm", "bell.tau": "108 ms"}, "bell.tau", 1),  # 1.2 k · 90 u
    ({"bell.rth": "1.2 kohm", "bell.tau": "36 ms"}, "bell.tau", 0),  # 1.2 k · 30 u
    ({"bell.v0": "30 V", "bell.v": "24.6 V"}, "bell.v", 1),  # 30 e^(-90/450) = 24.56
    ({"bell.v0": "30 V", "bell.v": "30 V"}, "bell.v", 0),
    ({"brake.i0": "3 A", "brake.before": "3 A"}, "brake.before", 1),
    ({"brake.i0": "3 A", "brake.i10": "3 A"}, "brake.i10", 1),
    ({"brake.i0": "3 A", "brake.v10": "-60 V"}, "brake.v10", 1),
    ({"brake.i0": "3 A", "brake.v10": "-50 V"}, "brake.v10", 0),
    # 50 + 80 ln(12.131/8) = 83.3 ms; 12.64 + 12.131^2/(1k·25) = 18.53 mJ; 0.787 + 12.131/(1k·12.5) = 1.757 mC
    ({"flare.v": FLARE, "flare.low": "83.3 ms"}, "flare.low", 1),
    ({"flare.v": FLARE, "flare.low": "91.6 ms"}, "flare.low", 0),  # the first interval's expression, gone on with
    ({"flare.v": FLARE, "flare.heat": "18.53 mJ"}, "flare.heat", 1),
    ({"flare.v": FLARE, "flare.heat": "5.89 mJ"}, "flare.heat", 0),  # the second interval alone
    ({"flare.v": FLARE, "flare.q": "1.757 mC"}, "flare.q", 1),
    ({"flare.v": FLARE, "flare.q": "0.97 mC"}, "flare.q", 0),
    ({"heats.h1": "10 mJ", "heats.h2": "3.68 mJ", "heats.heat": "13.68 mJ"}, "heats.heat", 1),
    ({"heats.h1": "10 mJ", "heats.h2": "3.68 mJ", "heats.heat": "10 mJ"}, "heats.heat", 0),
    ({"fan.tau": "0.5 s", "fan.end": "5 A", "fan.de": "di/dt + 2 i = 6"}, "fan.de", 2),  # 1/0.5 follows, 12/2 is right
    ({"fan.tau": "0.5 s", "fan.end": "5 A", "fan.de": "di/dt + 2 i = 10"}, "fan.de", 2),  # 2·5: both follow
    ({"fan.tau": "0.5 s", "fan.end": "5 A", "fan.de": "di/dt + 2 i = 9"}, "fan.de", 1),  # the first alone
    ({"fan.tau": "0.5 s", "fan.end": "5 A", "fan.de": "di/dt + 4 i = 6"}, "fan.de", 1),  # the second alone
    ({"fan.tau": "0.5 s", "fan.end": "5 A", "fan.de": "di/dt + 4 i = 9"}, "fan.de", 0),
    ({"lamp.v0": "6 V", "lamp.v20": "6 V"}, "lamp.v20", 0),
    # 11.78 V at 40 ms: 40 + 10 ln(5.78/1) = 57.5 ms; 6 + 5.78 e^(-1) = 8.127 V
    ({"mill.v": "12 (1 - e^(-100t)) V", "mill.low": "57.5 ms"}, "mill.low", 1),
    ({"mill.v": "12 (1 - e^(-100t)) V", "mill.least": "8.127 V"}, "mill.least", 1),
    ({"mill.v": "12 (1 - e^(-12.5t)) V", "mill.nine": "43.8 ms"}, "mill.nine", 0),  # 4.72 V at 40 ms: never 9 V
    ({"sluice.v": "12 (1 - e^(-12.5t)) V", "sluice.nine": "43.8 ms"}, "sluice.nine", 0),
    ({"sluice.v": "12 (1 - e^(-100t)) V", "sluice.nine": "13.9 ms"}, "sluice.nine", 1),  # 10 ln 4
    (
        {"sluice.v40": "3 + 7.376 e^(-100(t-40ms)) V", "sluice.nine": "42.1 ms"},
        "sluice.nine",
        0,
    ),  # 9 V at 27.7 ms before
    ({"mill.h1": "1 mJ", "mill.heat": "1.510 mJ"}, "mill.heat", 1),
    ({"mill.h1": "1 mJ", "mill.heat": "1 mJ"}, "mill.heat", 0),
    ({**SWING, "swing.de": "i'' + 5 i' + 25 i = 75"}, "swing.de", 3),
    ({**SWING, "swing.de": "i'' + 5 i' + 25 i = 300"}, "swing.de", 2),  # 25 and 300 are of two natural frequencies
    ({**SWING, "swing.de": "i'' + 5 i' + 100 i = 75"}, "swing.de", 2),
    ({**SWING, "swing.de": "i'' + 5 i' + 25 i = 9"}, "swing.de", 2),
    ({**SWING, "swing.end": "4 A", "swing.de": "i'' + 5 i' + 100 i = 400"}, "swing.de", 3),
]


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "ferry.toml"))


@pytest.mark.parametrize(("answers", "place", "points"), CASES)
def test_points(key, answers, place, points):
    written = tuple(Written(problem=p.split(".")[0], item=p.split(".")[1], text=text) for p, text in answers.items())
    marks = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    assert {f"{mark.problem}.{mark.item}": mark.awarded for mark in marks}[place] == pytest.approx(points)
