"""Answers several steps off their source, in t and in s, with points worked out by hand.

`flash`: after closing C1 sees 3 kohm || 6 kohm and tends to 20 V; from 3 kohm in place of that follows 1/tau = 66.67 /s.  C1 = 5 uF discharges through R2 = 6 kohm from t = 20 ms on.  From v = 10 e^(-(t - 20 ms)/30 ms) V in place of what
is right follow q = 5 uF * 10 V = 50 uC, and (5 uF * (10 V)^2 / 2)(1 - e^(-2))/30 ms = 7.206 mW from 20 to 50 ms.

`pickup`: H = 10/(s^2 + 7s + 10), v = 12 - 20 e^(-2t) + 8 e^(-5t) V, i = 0.1 dv/dt.  From 9 in place of 7 follow the poles -2
and -7, v(inf) = 12 * 10/14, I = 0.1 s V = 12/(s^2 + 9s + 14), i = 2.4 (e^(-2t) - e^(-7t)) A, largest at ln(3.5)/5 = 250.6 ms
with 1.039 A.  From the poles alone v tends to 12 V still, so the equation's right side is 14 * 12 and
v = 12 - 16.8 e^(-2t) + 4.8 e^(-7t) V.  From v = 9 - 15 e^(-2t) + 6 e^(-5t) V follow i = 3 (e^(-2t) - e^(-5t)) A and 12 V * 0.9 C.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = b"""
title = "Flash and pickup (invented)"
course = "TEST"
[[problem]]
id = "flash"
title = "Flash"
text = "C1 is empty. S1 closes at t = 0 and opens at t = 20 ms."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "30 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s", opens = "20 ms"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "3 kohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "6 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "5 uF"},
]
item = [
  {id = "v20", find = "value at", voltage = "C1", at = "20 ms", points = 2},
  {id = "tau2", find = "time constant", after = "20 ms", points = 1},
  {id = "seen", find = "resistance seen", points = 1},
  {id = "eq", find = "differential equation", voltage = "C1", points = 2},
  {id = "v2", find = "expression", voltage = "C1", after = "20 ms", points = 3},
  {id = "q", find = "charge passed", current = "R2", after = "20 ms", points = 2},
  {id = "p", find = "average power", power = "R2", from = "20 ms", until = "50 ms", points = 2},
]
[[problem]]
id = "pickup"
title = "Pickup"
text = "All is at rest. At t = 0 the source steps from 0 to 12 V."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = 0, after = "12 V", at = "0 s"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "7 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "1 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "100 mF"},
]
item = [
  {id = "H", find = "transfer function", voltage = "C1", of = "Vs", points = 3},
  {id = "poles", find = "poles", voltage = "C1", of = "Vs", points = 2},
  {id = "de", find = "differential equation", voltage = "C1", points = 3},
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "I", find = "transform", current = "L1", points = 3},
  {id = "tmax", find = "time of maximum", current = "L1", points = 2},
  {id = "imax", find = "maximum", current = "L1", points = 2},
  {id = "E", find = "energy delivered", of = "Vs", points = 2},
]
"""
LOW = "10e^(-(t-20ms)/30ms) V"
NINE = "10/(s^2+9s+14)"


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "chains"))


@pytest.mark.parametrize(
    "answers",
    [
        {"seen": "3 kohm", "eq": "v' + 66.67 v = 1333"},
        {"v2": LOW, "q": "50 uC"},
        {"v2": LOW, "p": "7.206 mW"},
        {"v20": "10 V", "q": "50 uC"},
        {"v20": "10 V", "p": "7.206 mW"},
        {"H": NINE, "de": "v'' + 9v' + 14v = 120"},
        {"H": NINE, "I": "12/(s^2+9s+14)"},
        {"H": NINE, "poles": "-2, -7"},
        {"poles": "-2, -7", "de": "v'' + 9v' + 14v = 168"},
        {"poles": "-2, -7", "v": "12 - 16.8e^(-2t) + 4.8e^(-7t) V"},
        {"I": "12/(s^2+9s+14)", "tmax": "250.6 ms"},
        {"I": "12/(s^2+9s+14)", "imax": "1.039 A"},
        {"v": "9 - 15e^(-2t) + 6e^(-5t) V", "I": "9/((s+2)(s+5))"},
        {"v": "9 - 15e^(-2t) + 6e^(-5t) V", "imax": "0.977 A"},
        {"v": "9 - 15e^(-2t) + 6e^(-5t) V", "E": "10.8 J"},
    ],
)
def test_the_last_answer_follows_and_counts_in_full(key, answers):
    mark = last_mark(key, answers)
    assert mark.awarded == mark.possible


@pytest.mark.parametrize(
    "answers",
    [
        {"v2": LOW, "q": "60 uC"},
        {"v2": LOW, "p": "8.33 mW"},
        {"H": NINE, "de": "v'' + 9v' + 14v = 100"},
        {"poles": "-2, -7", "v": "12 - 20e^(-2t) + 8e^(-7t) V"},
        {"I": "12/(s^2+9s+14)", "tmax": "200 ms"},
        {"v": "9 - 15e^(-2t) + 6e^(-5t) V", "E": "12 J"},
    ],
)
def test_what_follows_from_nothing_does_not(key, answers):
    mark = last_mark(key, answers)
    assert mark.awarded < mark.possible


def last_mark(key, answers):
    """The mark of the last of some answers by item, as of one upload."""
    problems = {item.id: problem.id for problem in key.rubric.problems for item in problem.items}
    written = tuple(Written(problem=problems[item], item=item, text=text) for item, text in answers.items())
    found = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    *_, last = answers
    return next(mark for mark in found if mark.item == last)
