"""That there is no such value, said in words: right where the own answers leave none.

`ring`, by hand: 8 Ω, 0.5 H and 20 mF in series: alpha = 8, w0 = 10, wd = 6 1/s; with an own alpha of 16 1/s overdamped.
`fill`: 12 V behind 3 kΩ into 2 μF beside 6 kΩ: 8 V in the end, 7 V is passed; with an own 6 V in the end it is not.
`rise`: 0.3 A and 10 ms from rest, 0.2 A is passed.  `fall`: 9 V on 100 Ω and 1 mF die away in 0.1 s, 3 V is passed.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = b"""
title = "None (invented)"
course = "TEST"

[[problem]]
id = "ring"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "8 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "d"], value = "0.5 H"},
  {name = "C1", kind = "capacitor", between = ["d", "g"], value = "20 mF"},
]
item = [
  {id = "alpha", find = "damping coefficient", points = 2},
  {id = "w0", find = "undamped natural frequency", points = 2},
  {id = "wd", find = "damped natural frequency", points = 2, follow_through = 0.75},
]

[[problem]]
id = "fill"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "3 kohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "6 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "2 uF"},
]
item = [
  {id = "vf", find = "final value", voltage = "C1", points = 2},
  {id = "t", find = "time to reach", voltage = "C1", level = "7 V", points = 2},
]

[[problem]]
id = "rise"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "15 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "50 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "0.5 H"},
]
item = [
  {id = "i", find = "expression", current = "L1", points = 4},
  {id = "t", find = "time to reach", current = "L1", level = "0.2 A", points = 2},
]

[[problem]]
id = "fall"
ground = "g"
element = [
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "1 mF", initial = "9 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "g"], value = "100 ohm"},
]
item = [
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "t", find = "time to reach", voltage = "C1", level = "3 V", points = 2},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "none.toml"))


def last_mark(key, problem, answers):
    written = tuple(Written(problem=problem, item=item, text=text) for item, text in answers.items())
    marks = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    return [mark for mark in marks if mark.answer][-1]


@pytest.mark.parametrize(
    ("problem", "answers", "points"),
    [
        ("ring", {"alpha": "16 1/s", "wd": "does not exist"}, 1.5),
        ("ring", {"alpha": "16 1/s", "wd": "there is no damped frequency"}, 1.5),
        ("ring", {"w0": "5 rad/s", "wd": "undefined"}, 1.5),
        ("fill", {"vf": "6 V", "t": "never, it ends at 6 V"}, 2),
        ("fill", {"vf": "6 V", "t": "never"}, 2),
        ("fill", {"vf": "-8 V", "t": "never"}, 2),  # it goes the other way
    ],
)
def test_it_follows_where_own_answers_leave_no_value(key, problem, answers, points):
    mark = last_mark(key, problem, answers)
    assert (mark.awarded, mark.review) == (points, False)


@pytest.mark.parametrize(
    ("problem", "answers", "said"),
    [
        ("ring", {"wd": "does not exist"}, "'there is none'"),
        ("ring", {"alpha": "4 1/s", "wd": "does not exist"}, "'there is none'"),
        ("fill", {"t": "never, it ends at 6 V"}, "'never'"),
        ("fill", {"vf": "9 V", "t": "never, it ends at 6 V"}, "'never'"),
        ("fill", {"t": "never"}, "infinity"),
        ("fill", {"vf": "9 V", "t": "never"}, "infinity"),
    ],
)
def test_elsewhere_a_person_looks_behind_a_wrong_answer_and_nobody_asks_for_what_cannot_be(key, problem, answers, said):
    mark = last_mark(key, problem, answers)
    assert (mark.awarded, mark.review) == (0, len(answers) > 1)
    assert said in mark.reasons[0]
    assert "write the result" not in " ".join(mark.reasons)


@pytest.mark.parametrize(
    ("problem", "own", "said", "points", "looks"),
    [
        ("rise", "0.1(1 - e^(-100t)) A", "never", 2, False),
        ("fall", "4 + 5 e^(-10t) V", "never, it ends at 4 V", 2, False),
        ("rise", "0.3(1 - e^(-100t)) mA", "never", 0, True),  # told as a slip with a prefix
        ("fall", "9 e^(-10t) kV", "never", 0, False),  # so is this, and it passes 3 V
        ("rise", "-0.3(1 - e^(-100t)) A", "never, since i is below 0 A", 0, True),  # told as a turned sign
        ("fall", "-9 e^(-10t) V", "never", 0, True),
        ("rise", "0.3 A", "never", 0, False),  # it is above all the time
        ("rise", "0.25 + 0.05 e^(-100t) A", "never", 0, True),  # so it is, but there was something to see
        ("fall", "2 - 2 e^(-10t) V", "never", 0, True),
        ("fall", "2 V", "never", 0, False),  # it is below all the time
        ("rise", "0.3 e^(-100t) A", "it is never reached", 0, False),  # it passes 0.2 A
        ("fall", "9(1 - e^(-10t)) V", "never, it ends at 9 V", 0, False),
    ],
)
def test_of_an_own_response_the_slip_that_is_told_is_looked_at_and_what_passes_the_level_is_wrong(
    key, problem, own, said, points, looks
):
    mark = last_mark(key, problem, {"v" if problem == "fall" else "i": own, "t": said})
    assert (mark.awarded, mark.review) == (points, looks)
