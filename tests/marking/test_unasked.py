"""Answers that follow from earlier ones by way of what nobody asked, with points worked out by hand.

`fill`: v = 20 (1 - e^(-100t)) V until 10 ms, then R2 bleeds it; i_C(10 ms+) = (20 - v)/1 kΩ - v/1 kΩ.
`coil`: i(0) = 120 mA, so 0.2 H * (0.12 A)^2 / 2 = 1.44 mJ turn to heat in R2.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = """
title = "Pump house (invented)"
course = "TEST"
[[problem]]
id = "fill"
title = "Filled, then bled"
text = "C1 is empty. S1 closes at t = 0, S2 10 ms later."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "20 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "10 uF"},
  {name = "S2", kind = "switch", between = ["c", "d"], closes = "10 ms"},
  {name = "R2", kind = "resistor", between = ["d", "g"], value = "1 kohm"},
]
item = [
  {id = "tau", find = "time constant", points = 2},
  {id = "i0", find = "initial value", current = "C1", points = 2},
  {id = "v", find = "expression", voltage = "C1", points = 4},
  VALUE
  {id = "i10", find = "initial value", current = "C1", after = "10 ms", points = 2},
]
[[problem]]
id = "coil"
title = "Cut off"
text = "The circuit has rested. S1 opens at t = 0."
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "100 ohm"},
  {name = "S1", kind = "switch", between = ["b", "c"], opens = "0 s"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.2 H"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "200 ohm"},
]
item = [
  {id = "i0", find = "initial value", current = "L1", points = 2},
  {id = "i", find = "expression", current = "L1", points = 4},
  {id = "heat", find = "energy dissipated", of = "R2", points = 2},
  {id = "mean", find = "average power", power = "R2", from = "0 s", until = "1 ms", points = 2},
]
"""
ASKED = '{id = "v10", find = "value at", voltage = "C1", at = "10 ms", points = 1},'


def points(answers, between=ASKED):
    """The points of answers by ``problem.item``, marked as one upload."""
    key = build_key(read_rubric(RUBRIC.replace("VALUE", between).encode(), "pump"))
    written = tuple(
        Written(problem=place.split(".")[0], item=place.split(".")[1], text=text) for place, text in answers.items()
    )
    marks = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    return {f"{mark.problem}.{mark.item}": mark.awarded for mark in marks}


SLOWER = {"fill.tau": "20 ms", "fill.v": "20(1 - e^(-50t)) V"}


@pytest.mark.parametrize("between", [ASKED, ""])
def test_what_starts_where_the_interval_before_ended_follows_from_its_expression(between):
    v10 = {"fill.v10": "7.869 V"} if between else {}  # 20 (1 - e^-0.5)
    found = points(SLOWER | v10 | {"fill.i10": "4.261 mA"}, between)  # 20 mA - 2 * 7.869 mA
    assert found["fill.i10"] == 2
    assert found.get("fill.v10", 1) == 1


def test_heat_follows_from_the_current_that_stored_it():
    assert points({"coil.i0": "100 mA", "coil.heat": "1 mJ"})["coil.heat"] == 2
    assert points({"coil.i0": "100 mA", "coil.heat": "2 mJ"})["coil.heat"] == 0


def test_power_in_a_resistor_follows_from_the_current_of_the_coil():
    """``i = 100 e^(-500t) mA`` for tau = 1 ms: 200 ohm * (0.1 A)^2 * 2 ms = 4 mJ in all, and (1 - e^-1) times 2 W in the first ms."""
    found = points({"coil.i0": "100 mA", "coil.i": "100 e^(-500t) mA", "coil.heat": "2 mJ", "coil.mean": "1.264 W"})
    assert found["coil.heat"] == found["coil.mean"] == 2


def test_nobody_finds_a_current_at_the_start_from_the_time_constant():
    assert points({"fill.tau": "20 ms", "fill.i0": "10 mA"})["fill.i0"] == 0  # C 20 V / 20 ms, not 20 mA
