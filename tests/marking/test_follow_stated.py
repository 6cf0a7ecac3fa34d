"""Stated values whose key names earlier expressions at an instant: the constants of a response.

All points were worked out by hand before any program saw them.  `horn`: 26 cos(48 t) V on 10 Ω and 0.5 H, 1/(5 (5/13)^2): of
2.6/(1 + j 2.4) the steady current is 5/13 cos(48 t) + 12/13 sin(48 t) A, so that A = -0.3846 A; its slope is 48 · 12/13 = 44.31 A/s.
`crane`: 12 V on 6 Ω, 1 H and 40 mF from rest: alpha = 3, omega_d = 4; v = 12 + e^(-3 t)(B1 cos 4t + B2 sin 4t), B1 = -12, B2 = 3 B1/4 = -9.
With 10 V in the end: -10 and -7.5.  `hoist`: the same after its expression; 12 - 12 e^(-3 t)(cos 4t + 0.5 sin 4t) starts from 0 with
the slope 36 - 24 = 12, so that B2 = (12 - 36)/4 = -6; its natural part is what it says less 12.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

LOOP = """
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "12 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "6 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "1 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "40 mF"},
]
"""
RUBRIC = f"""
title = "Harbour (invented)"
[marking]
tolerance = "1 %"
[[problem]]
id = "horn"
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "26 cos(48 t) V"}},
  {{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"}},
  {{name = "R1", kind = "resistor", between = ["b", "c"], value = "10 ohm"}},
  {{name = "L1", kind = "inductor", between = ["c", "g"], value = "0.5 H"}},
]
item = [
  {{id = "steady", find = "forced part", current = "L1", points = 3}},
  {{id = "A", find = "stated value", key = "-steady(0)", points = 2, text = "A in A e^(-20 t)"}},
  {{id = "slope", find = "stated value", key = "steady' (0*L1/R1)", points = 2, text = "Slope of the steady part at t = 0"}},
]
[[problem]]
id = "crane"
{LOOP}
item = [
  {{id = "final", find = "final value", voltage = "C1", points = 1}},
  {{id = "alpha", find = "damping coefficient", points = 1}},
  {{id = "wd", find = "damped natural frequency", points = 1}},
  {{id = "B1", find = "stated value", key = "0 V-final", points = 2, text = "B1"}},
  {{id = "B2", find = "stated value", key = "alpha*B1/wd", points = 2, text = "B2"}},
  {{id = "v", find = "expression", voltage = "C1", points = 4}},
]
[[problem]]
id = "davit"
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], step = {{before = "0 V", after = "12 V"}}}},
  {{name = "R1", kind = "resistor", between = ["a", "b"], value = "6 ohm"}},
  {{name = "L1", kind = "inductor", between = ["b", "g"], value = "2 H"}},
]
item = [
  {{id = "K", find = "stated value", key = "-2 A", points = 1, text = "K in i = 2 A + K e^(-3 t)"}},
  {{id = "i", find = "expression", current = "L1", points = 4}},
]
[[problem]]
id = "hoist"
{LOOP}
item = [
  {{id = "v", find = "expression", voltage = "C1", points = 4}},
  {{id = "B1", find = "stated value", key = "v(0) - 12 V", points = 2, text = "B1"}},
  {{id = "B2", find = "stated value", key = "(v'(0)*1 s + 3 v(0) - 36 V)/4", points = 2, text = "B2"}},
  {{id = "natural", find = "stated value", key = "v(t) - 12 V", points = 2, text = "The natural part"}},
]
"""

STEADY, TEN = {"steady": "0.5 cos(48t) + 0.9231 sin(48t) A"}, {"final": "10 V"}
HALF = {"v": "12 - 12 e^(-3t)(cos(4t) + 0.5 sin(4t)) V"}
ROWS = [
    ("horn", {}, "A", "-0.385 A", 2),
    ("horn", {}, "A", "0 A", 0),
    ("horn", STEADY, "A", "-0.5 A", 2),
    ("horn", STEADY, "A", "-0.385 A", 2),
    ("horn", STEADY, "A", "-0.9231 A", 0),
    ("horn", STEADY, "slope", "44.3 A/s", 2),
    ("horn", {"steady": "0.385 cos(48t) + 0.5 sin(48t) A"}, "slope", "24 A/s", 2),
    ("horn", {"steady": "0.385 cos(48t) + 0.5 sin(48t) A"}, "A", "-0.5 A", 0),
    ("crane", TEN, "B1", "-10 V", 2),
    ("crane", TEN, "B2", "-7.5 V", 2),  # B1 was left blank
    ("crane", TEN | {"B1": "-10 V"}, "B2", "-7.5 V", 2),
    ("crane", TEN | {"B1": "-8 V"}, "B2", "-6 V", 2),
    ("crane", TEN | {"B1": "-8 V"}, "B2", "-7 V", 0),
    ("hoist", HALF, "B1", "-12 V", 2),
    ("hoist", HALF, "B2", "-6 V", 2),
    ("hoist", HALF, "B2", "-9 V", 2),
    ("hoist", HALF, "B2", "-3 V", 0),
    ("hoist", HALF, "natural", "-12 e^(-3t)(cos(4t) + 0.5 sin(4t)) V", 2),
    ("hoist", {}, "natural", "-12 e^(-3t)(cos(4t) + 0.75 sin(4t)) V", 2),
]


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "stated.toml"))


@pytest.mark.parametrize(("problem", "own", "item", "text", "points"), ROWS)
def test_a_constant_follows_from_the_own_response(key, problem, own, item, text, points):
    answers = {f"{problem}.{id}": said for id, said in own.items()} | {f"{problem}.{item}": text}
    assert marks_of(key, answers)[f"{problem}.{item}"].awarded == points


@pytest.mark.parametrize(
    ("answers", "points"),
    [
        ({"crane.B2": "9 V", "crane.v": "12 + e^(-3t) (-12 cos 4t + 9 sin 4t) V"}, 4),
        ({"crane.B1": "-10 V", "crane.v": "12 + e^(-3t) (-10 cos 4t - 9 sin 4t) V"}, 4),
        ({"crane.B2": "9 V", "crane.wd": "5 1/s", "crane.v": "12 + e^(-3t) (-12 cos 5t + 9 sin 5t) V"}, 4),
        ({"davit.K": "2 A", "davit.i": "2 + 2e^(-3t) A"}, 4),
        ({"davit.K": "-1 A", "davit.i": "2 - e^(-3t) A"}, 4),
    ],
)
def test_a_response_follows_from_its_own_constants(key, answers, points):
    assert marks_of(key, answers)[[*answers][-1]].awarded == points


@pytest.mark.parametrize(
    "answers",
    [
        {"crane.B2": "9 V", "crane.v": "12 + e^(-3t) (-12 cos 4t + 6 sin 4t) V"},
        {"crane.B1": "-12 V", "crane.B2": "-9 V", "crane.v": "12 + e^(-3t) (-12 cos 4t + 9 sin 4t) V"},
        {"davit.K": "-1 A", "davit.i": "2 - 1.5e^(-3t) A"},
        {"davit.K": "-3 A", "davit.i": "3 - 2 e^(-3t) A"},  # K is said to be the exponential's
    ],
)
def test_other_constants_do_not(key, answers):
    assert marks_of(key, answers)[[*answers][-1]].awarded < 4


COIL = """
title = "Windlass (invented)"
[[problem]]
id = "coil"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "15 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "50 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "0.5 H"},
]
item = [
  {id = "%s", find = "stated value", key = "%s", points = 1, text = "%s"},
  {id = "i", find = "expression", current = "L1", points = 4},
]
[[problem]]
id = "tank"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "8 V", after = "4 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "2 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "10 uF"},
]
item = [
  {id = "first", find = "initial value", voltage = "C1", points = 1},
  {id = "%s", find = "stated value", key = "%s", points = 1, text = "%s"},
  {id = "v", find = "expression", voltage = "C1", points = 4},
]
"""
"""By hand: 15 V / 50 Ω = 0.3 A, tau = 10 ms, i = 0.3 - 0.3 e^(-100 t) A; v = 4 + 4 e^(-50 t) V."""


@pytest.mark.parametrize(
    ("said", "own", "answer", "follows"),
    [
        (("b", "-0.3 A", "b in i = a + b e^(-t/tau)"), "-0.4 A", "0.3 - 0.4e^(-100t) A", True),
        (("a", "0.3 A", "a in i = a + b e^(-t/tau)"), "0.4 A", "0.4 - 0.4e^(-100t) A", True),
        (("k", "-0.3 A", "The constant k"), "-0.4 A", "0.3 - 0.4e^(-100t) A", True),
        (("bounce", "0.3 s", "How long may the switch bounce?"), "0.4 s", "0.4(1 - e^(-100t)) A", False),
        (("A", "0.3 s", "A"), "0.4 s", "0.4(1 - e^(-100t)) A", False),
        (("A", "0.3", "A"), "0.4", "0.4(1 - e^(-100t)) A", False),
        (("A", "0.3 V", "A"), "0.4 V", "0.4(1 - e^(-100t)) A", False),
        (("limit", "0.3 A", "A current limit of the source"), "0.4 A", "0.4(1 - e^(-100t)) A", False),
        (("d", "-0.3 A", "The current of the other branch"), "-0.4 A", "0.3 - 0.4e^(-100t) A", False),
        (("b", "-0.3 A", "b"), "-0.4 A", "0.4(1 - e^(-100t)) A", False),
    ],
)
def test_only_what_the_rubric_says_is_a_constant_counts_as_one(said, own, answer, follows):
    key = build_key(read_rubric((COIL % (*said, "x", "1 V", "x")).encode(), "coil.toml"))
    assert (marks_of(key, {f"coil.{said[0]}": own, "coil.i": answer})["coil.i"].awarded == 4) is follows


@pytest.mark.parametrize(
    ("said", "own", "answer", "follows"),
    [
        (("B", "4 V", "B in v = 4 V + B e^(-50 t)"), "5 V", "4 + 5e^(-50t) V", True),
        (("B", "4 V", "B in v = 4 V + B e^(-50 t)"), "5 V", "5 + 4e^(-50t) V", False),
        (("falls", "first - 4 V", "By how much does it fall?"), "5 V", "4 + 5e^(-50t) V", True),
        (("falls", "4 V", "By how much does the lamp's voltage fall?"), "5 V", "4 + 5e^(-50t) V", False),
        (("late", "4 ms", "By when is the valve open?"), "5 ms", "4 + 5e^(-50t) V", False),
        (("share", "4", "How many tanks are there?"), "5", "5 + 4e^(-50t) V", False),
    ],
)
def test_equal_size_by_chance_is_none(said, own, answer, follows):
    key = build_key(read_rubric((COIL % ("x", "1 A", "x", *said)).encode(), "tank.toml"))
    assert (marks_of(key, {f"tank.{said[0]}": own, "tank.v": answer})["tank.v"].awarded == 4) is follows


CAPSTAN = f"""
title = "Capstan (invented)"
[[problem]]
id = "capstan"
{LOOP.replace("6 ohm", "10 ohm")}
item = [
  {{id = "%s", find = "stated value", key = "%s", points = 1, text = "%s"}},
  {{id = "v", find = "expression", voltage = "C1", points = 4}},
]
"""
"""By hand: alpha = omega0 = 5, v = 12 - (12 + 60 t) e^(-5 t) V."""


@pytest.mark.parametrize(
    ("said", "own", "answer", "follows"),
    [
        (("B", "-60 V/s", "B in v = 12 V + (A + B t) e^(-5 t)"), "-50 V/s", "12 - (12 + 50 t) e^(-5t) V", True),
        (("A", "-12 V", "A in v = 12 V + (A + B t) e^{-5 t}"), "-10 V", "12 - (10 + 60 t) e^(-5t) V", True),
        (("K2", "-60 V/s", "K₂ in v = 12 V + (K₁ + K₂ t) exp(-5 t)"), "-50 V/s", "12 - (12 + 50 t) e^(-5t) V", True),
        (("B", "-60 V", "B in v = 12 V + (A + B t) e^(-5 t)"), "-50 V", "12 - (12 + 50 t) e^(-5t) V", False),
        (("rate", "-60 V/s", "How fast does the lamp's voltage fall?"), "-50 V/s", "12 - (12 + 50 t) e^(-5t) V", False),
    ],
)
def test_a_constant_beside_t_is_one_per_second(said, own, answer, follows):
    key = build_key(read_rubric((CAPSTAN % said).encode(), "capstan.toml"))
    assert (marks_of(key, {f"capstan.{said[0]}": own, "capstan.v": answer})["capstan.v"].awarded == 4) is follows
