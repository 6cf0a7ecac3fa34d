"""Rules of marking, each by answers whose points were worked out by hand before any program saw them.

The circuits stand in ``rules.toml``; by hand: `tank` v = 6 + 24 e^(-500t) V, i = -6 e^(-500t) mA, i_R1 = 1.2 - 1.2 e^(-500t) mA,
R seen = 4 kΩ, tau = 2 ms; `coil` i = 300 (1 - e^(-200t)) mA, v_L = 12 e^(-200t) V; `ring` alpha = 60, omega0 = 100,
v = 16 - e^(-60t) (16 cos 80t + 12 sin 80t) V, i = 2 e^(-60t) sin 80t A; `critical` i = 160 t e^(-100t) A; `two` s = -400 ± 0 …
"""

from pathlib import Path

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import load_rubric, read_rubric
from grader.uploads.upload import Upload, Written


@pytest.fixture(scope="module")
def key():
    return build_key(load_rubric(Path(__file__).with_name("rules.toml")))


def marks_of(key, answers):
    """The marks of answers by ``problem.item``, marked as one upload."""
    written = tuple(
        Written(problem=place.split(".")[0], item=place.split(".")[1], text=text) for place, text in answers.items()
    )
    marked = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written))
    return {f"{mark.problem}.{mark.item}": mark for mark in marked.marks}


ONE_CHARGE = [
    # A unit of another kind: the digits as the asked unit would have them; 2 points less a quarter for the unit.
    ("tank.vf", "6 A", 1.5),
    ("tank.i1", "1.2 V", 1.5),  # for 1.2 mA
    ("tank.seen", "4 F", 1.5),  # for 4 kΩ
    ("tank.seen", "4 kHz", 1.5),
    ("tank.tau", "2 V", 1.5),  # for 2 ms
    ("tank.tau", "2 Hz", 1.5),
    ("tank.tau", "2 mV", 1.5),
    ("tank.seen", "4", 1.5),
    ("tank.seen", "7 F", 0),
    ("tank.i", "-6 e^(-500t) V", 3),  # 4 less a quarter
    ("coil.i", "300 (1 - e^(-200t)) V", 3),
    ("tank.i1", "-1.2 V", 0.75),  # sign: half of 2; then the unit, a quarter of what is left
]

POWERS_OF_TEN = [
    # What the rubric says for a slip of the power of ten: half, wherever the response starts.
    ("tank.v", "6 + 24 e^(-500t) mV", 2),
    ("coil.i", "300 (1 - e^(-200t)) A", 2),
    ("coil.i", "0.3 (1 - e^(-200t)) kA", 2),
    ("tank.tau", "20 ms", 1),
    ("tank.tau", "0.2 s", 1),  # a hundred
    ("tank.vf", "60 V", 1),
    ("tank.vf", "0.06 V", 1),
    ("tank.vf", "6.000 MV", 1),  # a wrong prefix: nobody writes M for m and a point between thousands at once
    ("tank.vf", "6.000 kV", 1),
    ("tank.i", "-6 e^(-500t) pA", 2),  # a thousand million times too small
    ("coil.i", "3 (1 - e^(-200t)) A", 2),
    ("coil.i", "300 (1 - e^(-200t)) V", 3),  # no power of ten: the unit alone
]

WHOLE_SIGN = [
    ("tank.v", "-6 - 24 e^(-500t) V", 2),
    ("coil.i", "-300 (1 - e^(-200t)) mA", 2),
    ("tank.i", "6 e^(-500t) mA", 2),
    ("free.v", "-V0 e^(-t/(R C))", 2),
    ("ring.i", "-2 e^(-60t) sin(80t) A", 3),
]

