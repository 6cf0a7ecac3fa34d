"""Heat of several resistors by an own current, and units that may be letters.

By hand: `kiln` i = 2 (1 - e^(-100t)) A; over 20 ms (1 - e^(-100t))^2 adds up to 7.6151 ms, times (4 + 2) ohm.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = b"""
title = "Heat (invented)"
course = "TEST"
[[problem]]
id = "kiln"
title = "Kiln"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
  {name = "R2", kind = "resistor", between = ["c", "d"], value = "2 ohm"},
  {name = "L1", kind = "inductor", between = ["d", "g"], value = "60 mH"},
]
item = [
  {id = "i", find = "expression", current = "L1", points = 4},
  {id = "one", find = "energy dissipated", of = "R1", until = "20 ms", points = 2},
  {id = "both", find = "energy dissipated", of = ["R1", "R2"], until = "20 ms", points = 2},
]
[[problem]]
id = "general"
title = "Letters"
ground = "g"
element = [
  {name = "V0", kind = "voltage source", between = ["a", "g"], value = "V0"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "R"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "2*R"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "C"},
]
item = [
  {id = "end", find = "final value", voltage = "C1", points = 2},
  {id = "tau", find = "time constant", points = 2},
]
"""
OWN = {"kiln.i": "1.5 (1 - e^(-100t)) A"}
ROWS = [
    (OWN, "kiln.one", "68.54 mJ", 2, False),  # 4 ohm (1.5 A)^2 7.6151 ms
    (OWN, "kiln.both", "102.8 mJ", 2, False),
    (OWN, "kiln.both", "137.1 mJ", 0, False),
    (OWN, "kiln.both", "182.8 mJ", 2, False),  # right
    ({}, "general.end", "2V0/3", 2, False),
    ({}, "general.end", "2V/3", 0, True),  # two thirds of a volt, or of V0
    ({}, "general.end", "V0/3", 0, False),
    ({}, "general.tau", "5 ms", 0, False),
]


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "heat.toml"))


@pytest.mark.parametrize(("own", "place", "text", "points", "waits"), ROWS)
def test_heat_follows_from_the_own_current_and_a_unit_for_a_letter_waits(key, own, place, text, points, waits):
    written = tuple(
        Written(problem=id.split(".")[0], item=id.split(".")[1], text=said) for id, said in {**own, place: text}.items()
    )
    marks = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    mark = next(mark for mark in marks if f"{mark.problem}.{mark.item}" == place)
    assert (mark.awarded, mark.review) == (points, waits), mark.reasons
