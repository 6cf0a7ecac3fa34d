"""Charge and heat followed from own final values, with points worked out by hand.

`share`: 10 μF at 30 V, 5 μF empty: v = 20 V, q = 100 μC, heat 4.5 mJ - 3 mJ = 1.5 mJ.  With an own 10 V: C2 v = 50 μC,
C1 (30 V - v) = 200 μC, heat 4.5 mJ - 0.75 mJ = 3.75 mJ; with 15 V: 75 μC, 2.8125 mJ, and half of 75 μC times 30 V is 1.125 mJ.
`both`: 4 μF at 12 V, 12 μF at 4 V: 6 V; with an own 8 V 48 μC, and 384 μJ - 512 μJ is no heat.
`fill`: 20 V into 10 μF: 200 μC, 2 mJ; with an own 15 V 150 μC and 1.125 mJ.
`coils`: no charge is kept, but 0.4 H at 3 A, 50 Ω: 1.8 J; with an own 2 A 0.8 J.
"""

import pytest

from grader.marking.beliefs import with_own_explanation
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

SHARING = """
[[problem]]
id = "{id}"
title = "Two capacitors, {id}"
text = "At t = 0 the switch joins them."
ground = "g"
element = [
  {{name = "C1", kind = "capacitor", between = ["a", "g"], value = "{c1}", initial = "{v1}"}},
  {{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"}},
  {{name = "R1", kind = "resistor", between = ["b", "c"], value = "2 kohm"}},
  {{name = "C2", kind = "capacitor", between = ["c", "g"], value = "{c2}", initial = "{v2}"}},
]
item = [
  {{id = "vf", find = "final value", voltage = "C2", points = 2}},
  {{id = "q", find = "charge passed", current = "R1", points = 2}},
  {{id = "heat", find = "energy dissipated", of = "R1", points = 2}},
  {{id = "tau", find = "time constant", points = 2}},
  {{id = "held", find = "stored energy", of = ["C1", "C2"], at = "0 s", points = 2}},
]
"""
RUBRIC = (
    'title = "Charge (invented)"\ncourse = "TEST"\n'
    + SHARING.format(id="share", c1="10 uF", v1="30 V", c2="5 uF", v2="0 V")
    + SHARING.format(id="both", c1="4 uF", v1="12 V", c2="12 uF", v2="4 V")
    + """
[[problem]]
id = "fill"
title = "Filled"
text = "C1 is empty. S1 closes at t = 0."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "20 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "10 uF"},
]
item = [
  {id = "vf", find = "final value", voltage = "C1", points = 2},
  {id = "q", find = "charge passed", current = "Vs", points = 2},
  {id = "heat", find = "energy dissipated", of = "R1", points = 2},
]
[[problem]]
id = "coils"
title = "Run down"
text = "S1 opens at t = 0."
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "4 ohm"},
  {name = "S1", kind = "switch", between = ["b", "c"], opens = "0 s"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.4 H"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "50 ohm"},
]
item = [
  {id = "i0", find = "initial value", current = "L1", points = 2},
  {id = "heat", find = "energy dissipated", of = "R2", points = 2},
]
"""
)


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "charge.toml"))


@pytest.mark.parametrize(
    ("problem", "answers", "expected"),
    [
        ("share", {"vf": "20 V", "q": "100 uC", "heat": "1.5 mJ"}, [2, 2, 2]),
        ("share", {"vf": "10 V", "q": "C2*vf = 50 uC", "heat": "3.75 mJ"}, [0, 2, 2]),
        ("share", {"vf": "10 V", "q": "200 uC"}, [0, 2]),
        ("share", {"vf": "15 V", "q": "75 uC", "heat": "2.8125 mJ"}, [0, 2, 2]),
        ("share", {"vf": "15 V", "q": "75 uC", "heat": "1.125 mJ"}, [0, 2, 2]),
        ("share", {"vf": "15 V", "q": "90 uC", "heat": "2 mJ"}, [0, 0, 0]),
        ("share", {"q": "75 uC", "heat": "1.125 mJ"}, [0, 2]),
        ("both", {"vf": "8 V", "q": "48 uC", "heat": "-128 uJ"}, [0, 2, 0]),
        ("fill", {"vf": "15 V", "q": "-150 uC", "heat": "1.125 mJ"}, [0, 2, 2]),  # counted into the source's plus
        ("coils", {"i0": "2 A", "heat": "0.8 J"}, [0, 2]),
    ],
)
def test_points(key, problem, answers, expected):
    written = tuple(Written(problem=problem, item=item, text=text) for item, text in answers.items())
    marks = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    assert [mark.awarded for mark in marks if mark.problem == problem and mark.item in answers] == expected


@pytest.mark.parametrize(
    ("place", "answer", "mistake", "asked"),
    [
        ("share.vf", "10 V", "capacitive-divider-upside-down", "capacitors"),  # 30 V * 5/15
        ("both.vf", "10 V", "capacitive-divider-upside-down", "capacitors"),  # (12 μF 12 V + 4 μF 4 V)/16 μF
        ("share.tau", "30 ms", "storage-elements-combined-wrongly", "capacitors"),  # 2 kΩ * 15 μF, for 6.667 ms
        ("both.held", "288 uJ", "one-energy-left-out", "a term for each"),  # and C2's 96 μJ
        ("both.held", "0 J", "rest-assumed", "is a value given"),
    ],
)
def test_diagnoses(key, place, answer, mistake, asked):
    problem, item = place.split(".")
    upload = Upload(file="u.txt", digest="", student="S1", answers=(Written(problem=problem, item=item, text=answer),))
    (mark,) = [one for one in with_own_explanation(key, mark_upload(key, upload)).marks if one.place == (problem, item)]
    assert mark.mistakes[0] == mistake
    assert asked in " ".join(mark.nudges)


def test_what_does_not_hang_on_the_capacitances_shows_no_divider(key):
    """A capacitor filled by a source ends at the source's voltage, whatever its size."""
    assert "capacitive-divider-upside-down" not in key.diagnoser.shown_by("fill", "vf")