FORM = [
    # The constant missing: initial value and time constant are right, final value and form are not.
    ("tank.v", "30 e^(-500t) V", 2),
    ("tank.v", "24 e^(-500t) V", 1),
    ("letters.v", "V0 e^(-2t/(R C))", 2),
    # Charging for discharging, or the other way round: start and final value are lost, time constant and form are not,
    # as where both ends are other than zero (24 e^(-500t) + 6 turned over is 30 - 24 e^(-500t)).
    ("tank.i", "-6 (1 - e^(-500t)) mA", 2),
    ("coil.vl", "12 (1 - e^(-200t)) V", 2),
    ("free.v", "V0 (1 - e^(-t/(R C)))", 2),
    ("tank.v", "30 - 24 e^(-500t) V", 2),
    ("coil.i", "0.3 e^(-200t) A", 2),
    ("rise.i", "V0/R e^(-R t/L)", 2),
    ("coil.i", "0.3 e^(-100t) A", 1),  # and the time constant lost
    ("rise.i", "V0/R e^(-t/(R L))", 1),
    ("coil.i", "0.3 e^(-100t) + 0.2 e^(-200t) A", 0),  # a term of another rate is no exchange
    ("coil.i", "0.2 e^(-200t) A", 1),  # it starts at no value of the circuit: the time constant alone
    ("rise.i", "2 V0/R e^(-R t/L)", 1),
    ("ring.v", "e^(-60t) (16 cos 80t + 12 sin 80t) V", 3),  # time constant, frequency, form
    # Damping or oscillation lost.
    ("ring.v", "16 - 20 cos(80t - 36.87°) V", 2),  # initial value, frequency
    ("ring.v", "16 - 16 e^(-60t) V", 3),  # initial value, final value, time constant
    ("ring.i", "2 sin(80t) A", 3),  # initial value, slope 160 A/s, frequency; of six parts
    # One letter missing: what is right of the rest.
    ("critical.i", "160 e^(-100t) A", 2.5),  # final value, time constant; of four parts
    ("ring.i", "2 e^(-60t) sin 80 A", 2),  # final value, time constant
    # The time constant is wrong and nothing else.
    ("tank.v", "6 + 24 e^(-50t) V", 3),
    ("tank.v", "6 + 24 e^(500t) V", 2),  # initial value and form
]

COEFFICIENTS = [
    ("coil.i", "0.304 - 0.296 e^(-200t) A", 4),  # each within 2 %
    ("tank.v", "6.1 + 23.6 e^(-500t) V", 4),
    ("tank.v", "6.2 + 23.8 e^(-500t) V", 3),  # 6.2 is 3.3 % off: the final value
    ("tank.v", "6 + 25 e^(-500t) V", 3),  # 31 for 30 is 3.3 % off: the initial value
]


SYMBOLIC_PARTS = [
    # `letters` v = V0/2 + V0/2 e^(-2t/(RC)); `numbers` v = 15 + 15 e^(-500t) V: the same slip costs the same.
    ("letters.vc", "V0/2 (1 + e^(-2t/(R C)))", 4),
    ("letters.vc", "V0/2 (1 + e^(-t/(R C)))", 3),  # the time constant is wrong, both coefficients are right
    ("letters.vc", "V0 e^(-2t/(R C))", 1),
    ("letters.vc", "V0/2 + V0 e^(-2t/(R C))", 1),
    ("numbers.vc", "15 (1 + e^(-500t)) V", 4),
    ("numbers.vc", "15 (1 + e^(-250t)) V", 3),
    ("numbers.vc", "30 e^(-500t) V", 1),
    ("numbers.vc", "15 + 30 e^(-500t) V", 1),
]

UNITS_OF_LETTERS = [
    ("free.v", "V0 e^(-t/(R C))", 4),
    ("free.ir", "V0/R e^(-t/(R C))", 4),
    ("free.i0", "V0/R", 2),
    ("jump.i", "Va/R e^(-R t/L)", 4),
    ("jump.vl", "-Va", 2),
    ("jump.vl", "Va", 1),  # the sign: half
]

CONSTANTS_BESIDE = [
    ("ring.v", "16 + e^(-60t)(A cos 80t + B sin 80t) V, A=-16, B=-12", 5),
    ("ring.v", "16 + e^(-60t)(A cos 80t + B sin 80t), A=-16, B=-12", 3.75),  # no unit, as inside
    ("ring.v", "16 - e^(-60t)(16 cos 80t + 12 sin 80t)", 3.75),
    ("ring.v", "16 V + e^(-60t)(A cos 80t + B sin 80t), A=-16 V, B=-12 V", 5),
    ("two.v", "A t e^(-400t) with A = 2400", 3),
]

