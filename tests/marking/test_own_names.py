"""A name stands for the student's own answer, a function of t, too: by hand i1 = 3(1 - e^(-20t)) A and v2 = 18 V - 6 ohm * i1.

24 V behind 8 ohm feed 24 ohm beside 0.3 H: 6 ohm are seen, tau = 50 ms, and 24 - 8(i1 + v2/24) = v2.  From i1 = 4(1 - e^(-20t)) A
follows v2 = -6 + 24 e^(-20t) V.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = b"""
title = "Latch (invented)"
course = "TEST"
[marking]
follow_through = 1.0
[[problem]]
id = "latch"
title = "Latch"
text = "S1 closes at t = 0."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "8 ohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "24 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.3 H"},
]
item = [
  {id = "i1", find = "expression", current = "L1", points = 4},
  {id = "v2", find = "expression", voltage = "R2", points = 4},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "latch.toml"))


@pytest.mark.parametrize("formula", ["18 - 6*i1", "18 - 6 i_1", "(24 - 8*i1)*R2/(R1+R2)", "18 - 6*iL", "18 - 6 i_L1 V"])
@pytest.mark.parametrize("own", ["3(1 - e^(-20t)) A", "4(1 - e^(-20t)) A"])
def test_a_name_stands_for_an_own_function_of_time(key, formula, own):
    written = tuple(Written(problem="latch", item=item, text=text) for item, text in (("i1", own), ("v2", formula)))
    *_, mark = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    assert (mark.awarded, mark.review) == (4, False)


def test_where_there_is_no_own_answer_the_formula_says_the_method(key):
    written = (Written(problem="latch", item="v2", text="18 - 6*i1"),)
    *_, mark = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    assert mark.awarded < 4
    assert any("You gave no answer to 'i1'" in reason for reason in mark.reasons)


SHED = b"""
title = "Shed (invented)"
course = "TEST"
[marking]
prefix_costs = 0.5
[[problem]]
id = "shed"
title = "Shed"
text = "S1 closes at t = 0; C1 holds 8 V."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "20 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "5 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "4 uF", initial = "8 V"},
]
item = [
  {id = "tau", find = "time constant", points = 2},
  {id = "i0", find = "initial value", current = "C1", points = 2},
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "i", find = "expression", current = "C1", points = 4},
  {id = "vx", find = "value at", voltage = "C1", at = "30 ms", points = 2},
  {id = "slope", find = "initial slope", voltage = "C1", points = 2},
  {id = "when", find = "time to reach", voltage = "C1", level = "14 V", points = 2},
  {id = "w", find = "stored energy", of = "C1", at = "30 ms", points = 2},
]
"""
IN_A_UNIT = [
    # By hand: tau = 20 ms, i0 = 2.4 mA, v = 20 - 12 e^(-50t), 17.32 V at 30 ms, 600 V/s, 14 V after 20 ms ln 2, 600 uJ.
    ({"i0": "2.4 mA"}, "i", "i0 e^(-50t) mA", 4),  # the name brings mA, the unit only says so once more
    ({"i0": "2.4 mA", "tau": "20 ms"}, "i", "i0 e^(-t/tau) mA", 4),
    ({"i0": "2.4 mA"}, "i", "(i0 + 0) e^(-50t) mA", 4),
    ({"i0": "4 mA"}, "i", "i0 e^(-50t) mA", 4),  # it follows
    ({"i0": "2.4 mA"}, "i", "i0 (1 - e^(-50t)) mA", 2),
    ({}, "i", "12/R1 e^(-50t) mA", 4),  # 12 V, told in mA
    ({}, "i", "Vs/R1 e^(-50t) - 1.6 e^(-50t) mA", 4),
    ({}, "i", "K e^(-50t) mA, K = 2.4", 4),  # a bare number stated beside brings no unit
    ({}, "i", "K e^(-50t) mA, K = 2.4 mA", 4),
    ({}, "v", "Vs - 12000 e^(-50t) mV", 4),
    ({}, "vx", "(Vs - 12000 e^(-1.5)) mV", 2),
    ({"tau": "20 ms"}, "when", "tau ln 2 ms", 2),
    ({"tau": "20 ms"}, "when", "tau - 6.137 ms", 2),
    ({"tau": "20 ms"}, "when", "tau ln 3 ms", 0),
    ({"tau": "20 ms"}, "when", "tau + 2 ms", 0),
    ({"vx": "17.32 V"}, "w", "C1 vx^2/2 uJ", 2),
    ({}, "w", "0.5*4*17.32^2 uJ", 2),
    ({}, "w", "C1 17.32^2/2 uJ", 2),
    ({"i0": "2.4 mA"}, "slope", "i0/C1 mV/s", 2),
    ({}, "slope", "12/(R1 C1) V/s", 2),
    ({}, "tau", "R1 C1 ms", 2),
    ({}, "tau", "R1 C1 ks", 2),
    ({}, "i0", "(Vs - 8 V)/R1 mA", 2),
    ({}, "i0", "(Vs - 8 V)/R1 kA", 2),
]

EITHER = {"12/R1 e^(-50t) mA", "C1 17.32^2/2 uJ", "R1 C1 ks", "(Vs - 8 V)/R1 kA"}
"""Beside names stand numbers that may count in base units, or a prefix in which nobody would tell the result: it may be wrong."""


@pytest.fixture(scope="module")
def shed():
    return build_key(read_rubric(SHED, "shed.toml"))


@pytest.mark.parametrize(("own", "item", "formula", "points"), IN_A_UNIT)
def test_a_unit_behind_names_is_that_of_the_plain_numbers_or_of_the_result(shed, own, item, formula, points):
    written = tuple(Written(problem="shed", item=id, text=text) for id, text in {**own, item: formula}.items())
    marks = mark_upload(shed, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    mark = next(mark for mark in marks if mark.item == item)
    assert mark.awarded == points
    assert mark.review is (formula in EITHER)  # the prefix may be a slip
