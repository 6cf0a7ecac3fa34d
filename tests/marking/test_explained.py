"""What explains an answer is what was written, and nothing simpler; the author's hint goes first.  Worked out by hand.

`tank`: 30 V, 2 kΩ beside 6 kΩ, 10 μF: 22.5 V, 15 ms; 15 ms over 2π is 2.387 ms.  `coil`: 0.4 H, 20 Ω: 20 ms; from 5 ms on 0.1 H more: 25 ms.
`jars`: 1 μF at 10 V shares its 10 μC with 4 μF: 2 V, and 8 V by the other one's share; 50 μJ before, 10 μJ after, 40 μJ lost.
"""

import pytest

from grader.marking.beliefs import with_own_explanation
from grader.marking.key import build_key
from grader.marking.marks import Marked
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

HINT = "Which part stays charged?"
RUBRIC = f"""
title = "Explained (invented)"
[[problem]]
id = "tank"
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], value = "30 V"}},
  {{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"}},
  {{name = "R1", kind = "resistor", between = ["b", "c"], value = "2 kohm"}},
  {{name = "R2", kind = "resistor", between = ["c", "g"], value = "6 kohm"}},
  {{name = "C1", kind = "capacitor", between = ["c", "g"], value = "10 uF", initial = "4 V"}},
]
item = [
  {{id = "tau", find = "time constant", points = 2}},
  {{id = "vf", find = "final value", voltage = "C1", points = 2, hint = "{HINT}"}},
  {{id = "t", find = "time to reach", voltage = "C1", level = "10 V", points = 2}},
]
[[problem]]
id = "coil"
ground = "g"
element = [
  {{name = "Is", kind = "current source", between = ["g", "a"], step = {{before = "0 A", after = "1 A", at = "0 s"}}}},
  {{name = "R1", kind = "resistor", between = ["a", "g"], value = "20 ohm"}},
  {{name = "L1", kind = "inductor", between = ["a", "b"], value = "0.4 H"}},
  {{name = "S1", kind = "switch", between = ["b", "g"], opens = "5 ms"}},
  {{name = "L2", kind = "inductor", between = ["b", "g"], value = "0.1 H", initial = "0 A"}},
]
item = [{{id = "tau2", find = "time constant", after = "5 ms", points = 2}}]
[[problem]]
id = "jars"
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"}},
  {{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s", opens = "50 ms"}},
  {{name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"}},
  {{name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF", initial = "0 V"}},
  {{name = "S2", kind = "switch", between = ["c", "d"], closes = "60 ms"}},
  {{name = "C2", kind = "capacitor", between = ["d", "g"], value = "4 uF", initial = "0 V"}},
]
item = [
  {{id = "start", find = "initial value", voltage = "C1", after = "60 ms", points = 1}},
  {{id = "lost", find = "energy lost", after = "60 ms", points = 1}},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "explained.toml"))


@pytest.mark.parametrize(
    ("place", "text", "named"),
    [
        ("tank.tau", "2.387 ms", ("radians-and-hertz-mixed",)),
        ("tank.tau", "2.39 ms", ("radians-and-hertz-mixed",)),
        ("tank.tau", "2.37 ms", ()),  # 0.7 % off: something else was worked out
        ("tank.tau", "2 kohm * 1.18 uF = 2.36 ms", ()),
        ("tank.t", "0 s", ()),
        ("tank.vf", "20 V", ("rounded-too-far",)),
        ("jars.start", "8 V", ("capacitive-divider-upside-down",)),
        ("jars.lost", "50 uJ", ("stored-taken-as-dissipated",)),
        ("jars.lost", "10 uJ", ("stored-taken-as-dissipated",)),
        ("jars.lost", "80 uJ", ("energy-factor-half-lost",)),
        ("coil.tau2", "20 ms", ()),  # as before the switching, and no switch was misread
    ],
)
def test_named_where_the_value_is_hit_and_nothing_simpler_gives_it(key, place, text, named):
    assert marks_of(key, {place: text})[place].mistakes == named


def test_the_source_is_no_rounding(key):
    assert "rounded-too-far" not in marks_of(key, {"tank.vf": "30 V"})["tank.vf"].mistakes


def test_the_author_speaks_first(key):
    """Whatever else is asked about it, of one student alone and of a class."""
    for text in ("30 V", "-22.5 V", "17 V", "infinity"):
        mark = marks_of(key, {"tank.vf": text})["tank.vf"]
        marked = Marked(student="S1", file="u.txt", marks=(mark,))
        for one in (mark, *with_own_explanation(key, marked).marks):
            assert one.nudges[0] == HINT
            assert len(one.nudges) <= 2
    assert len(marks_of(key, {"tank.vf": "30 V"})["tank.vf"].nudges) == 2
    assert not marks_of(key, {"tank.vf": "22.5 V"})["tank.vf"].nudges