METHOD_ONLY = [
    # A general solution with nothing answered says the method: the rubric's quarter.
    ("tank.v", "v(∞) + (v(0) - v(∞)) e^(-t/τ)", 1),
    # Vs/R1 stands for itself: initial value, final value and form; the time constant was never answered.
    ("coil.i", "Vs/R1 (1 - e^(-t/tau))", 3),
    ("coil.tau", "L1/R1", 2),
]

ORIGINS = [
    # 20 V falls to 10 V in 5 ms ln 2 = 3.466 ms, at t = 13.466 ms.
    ("late.t10", "13.47 ms", 2),
    ("late.t10", "3.466 ms after the switch closes", 2),
    ("late.t10", "3.47 ms after switching", 2),
    ("late.t10", "3.466 ms", 0),
    ("late.t10", "3.466 ms after t = 10 ms", 2),
    ("late.t10", "3.466 ms past 10 ms", 2),
    ("late.t10", "8.466 ms after t = 5 ms", 2),
    ("late.t10", "t - 10 ms = 3.466 ms", 2),
    ("late.t10", "t - 10 ms = 3.466 ms, so t = 13.466 ms", 2),
    ("late.t10", "10 + 5*log(2) ms", 2),
    ("late.t10", "T = 5 ms, t = 10 ms + 0.693 T = 13.466 ms", 2),
    ("late.t10", "after 13.466 ms it is 10 V", 2),
    ("late.t10", "t - 0.01 = 3.466 ms", 2),
    ("late.t10", "t' = 3.466 ms", 2),
    ("late.t10", "Δt = 3.466 ms", 2),
    ("late.t10", "3.466 ms after the turn-on", 2),
    ("late.t10", "3.466 ms after t = 5 ms", 0),
    ("late.t10", "3.466 ms after t = 0", 0),
    ("late.t10", "v is 10 V after 13.47 ms", 2),
]

NEARLY_CRITICAL = [
    ("rounded.type", "critically damped", 1),
    ("rounded.type", "overdamped", 1),  # to the letter
    ("rounded.type", "underdamped", 0),
    ("below.type", "critically damped", 1),
    ("below.type", "underdamped", 1),
    ("below.type", "overdamped", 0),
]

TABLES = (
    NEARLY_CRITICAL,
    ONE_CHARGE, POWERS_OF_TEN, WHOLE_SIGN, FORM, COEFFICIENTS, SYMBOLIC_PARTS, UNITS_OF_LETTERS, CONSTANTS_BESIDE,
    METHOD_ONLY, ORIGINS,
)  # fmt: skip


@pytest.mark.parametrize(("place", "text", "points"), [row for table in TABLES for row in table])
def test_points_worked_out_by_hand(key, place, text, points):
    assert marks_of(key, {place: text})[place].awarded == pytest.approx(points, abs=1e-4)


def test_a_general_solution_of_own_answers_is_right(key):
    answers = {"tank.v0": "30 V", "tank.vf": "6 V", "tank.tau": "2 ms", "tank.v": "v(∞) + (v(0) - v(∞)) e^(-t/τ)"}
    assert marks_of(key, answers)["tank.v"].awarded == 4


def test_the_method_alone_is_no_matter_for_a_person(key):
    mark = marks_of(key, {"tank.v": "v(∞) + (v(0) - v(∞)) e^(-t/τ)"})["tank.v"]
    assert (mark.verdict, mark.review) == ("partly correct", False)


@pytest.mark.parametrize(
    ("place", "text", "direction"),
    [
        ("tank.i", "6 e^(-500t) mA", True),
        ("tank.i0", "6 mA", True),
        ("tank.slope", "12 kV/s", True),
        ("tank.seen", "-4 kohm", False),
        ("tank.t15", "-1.962 ms", False),  # 2 ms ln(24/9)
        ("ring.alpha", "-60 /s", False),
    ],
)
def test_a_reference_direction_is_spoken_of_where_there_is_one(key, place, text, direction):
    mark = marks_of(key, {place: text})[place]
    assert mark.awarded == mark.possible / 2
    assert any("reference direction" in reason for reason in mark.reasons) is direction


