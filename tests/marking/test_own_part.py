"""A storage element that does not act on what is asked changes neither points nor diagnoses; points by hand.

`filter`: 12 V, R seen 2.4 kΩ, tau 60 ms, v = 12 (1 - e^(-t/60 ms)) V, 6 V at 41.59 ms; a coil of 20 ms hangs on the same source.
`apart`: until t = 0 one circuit, then v = 12 e^(-t/20 ms) V, i = 0.12 e^(-t/10 ms) A, and 0.5 H (0.12 A)^2 / 2 = 3.6 mJ turn to heat.
`line`: 2 mA through 3 kΩ beside 2 μF and 1 kΩ beside 4 μF: v = 6 (1 - e^(-t/6 ms)) V.
`stages`: the buffer keeps the second stage off the first: v = 10 (1 - e^(-t/5 ms)) V, and 2 kΩ 3 μF = 6 ms behind it.
"""

import re

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

COIL = """
  {name = "S2", kind = "switch", between = ["a", "e"], closes = "0 s"},
  {name = "R3", kind = "resistor", between = ["e", "f"], value = "10 ohm"},
  {name = "L1", kind = "inductor", between = ["f", "g"], value = "0.2 H"},
"""
RUBRIC = """
title = "Locks (invented)"
course = "TEST"
[[problem]]
id = "filter"
title = "Filter and a coil"
text = "C1 is empty. Both switches close at t = 0."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "20 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "25 uF"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "6 kohm"},
  COIL
]
item = [
  {id = "tau", find = "time constant", by = "C1", points = 2},
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "six", find = "time to reach", voltage = "C1", level = "6 V", points = 2},
]
[[problem]]
id = "apart"
title = "Cut in two"
text = "The circuit has rested. Both switches open at t = 0."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], opens = "0 s"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "20 uF"},
  {name = "R3", kind = "resistor", between = ["b", "g"], value = "1 kohm"},
  {name = "S2", kind = "switch", between = ["b", "d"], opens = "0 s"},
  {name = "R1", kind = "resistor", between = ["d", "c"], value = "100 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.5 H"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "50 ohm"},
]
item = [
  {id = "tauc", find = "time constant", by = "C1", points = 2},
  {id = "taul", find = "time constant", by = "L1", points = 2},
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "i", find = "expression", current = "L1", points = 4},
  {id = "w", find = "stored energy", of = "L1", at = "0 s", points = 2},
  {id = "heat", find = "energy dissipated", of = "R2", points = 2},
]
[[problem]]
id = "line"
title = "One current through two"
text = "The source begins at t = 0."
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "x"], waveform = "2 u(t) mA"},
  {name = "R1", kind = "resistor", between = ["x", "y"], value = "3 kohm"},
  {name = "C1", kind = "capacitor", between = ["x", "y"], value = "2 uF"},
  {name = "R2", kind = "resistor", between = ["y", "g"], value = "1 kohm"},
  {name = "C2", kind = "capacitor", between = ["y", "g"], value = "4 uF"},
]
item = [
  {id = "tau", find = "time constant", by = "C1", points = 2},
  {id = "v", find = "expression", voltage = "C1", points = 4},
]
[[problem]]
id = "stages"
title = "Two stages"
text = "Both capacitors are empty. S1 closes at t = 0."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "5 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF"},
  {name = "A1", kind = "ideal op amp", non_inverting = "c", inverting = "o", output = "o"},
  {name = "R2", kind = "resistor", between = ["o", "d"], value = "2 kohm"},
  {name = "C2", kind = "capacitor", between = ["d", "g"], value = "3 uF"},
]
item = [
  {id = "tau", find = "time constant", by = "C1", points = 2},
  {id = "v", find = "expression", voltage = "C1", points = 4},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.replace("COIL", COIL).encode(), "locks.toml"))


def marked(key, answers):
    written = tuple(Written(problem=p.split(".")[0], item=p.split(".")[1], text=text) for p, text in answers.items())
    marks = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    return {f"{m.problem}.{m.item}": m for m in marks if f"{m.problem}.{m.item}" in answers}


@pytest.mark.parametrize(
    ("answers", "expected"),
    [
        # R1 + R2 = 10 kΩ, 250 ms: wrong; the rest follows from it: 250 ms ln 2 = 173.3 ms.
        ({"filter.tau": "250 ms", "filter.v": "12 (1 - e^(-4t)) V", "filter.six": "173.3 ms"}, [0, 4, 2]),
        ({"filter.v": "12 e^(-t/60ms) V"}, [2]),  # a decay: both ends lost, time constant and form kept
        ({"apart.tauc": "50 ms", "apart.v": "12 e^(-20t) V"}, [0, 4]),
        ({"apart.taul": "25 s", "apart.i": "0.12 e^(-t/25) A"}, [0, 4]),  # L R for L/R
        (
            {"apart.taul": "25 s", "apart.v": "12 e^(-t/25) V"},
            [0, 3],
        ),  # the coil's tau is no reason for the capacitor's
        (
            {"apart.w": "7.2 mJ", "apart.heat": "7.2 mJ"},
            [0, 2],
        ),  # half forgotten once; all that was stored turns to heat
        ({"line.tau": "12 ms", "line.v": "6 (1 - e^(-t/12ms)) V"}, [0, 4]),
        ({"stages.tau": "10 ms", "stages.v": "10 (1 - e^(-100t)) V"}, [0, 4]),
    ],
)
def test_points(key, answers, expected):
    assert [mark.awarded for mark in marked(key, answers).values()] == expected


@pytest.mark.parametrize(
    ("place", "text", "first"),
    [
        ("filter.tau", "250 ms", "all-resistors-added"),  # without the coil's resistor
        ("filter.v", "12 e^(-t/60ms) V", "decay-only-form"),
        ("filter.v", "20 (1 - e^(-t/60ms)) V", "final-is-source-value"),
        ("apart.v", "12 e^(-0.02 t) V", "power-upside-down"),
        ("stages.v", "10 e^(-200t) V", "decay-only-form"),
    ],
)
def test_diagnoses(key, place, text, first):
    assert first in marked(key, {place: text})[place].mistakes[:2]


def test_the_coil_changes_nothing_at_all(key):
    alone = build_key(read_rubric(RUBRIC.replace("COIL", "").encode(), "locks.toml"))
    for item in ("tau", "v", "six"):
        assert key.diagnoser.tables["filter", item] == alone.diagnoser.tables["filter", item]
        mine, theirs = (
            [(rule.formula, rule.uses, rule.given) for rule in one.item("filter", item).reference.rules]
            for one in (key, alone)
        )
        assert mine == theirs


def test_the_second_stage_is_none_of_the_first(key):
    alone = re.sub(
        r'  \{name = "(R2|C2)", kind = "\w+", between = \["(o|d)", "(d|g)"\].*\n', "", RUBRIC.replace("COIL", "")
    )
    alone = build_key(read_rubric(alone.encode(), "locks.toml"))
    for item in ("tau", "v"):
        assert key.diagnoser.tables["stages", item] == alone.diagnoser.tables["stages", item]
