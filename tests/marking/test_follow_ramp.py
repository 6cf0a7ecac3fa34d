"""Own responses that never settle, or go on past the next switching, and answers that there is none.

By hand: `mill` v = 4 - 3.2 e^(-12.5t) V until 100 ms, i_C = -40 e^(-12.5t) uA; `loom` i = 2 (1 - e^(-t/6ms)) A, v_L = 30 e^(-t/6ms) V,
Vs delivers 30 V i + (30 V)^2/60 ohm; `bell` overshoots, `slow` does not.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = b"""
title = "Ramps (invented)"
course = "TEST"
[[problem]]
id = "mill"
title = "Integrator with a leak"
ground = "g"
element = [
  {name = "Vin", kind = "voltage source", between = ["a", "g"], value = "-0.5 V"},
  {name = "R1", kind = "resistor", between = ["a", "n"], value = "10 kohm"},
  {name = "R2", kind = "resistor", between = ["n", "o"], value = "80 kohm"},
  {name = "C1", kind = "capacitor", between = ["n", "o"], value = "1 uF"},
  {name = "R3", kind = "resistor", between = ["n", "m"], value = "20 kohm"},
  {name = "S1", kind = "switch", between = ["m", "o"], opens = "0 s", closes = "100 ms"},
  {name = "U1", kind = "ideal op amp", non_inverting = "g", inverting = "n", output = "o"},
]
item = [
  {id = "vo", find = "expression", voltage = ["o", "g"], points = 4},
  {id = "slope", find = "initial slope", voltage = ["o", "g"], points = 2},
  {id = "ic", find = "initial value", current = "C1", points = 2},
  {id = "when", find = "time to reach", voltage = ["o", "g"], level = "3 V", points = 2},
]
[[problem]]
id = "loom"
title = "Loom coil"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "30 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s", opens = "9 ms"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "15 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "90 mH"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "60 ohm"},
]
item = [
  {id = "slope", find = "initial slope", current = "L1", points = 2},
  {id = "vL0", find = "initial value", voltage = "L1", points = 2},
  {id = "tau", find = "time constant", points = 2},
  {id = "i", find = "expression", current = "L1", points = 4},
  {id = "when", find = "time to reach", current = "L1", level = "1.2 A", points = 2},
  {id = "work", find = "energy delivered", of = "Vs", until = "9 ms", points = 2},
  {id = "iend", find = "final value", current = "L1", points = 2},
]
[[problem]]
id = "bell"
title = "Bell circuit"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], step = {before = "0 A", after = "20 mA", at = "0 s"}},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "500 ohm"},
  {name = "L1", kind = "inductor", between = ["a", "g"], value = "0.4 H"},
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "2.5 uF"},
]
item = [
  {id = "i", find = "expression", current = "L1", points = 5},
  {id = "tp", find = "peak time", current = "L1", points = 2},
  {id = "over", find = "percent overshoot", current = "L1", points = 2},
]
[[problem]]
id = "slow"
title = "Slow circuit"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], step = {before = "0 A", after = "20 mA", at = "0 s"}},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "100 ohm"},
  {name = "L1", kind = "inductor", between = ["a", "g"], value = "0.4 H"},
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "2.5 uF"},
]
item = [{id = "over", find = "percent overshoot", current = "L1", points = 2}]
"""
CRITICAL = "20 - 20(1 + 1000t) e^(-1000t) mA"
ROWS = [
    ({"mill.vo": "0.8 + 50t V"}, "mill.when", "44 ms", 2),  # 0.8 + 50t = 3
    ({"mill.vo": "0.8 + 50t V"}, "mill.when", "60 ms", 0),
    ({"mill.vo": "0.8 + 50t V"}, "mill.ic", "-50 uA", 2),  # 1 uF at -50 V/s
    ({"mill.vo": "0.8 + 50t V"}, "mill.ic", "-25 uA", 0),
    ({"mill.slope": "50 V/s"}, "mill.ic", "-50 uA", 2),
    ({"mill.vo": "0.8 + 15t V"}, "mill.when", "146.7 ms", 2),  # past the switching, which only ends the curve
    ({"mill.vo": "4 - 3.2 e^(-5t) V"}, "mill.when", "232.6 ms", 2),  # 200 ms ln 3.2
    ({"mill.vo": "4 - 3.2 e^(-5t) V"}, "mill.when", "100 ms", 0),
    ({"mill.vo": "0.8 - 50t V"}, "mill.when", "never", 2),
    ({"loom.slope": "500 A/s"}, "loom.vL0", "45 V", 2),
    ({"loom.slope": "333.3 A/s"}, "loom.vL0", "45 V", 0),
    ({"loom.i": "333.3t A"}, "loom.when", "3.6 ms", 2),
    ({"loom.i": "2 - 2 e^(-100t) A"}, "loom.when", "9.16 ms", 2),
    (
        {"loom.vL0": "0 V", "loom.i": "2 (1 - e^(-t/6ms)) A"},
        "loom.work",
        "675 mJ",
        0,
    ),  # (2 A + 0.5 A) 30 V 9 ms: nothing varies
    ({"loom.tau": "6 ms"}, "loom.iend", "-infinite, it grows", 0),
    ({"loom.tau": "6 ms"}, "loom.when", "none", 0),
    ({}, "bell.tp", "none", 0),
    ({"bell.i": CRITICAL}, "bell.tp", "none", 2),
    ({"bell.i": CRITICAL}, "bell.tp", "never", 2),
    ({"bell.i": CRITICAL}, "bell.tp", "there is no peak", 2),
    ({}, "bell.over", "no overshoot", 0),
    ({}, "slow.over", "no overshoot", 2),
    ({}, "slow.over", "none", 2),
    ({}, "slow.over", "it does not overshoot", 2),
]


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "ramps.toml"))


def mark_of(key, answers, place):
    written = tuple(Written(problem=id.split(".")[0], item=id.split(".")[1], text=text) for id, text in answers.items())
    marks = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    return next(mark for mark in marks if f"{mark.problem}.{mark.item}" == place)


@pytest.mark.parametrize(("own", "place", "text", "points"), ROWS)
def test_what_follows_from_a_response_that_never_settles_or_goes_on(key, own, place, text, points):
    mark = mark_of(key, {**own, place: text}, place)
    assert (mark.awarded, mark.review) == (points, False), mark.reasons


def test_a_curve_that_gets_there_after_the_switching_is_told(key):
    mark = mark_of(key, {"mill.vo": "0.8 + 15t V", "mill.when": "146.7 ms"}, "mill.when")
    assert "Your own expression reaches it only after the time for which it holds." in mark.reasons


def test_never_behind_an_own_slip_is_told_to_wait(key):
    mark = mark_of(key, {"mill.vo": "-4 + 3.2 e^(-12.5t) V", "mill.when": "never, it is always negative"}, "mill.when")
    assert mark.review
    assert mark.reasons[0].endswith("Your own earlier answers may leave none: a person will look at it.")