FOLLOWED_BY_LAW = [
    # i = C dv/dt: 0.5 uF · 24 V · (-250/s) = -3 mA
    ({"tank.v": "6 + 24 e^(-250t) V", "tank.i": "-3 e^(-250t) mA"}, "tank.i", 4),
    # i_R1 = (30 V - v)/20 kΩ
    ({"tank.v": "6 + 24 e^(-250t) V", "tank.ir": "1.2 - 1.2 e^(-250t) mA"}, "tank.ir", 4),
    ({"tank.vf": "24 V", "tank.i1": "0.3 mA"}, "tank.i1", 2),
    # i_C = (30 V - v)/20 kΩ - v/5 kΩ = 0.3 mA - 4.8 mA at v = 24 V
    ({"tank.v0": "24 V", "tank.i0": "-4.5 mA"}, "tank.i0", 2),
    ({"tank.v0": "24 V", "tank.i0": "4.5 mA"}, "tank.i0", 1),  # and its sign turned: half
    # v_L = L di/dt = 0.2 H · 0.2 A · 200/s; v_R = 40 Ω · i
    ({"coil.i": "0.2 (1 - e^(-200t)) A", "coil.vl": "8 e^(-200t) V"}, "coil.vl", 4),
    ({"coil.i": "0.2 (1 - e^(-200t)) A", "coil.vr": "8 (1 - e^(-200t)) V"}, "coil.vr", 4),
    ({"coil.final": "0.2 A", "coil.w": "4 mJ"}, "coil.w", 2),  # 0.2 H · (0.2 A)^2/2
    # time to reach from the own expression: 4 ms · ln(24/9)
    ({"tank.v": "6 + 24 e^(-250t) V", "tank.t15": "3.923 ms"}, "tank.t15", 2),
    ({"tank.vf": "24 V", "tank.w": "144 uJ"}, "tank.w", 2),
    ({"tank.i0": "-4.8 mA", "tank.slope": "-9600 V/s"}, "tank.slope", 2),
    # 25 kΩ · 0.5 uF = 12.5 ms; written in us it is a slip of the prefix on the way: half
    ({"tank.seen": "25 kohm", "tank.tau": "12.5 ms"}, "tank.tau", 2),
    ({"tank.seen": "25 kohm", "tank.tau": "12.5 us"}, "tank.tau", 1),
    ({"tank.seen": "4 ohm", "tank.tau": "2 us"}, "tank.tau", 2),
    # The current of R1 from the own voltage of the coil: (24 V - 20 V)/6 Ω, where 16 V is right
    ({"bridge.vl0": "20 V", "bridge.i10": "0.667 A"}, "bridge.i10", 2),
    ({"bridge.vl": "20 e^(-200t) V", "bridge.i1": "4 - 3.333 e^(-200t) A"}, "bridge.i1", 4),
    ({"bridge.vl": "20 e^(-200t) V", "bridge.i2": "1.667 e^(-200t) A"}, "bridge.i2", 4),
    # An initial value from the own expression: (30 V - 20 V)/20 kΩ - 20 V/5 kΩ
    ({"tank.v": "6 + 14 e^(-500t) V", "tank.i0": "-3.5 mA"}, "tank.i0", 2),
    # In the end all the current of R1 is the coil's
    ({"bridge.i1f": "1.333 A", "bridge.ilf": "1.333 A"}, "bridge.ilf", 1),
    # The second interval starts where the own first one ends: 20 (1 - e^-0.5) = 7.869 V, where 20 (1 - e^-1) is right
    ({"twice.v": "20 (1 - e^(-62.5t)) V", "twice.v2start": "7.87 V"}, "twice.v2start", 1),
    # i_C = (own final value - start)/3 kΩ: (10 - 12.642) V/3 kΩ, where (15 - 12.642) V/3 kΩ is right
    ({"twice.vf2": "10 V", "twice.ic2": "-0.881 mA"}, "twice.ic2", 2),
    ({"twice.v": "20 (1 - e^(-62.5t)) V", "twice.v2": "15 - 7.131 e^(-(t-8ms)/6ms) V"}, "twice.v2", 4),
    # Asked the other way round: 1/80 s, and 12.5 ms/0.5 uF = 25 kΩ
    ({"turned.v": "24 + 6e^(-80t) V", "turned.vf": "24 V"}, "turned.vf", 2),
    ({"turned.v": "24 + 6e^(-80t) V", "turned.tau": "12.5 ms"}, "turned.tau", 2),
    ({"turned.tau": "12.5 ms", "turned.seen": "25 kohm"}, "turned.seen", 2),
    # tau was not asked: 4 kΩ · 1 uF, where 2 kΩ is right; the second interval starts at the own value, 3 V for 3.459 V
    ({"plain.seen": "4 kohm", "plain.v": "4 - 4 e^(-250t) V"}, "plain.v", 4),
    ({"plain.v4": "3 V", "plain.v2": "3 e^(-(t-4ms)/3ms) V"}, "plain.v2", 4),
    # tau was asked for the first interval; the third one has the same resistance: v(20 ms) = 15 - 2.358 e^-2 = 14.681 V
    ({"twice.tau": "4 ms", "twice.v3": "20 - 5.319 e^(-250(t-20ms)) V"}, "twice.v3", 4),
]


