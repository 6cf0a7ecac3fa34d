"""When two quantities are equal: the instants, what follows from own answers, and what a rubric may not ask.

All was worked out by hand.  `pump`: 20 V, 4 kΩ, then 5 μF beside 12 kΩ: 15 V, tau 15 ms; v_C = v_R1 at 10 V: 15 ln 3 = 16.48 ms;
i_C = 5 e mA, i_R2 = 1.25 (1 - e) mA: 15 ln 5 = 24.14 ms.  With 20 ms for tau 20 ln 3 = 21.97 ms; by Kirchhoff's law 20 ln 5 = 32.19 ms,
by i = C dv/dt 3.75 e mA and 20 ln 4 = 27.73 ms.  `bell`: 10 V on 25 μF, 40 mH: 1000 rad/s; equal energies at pi/4, 3 pi/4, 5 pi/4 ms;
with 2000 rad/s at half of these.
"""

import math

import pytest
from scipy.optimize import brentq

from grader.errors import RubricError
from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = """
title = "Meetings (invented)"
[marking]
tolerance = "0.5 %"
[[problem]]
id = "pump"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "20 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "5 uF"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "12 kohm"},
]
item = [
  {id = "tau", find = "time constant", points = 1},
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "meet", find = "time when equal", voltage = "C1", equals = "R1", points = 2},
  {id = "cross", find = "time when equal", current = "C1", equals = "R2", points = 2},
]
[[problem]]
id = "bell"
ground = "g"
element = [
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "25 uF", initial = "10 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "40 mH"},
]
item = [
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "i", find = "expression", current = "L1", points = 4},
  {id = "first", find = "time when equal", energy = "L1", equals = "C1", points = 2},
  {id = "third", find = "time when equal", energy = "L1", equals = "C1", crossing = "3", points = 2},
]
"""

SLOW = {"v": "15(1 - e^(-t/20ms)) V"}
FAST = {"v": "10 cos(2000t) V", "i": "0.25 sin(2000t) A"}


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "meetings.toml"))


@pytest.mark.parametrize(
    ("problem", "own", "item", "text", "points"),
    [
        ("pump", {}, "meet", "16.48 ms", 2),
        ("pump", {}, "cross", "24.14 ms", 2),
        ("bell", {}, "first", "0.7854 ms", 2),
        ("bell", {}, "third", "3.927 ms", 2),
        ("bell", {}, "third", "2.356 ms", 0),
        ("pump", SLOW, "meet", "21.97 ms", 2),
        ("pump", SLOW, "cross", "32.19 ms", 2),
        ("pump", SLOW, "cross", "27.73 ms", 2),
        ("pump", SLOW, "cross", "30 ms", 0),
        ("pump", {"tau": "20 ms"}, "meet", "21.97 ms", 2),
        ("pump", {"tau": "15 ms"}, "meet", "21.97 ms", 0),
        ("bell", FAST, "first", "0.3927 ms", 2),
        ("bell", FAST, "third", "1.963 ms", 2),
        ("bell", FAST, "third", "1.178 ms", 0),
    ],
)
def test_points(key, problem, own, item, text, points):
    answers = {f"{problem}.{id}": said for id, said in own.items()} | {f"{problem}.{item}": text}
    assert marks_of(key, answers)[f"{problem}.{item}"].awarded == points


def test_its_words(key):
    text = key.rubric.problem("bell").item("third").text
    assert text == "Time t at which the energy stored in L1 equals the energy stored in C1 for the 3rd time"


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ('equals = "R9"', "'equals' must name an element of the circuit, not 'R9'"),
        ('equals = "C1"', "their difference is zero all the time"),
        ('equals = "R1", crossing = "0"', "'crossing' says which crossing counts"),
        ('equals = "R1", crossing = "2"', "their difference does not reach zero 2 times"),
        ('equals = "R1", until = "5 ms"', "their difference does not reach zero before t = 5 ms"),
        ('equals = "R2"', "their difference is zero all the time"),
        ('equals = "S1"', "their difference never reaches zero"),
    ],
)
def test_what_is_wrong_with_it_is_one_sentence(changed, told):
    with pytest.raises(RubricError) as error:
        build_key(
            read_rubric(
                RUBRIC.replace('voltage = "C1", equals = "R1"', f'voltage = "C1", {changed}').encode(), "m.toml"
            )
        )
    assert told in str(error.value)


def test_mistakes_lead_to_other_instants_and_no_factor_of_an_energy_does(key):
    """One resistor alone: 4 kΩ · 5 μF = 20 ms, and 20 ln 3; the second meeting for the third."""
    assert "nearest-resistor-only" in marks_of(key, {"pump.meet": "21.97 ms"})["pump.meet"].mistakes
    assert marks_of(key, {"bell.third": "2.356 ms"})["bell.third"].mistakes[0] == "earlier-crossing"
    assert not marks_of(key, {"bell.third": "7.854 ms"})["bell.third"].mistakes


def test_two_voltages_of_a_ringing_circuit_meet_where_a_general_root_finder_says():
    """12 V on 6 Ω, 1 H, 40 mF: v_C = 12 - e^(-3t)(12 cos 4t + 9 sin 4t), i = 40 mF v' = 3 e^(-3t) sin 4t, v_R = 18 e^(-3t) sin 4t V."""
    rubric = """title = "Ring (invented)"
[[problem]]
id = "ring"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "12 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "6 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "1 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "40 mF"},
]
item = [{id = "t", find = "time when equal", voltage = "R1", equals = "C1", points = 1}]
"""
    found = build_key(read_rubric(rubric.encode(), "ring.toml")).item("ring", "t").reference.answer
    apart = brentq(lambda t: math.exp(-3 * t) * (12 * math.cos(4 * t) + 27 * math.sin(4 * t)) - 12, 0.05, 0.8)
    assert found.value() == pytest.approx(apart, rel=1e-9)