@pytest.mark.parametrize(("answers", "place", "points"), FOLLOWED_BY_LAW)
def test_what_follows_by_the_laws_earns_in_full(key, answers, place, points):
    """The first answer is wrong, the last one right for it."""
    marks = marks_of(key, answers)
    first = next(iter(answers))
    assert marks[place].awarded == pytest.approx(points, abs=1e-4)
    assert first.split(".")[1] in marks[place].follows_from


def test_what_follows_in_full_is_said_to_cost_nothing_and_is_no_mistake(key):
    mark = marks_of(key, {"tank.seen": "25 kohm", "tank.tau": "12.5 ms"})["tank.tau"]
    assert "The slip there is not charged again." in mark.reasons
    assert (mark.verdict, mark.mistakes) == ("correct by follow-through", ())


def test_no_answer_is_spoken_of_that_was_never_given(key):
    """R seen is 25 kohm, so tau is 12.5 ms: v = 6 + 24 e^(-80t) V falls to 15 V in 12.5 ms ln(24/9) = 12.26 ms."""
    mark = marks_of(key, {"tank.seen": "25 kohm", "tank.t15": "12.26 ms"})["tank.t15"]
    assert mark.awarded == 2
    assert "It follows in several steps, some of which you did not write down." in mark.reasons
    mark = marks_of(key, {"tank.seen": "25 kohm", "tank.tau": "12.5 ms"})["tank.tau"]
    assert not any("several steps" in reason for reason in mark.reasons)


def test_an_origin_of_time_that_counts_was_not_ignored(key):
    mark = marks_of(key, {"late.t10": "3.466 ms after the switch closes"})["late.t10"]
    assert "It was counted from the switching, as you say." in mark.reasons
    assert not any("ignored" in reason for reason in mark.reasons)


@pytest.mark.parametrize(
    ("text", "points", "review"),
    [
        ("t' = 3.466 ms, so t = 13.466 ms", 2, False), ("t - 10 ms = 3.466 ms", 2, False), ("3.466 ms after the release", 0, True),
        ("3.466 ms after the contact has moved", 0, True), ("3.466 ms", 0, False),
    ],
)  # fmt: skip
def test_an_instant_counted_from_what_nobody_knows_waits(key, text, points, review):
    mark = marks_of(key, {"late.t10": text})["late.t10"]
    assert (mark.awarded, bool(mark.review)) == (points, review)


def test_what_stands_later_on_the_sheet_excuses_nothing_before_it(key):
    """Each would follow from the other, and the slip be charged nowhere."""
    marks = marks_of(key, {"tank.seen": "25 kohm", "tank.tau": "12.5 ms"})
    assert (marks["tank.seen"].awarded, marks["tank.tau"].awarded) == (0, 2)
    marks = marks_of(key, {"turned.seen": "25 kohm", "turned.tau": "12.5 ms"})
    assert (marks["turned.tau"].awarded, marks["turned.seen"].awarded) == (0, 2)


def test_the_key_near_critical_damping_does_not_cancel(key):
    """i = 16 V/0.1 H t e^(-100t), and v = 16 V - (16 + 1600 t) e^(-100t) V, as in critical damping."""
    assert key.item("rounded", "i").reference.text == "160t·e^(−100t) A"
    assert key.item("below", "v").reference.text == "(16 − 16e^(−100t) − 1600t·e^(−100t)) V"


@pytest.mark.parametrize("answer", ["0.5 C v^2", "0.5 C V^2"])
def test_a_dimension_that_no_quantity_has_waits_for_a_person(key, answer):
    """Half a coulomb times volts squared is nobody's energy: letters were meant."""
    assert marks_of(key, {"coil.w": answer})["coil.w"].review


@pytest.mark.parametrize("text", ["13.466 ms after t = 10 ms", "t - 10 ms = 13.466 ms", "t' = 13.466 ms"])
def test_a_person_looks_at_what_is_right_on_another_clock(key, text):
    mark = marks_of(key, {"late.t10": text})["late.t10"]
    assert (mark.awarded, mark.review) == (0, True)


@pytest.mark.parametrize(
    "text",
    [
        "never, 10 V is not reached (6.32 V is the most)", "never, since v < 10 V", "it never reaches 10 V", "v never gets to 10 V",
        "never because it ends at 6 V", "is not reached, 6.32 V is the most",
    ],
)  # fmt: skip
def test_never_with_a_reason_is_wrong_where_nothing_wrong_was_answered_before(key, text):
    """The sentence says what was understood."""
    mark = marks_of(key, {"late.t10": text})["late.t10"]
    assert (mark.awarded, mark.review) == (0, False)
    assert "understood as 'never'" in mark.reasons[0]


@pytest.mark.parametrize(
    ("text", "points"),
    [
        ("20 ms", 1), ("4k*0.5u = 20 ms", 1), ("4k*0.5m = 2 s", 1), ("4k*0.5u = 2 ms", 2),  # 4 kΩ · 0.5 µF = 2 ms
        ("40k*0.5u = 20 ms", 0), ("0.5u*400 = 0.2 ms", 0), ("40000*0.5e-6 = 0.02 s", 0),
    ],
)  # fmt: skip
def test_what_its_own_working_comes_to_is_no_misplaced_point(key, text, points):
    """Another resistance was taken where the working gives the value as written; only a prefix may be the slip then."""
    assert marks_of(key, {"tank.tau": text})["tank.tau"].awarded == points


NAMED = """
title = "Winch (invented)"
[[problem]]
id = "winch"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], opens = "0 s", closes = "30 ms"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "12 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.24 H"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "8 ohm"},
]
item = [
  {id = "before", find = "value just before switching", current = "L1", points = 1},
  {id = "first", find = "expression", current = "L1", points = 4},
  {id = "open", find = "value just before switching", current = "L1", after = "30 ms", points = 1},
  {id = "second", find = "expression", current = "L1", after = "30 ms", points = 4},
]
"""
"""2 A decay with 0.24/8 = 30 ms, to 0.7358 A at 30 ms; then R1 beside R2, 4.8 ohm, and 50 ms towards 2 A again."""


@pytest.mark.parametrize(
    ("place", "text"),
    [
        ("winch.first", "i(0-)e^(-t/30ms) A"), ("winch.first", "i(0+)e^(-t/30ms) A"), ("winch.first", "i_0 e^(-t/30ms) A"),
        ("winch.first", "iL(0)*e^(-t/30ms) A"), ("winch.first", "1.5 + (i(0) - 1.5)e^(-t/30ms) - (1.5 - (1.5e^(-t/30ms))) A"),
        ("winch.second", "2 - (2 - i(30ms))e^(-(t-30ms)/50ms) A"), ("winch.second", "2 + (i_L(0.03 s+) - 2)e^(-20(t-0.03)) A"),
        ("winch.second", "2 - (2 - i(30 ms-))e^(-20(t-0.03)) A"),
    ],
)  # fmt: skip
def test_what_cannot_jump_is_named_at_its_instant(place, text):
    """Just before, just after, or simply then: it is the same answer of the student's."""
    key = build_key(read_rubric(NAMED.encode(), "winch.toml"))
    answers = {"winch.before": "2 A", "winch.open": "0.7358 A", place: text}
    assert marks_of(key, answers)[place].awarded == 4
