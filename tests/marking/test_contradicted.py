"""A right value of which its own line says that it is something else waits for a person; what a student may call it does not."""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.reading.line.where import Clock, Where
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = """
title = "Weaving shed; circuits and values invented"

[[problem]]
id = "kiln"
text = "S1 has been at p for a long time and goes to q at t = 0."
ground = "g"
element = [
    {name = "V1", kind = "voltage source", between = ["p", "g"], value = "3 V"},
    {name = "V2", kind = "voltage source", between = ["y", "g"], value = "20 V"},
    {name = "R1", kind = "resistor", between = ["y", "q"], value = "3 kohm"},
    {name = "R2", kind = "resistor", between = ["q", "g"], value = "6 kohm"},
    {name = "S1", kind = "changeover switch", common = "s", from = "p", to = "q", at = "0 s"},
    {name = "R3", kind = "resistor", between = ["s", "n"], value = "2 kohm"},
    {name = "C1", kind = "capacitor", between = ["n", "g"], value = "5 uF"},
]
item = [
    {id = "start", find = "initial value", voltage = "C1", points = 1},
    {id = "end", find = "final value", voltage = "C1", points = 1},
    {id = "ic", find = "initial value", current = "C1", points = 1},
    {id = "seen", find = "resistance seen", points = 1},
    {id = "tau", find = "time constant", points = 1},
    {id = "v", find = "expression", voltage = "C1", points = 1},
    {id = "half", find = "half life", points = 1},
    {id = "at", find = "value at", voltage = "C1", at = "20 ms", points = 1},
    {id = "reach", find = "time to reach", voltage = "C1", level = "10 V", points = 1},
]

[[problem]]
id = "loom"
text = "At rest. At t = 0 S1 closes, at t = 30 ms it opens."
ground = "g"
element = [
    {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V"},
    {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s", opens = "30 ms"},
    {name = "R1", kind = "resistor", between = ["b", "c"], value = "8 ohm"},
    {name = "R2", kind = "resistor", between = ["b", "g"], value = "16 ohm"},
    {name = "L1", kind = "inductor", between = ["c", "g"], value = "80 mH"},
]
item = [
    {id = "end", find = "final value", current = "L1", after = "0 s", points = 1},
    {id = "later", find = "expression", current = "L1", after = "30 ms", points = 1},
    {id = "kick", find = "initial value", voltage = "L1", after = "30 ms", points = 1},
    {id = "i", find = "response", current = "L1", points = 1},
]

[[problem]]
id = "bell"
text = "At rest. At t = 0 S1 closes."
ground = "g"
element = [
    {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
    {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
    {name = "R1", kind = "resistor", between = ["b", "c"], value = "60 ohm"},
    {name = "L1", kind = "inductor", between = ["c", "d"], value = "0.5 H"},
    {name = "C1", kind = "capacitor", between = ["d", "g"], value = "200 uF"},
]
item = [
    {id = "w0", find = "undamped natural frequency", points = 1},
    {id = "zeta", find = "damping ratio", points = 1},
    {id = "ode", find = "differential equation", voltage = "C1", points = 1},
    {id = "vs", find = "transform", voltage = "C1", points = 1},
    {id = "H", find = "transfer function", voltage = "C1", of = "Vs", points = 1},
    {id = "roots", find = "characteristic roots", points = 1},
]
"""
RISE, FALL = "3(1-e^(-100t)) A", "2.851e^(-300(t-0.03)) A"
TRANSFORM = "100000/(s(s^2 + 120s + 10000))"
CHARGED = "13.333 - 10.333e^(-50t) V"


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "shed.toml"))


def _mark(key, place, text):
    problem, item = place.split(".")
    upload = Upload(file="u.txt", digest="", student="S1", answers=(Written(problem=problem, item=item, text=text),))
    return next(one for one in mark_upload(key, upload).marks if (one.problem, one.item) == (problem, item))


LABEL, SIDE = "is another quantity than the one asked", "is not what it is said to be equal to"
FUNCTION, RANGE = "is another function than the one asked", "The range of t beside it is not the one asked"
TWICE = "Two pieces are given for the same time"
BEFORE = "What it says of the time before is not so"
INSTANT, TIME, ELEMENT, QUANTITY = (
    f"The words beside it speak of another {one} than" for one in ("instant", "time", "element", "quantity")
)


@pytest.mark.parametrize(
    ("place", "text", "said"),
    [
        ("kiln.end", "v(0-) = 13.33 V", LABEL),
        ("kiln.end", "v(20 ms) = 13.33 V", LABEL),
        ("kiln.end", "u_R3 = 13.33 V", LABEL),
        ("kiln.end", "R3: 13.33 V", LABEL),
        ("kiln.end", "V2 = 13.33 V", LABEL),
        ("kiln.end", "V1 = 13.33 V", LABEL),  # no v1 for the voltage of C1, where V1 is a source
        ("kiln.start", "v(∞) = 3 V", LABEL),
        ("kiln.ic", "i_R2(0+) = 2.583 mA", LABEL),
        ("kiln.at", "v(40 ms) = 9.532 V", LABEL),
        ("kiln.half", "τ = 13.86 ms", LABEL),
        ("kiln.seen", "R2 = 4 kohm", LABEL),
        ("kiln.v", f"i_C(t) = {CHARGED}", LABEL),
        ("kiln.v", f"v_R2(t) = {CHARGED}", LABEL),
        ("loom.kick", "v_L(30ms-) = -68.4 V", LABEL),
        ("bell.w0", "alpha = 100 rad/s", LABEL),
        ("bell.w0", "wd = 100 rad/s", LABEL),
        ("bell.zeta", "Q = 0.6", LABEL),
        ("bell.ode", "i'' + 120i' + 10000i = 100000", LABEL),
        ("bell.vs", f"V_L1(s) = {TRANSFORM}", LABEL),
        ("kiln.v", f"dv/dt = {CHARGED}", FUNCTION),
        ("kiln.v", f"v(2t) = {CHARGED}", FUNCTION),
        ("kiln.tau", "sqrt(tau) = 20 ms", FUNCTION),
        ("kiln.tau", "1/tau = 20 ms", SIDE),
        ("kiln.tau", "R1*C1 = 20 ms", SIDE),
        ("kiln.end", "v(∞) + 3 V = 13.33 V", SIDE),
        ("kiln.end", "v(∞) = V2*R1/(R1+R2) = 13.33 V", SIDE),
        ("kiln.seen", "R1||R2 = 4 kohm", SIDE),
        ("kiln.reach", "1/t = 22.63 ms", SIDE),
        ("kiln.seen", "R^2 = 4 kohm", SIDE),
        ("kiln.seen", "R/R1 = 4 kohm", SIDE),
        ("kiln.seen", "log R = 4 kohm", FUNCTION),
        ("kiln.start", "vC/2 = 3 V", SIDE),
        ("kiln.start", "vC - 2 V = 3 V", SIDE),
        ("loom.end", "Vs/(R1+R2) = 3 A", SIDE),
        ("bell.w0", "1/(L1 C1) = 100 rad/s", SIDE),
        ("bell.zeta", "1-zeta = 0.6", SIDE),
        ("kiln.v", f"{CHARGED} for t < 0", RANGE),
        ("kiln.v", f"{CHARGED} for t > 20 ms", RANGE),
        ("kiln.v", f"{CHARGED} for 0 < t < 1 ms", RANGE),
        ("loom.i", f"0<t<30ms: {RISE}; t>0: {FALL}", TWICE),
        ("loom.i", f"t<0: 1 A; 0<t<30ms: {RISE}; t>30ms: {FALL}", BEFORE),
        ("loom.i", f"3 A (t<0), {RISE} (0<t<30ms), {FALL} (t>30ms)", BEFORE),
        ("kiln.end", "initially 13.33 V", INSTANT),
        ("kiln.end", "13.33 V before t = 0", INSTANT),
        ("loom.end", "before switching 3 A", INSTANT),
        ("kiln.end", "Anfangswert 13.33 V", INSTANT),
        ("kiln.ic", "2.583 mA in steady state", INSTANT),
        ("kiln.end", "13.33 V at t = 20 ms", INSTANT),
        ("loom.kick", "-68.4 V at 10 ms", INSTANT),
        ("kiln.v", f"{CHARGED} at t = 0", INSTANT),
        ("kiln.end", "13.33 V until 20 ms", TIME),
        ("kiln.v", f"{CHARGED} until 10 ms", TIME),
        ("kiln.end", "13.33 V on R1", ELEMENT),
        ("kiln.end", "the drop on R3 is 13.33 V", ELEMENT),
        ("kiln.end", "Spannung an R1: 13.33 V", ELEMENT),
        ("kiln.ic", "R2 carries 2.583 mA", ELEMENT),
        ("kiln.v", f"{CHARGED} across R3", ELEMENT),
        ("kiln.tau", "20 ms is the half-life", QUANTITY),
        ("kiln.tau", "settling time 20 ms", QUANTITY),
        ("kiln.seen", "conductance 4 kohm", QUANTITY),
        ("bell.vs", f"V_C1(s)/s = {TRANSFORM}", FUNCTION),
        ("bell.H", "1/H = 10000/(s^2 + 120s + 10000)", FUNCTION),
        ("bell.H", "1/H(s) = 10000/(s^2 + 120s + 10000)", FUNCTION),
        ("bell.H", "H(s)^2 = 10000/(s^2 + 120s + 10000)", FUNCTION),
        ("bell.H", "V_s/V_C1 = 10000/(s^2 + 120s + 10000)", FUNCTION),
        ("bell.H", "Z(s) = 10000/(s^2 + 120s + 10000)", LABEL[:29]),
    ],
)
def test_a_person_looks_and_is_told_why(key, place, text, said):
    mark = _mark(key, place, text)
    assert (mark.awarded, mark.review) == (1, True)
    assert any(said in reason for reason in mark.reasons)
    assert "This is right." not in mark.reasons


@pytest.mark.parametrize(
    ("place", "text"),
    [
        ("kiln.start", "u_C(0-) = 3 V"),  # what cannot jump
        ("kiln.start", "v(0+) = v(0-) = 3 V"),
        ("kiln.start", "same as before, 3 V"),
        ("kiln.start", "V1 = 3 V"),
        ("kiln.end", "starts at 3 V, ends at 13.33 V"),
        ("kiln.ic", "before 0, after 2.583 mA"),
        ("kiln.ic", "the 2.583 mA that R2 took before now flow into C1"),
        ("kiln.end", "V_th = 13.33 V"),
        ("kiln.end", "v_R2 = 13.33 V"),  # where no current flows it is the same
        ("kiln.end", "V2*R2/(R1+R2) = 13.33 V"),
        ("kiln.ic", "i_R3(0+) = 2.583 mA"),
        ("kiln.ic", "(V_th - v(0))/Rth = 2.583 mA"),
        ("kiln.seen", "R3 + R1||R2 = 4 kohm"),
        ("kiln.seen", "R = 4 kohm"),
        ("kiln.tau", "t = 20 ms"),
        ("kiln.tau", "RC = 20 ms"),
        ("kiln.tau", "tau1 = 20 ms"),
        ("kiln.half", "τ ln 2 = 13.86 ms"),
        ("kiln.half", "t_1/2 = 13.86 ms"),
        ("kiln.at", "v(0.02) = 9.532 V"),
        ("kiln.at", "v(τ) = 9.532 V"),
        ("kiln.reach", "t(10 V) = 22.63 ms"),
        ("kiln.reach", "v(22.63 ms) = 10 V"),
        ("kiln.v", f"u_C(t) = {CHARGED} for t > 0"),
        ("kiln.v", f"v = v(∞)+(v(0)-v(∞))e^(-t/tau) = {CHARGED}"),
        ("loom.end", "V/R = 3 A"),
        ("loom.kick", "v_L(0+) = -68.4 V"),  # from the second switching
        ("loom.kick", "-i(R1+R2) = -68.4 V"),
        ("loom.kick", "-68.4 V at t = 30 ms"),
        ("kiln.start", "3 V in steady state at p"),
        ("kiln.start", "final value before the switching: 3 V"),
        ("kiln.end", "13.33 V across R2"),
        ("kiln.end", "13.33 V on R2, 6.67 V on R1"),
        ("kiln.end", "13.33 V, no voltage on R3"),
        ("kiln.end", "13.33 V at 1 s"),
        ("kiln.ic", "2.583 mA through R3"),
        ("kiln.tau", "20 ms, half life 13.86 ms"),
        ("kiln.tau", "20 ms, settled after 100 ms"),
        ("kiln.v", f"{CHARGED}, at t = 0: 3 V"),
        ("kiln.v", f"{CHARGED} with t = 0 at the switching"),
        ("kiln.v", "13.333 - 10.333e^(-3000t) V, t in minutes"),
        ("kiln.v", f"v(0) = 3 V, {CHARGED}"),
        ("loom.end", "3 A until 30 ms"),
        ("bell.vs", f"H(s)*10/s = {TRANSFORM}"),
        ("bell.H", "V_C1/V_s = 10000/(s^2 + 120s + 10000)"),
        ("bell.roots", "s + 60 = ±j80"),
        ("bell.roots", "2s = -120 ± j160"),
        ("loom.later", f"{FALL} for t > 30 ms"),
        ("loom.later", f"i_R2(t) = {FALL}"),  # counted the other way
        ("loom.i", f"0<t<30ms: {RISE}; t>30ms: {FALL}"),
        ("loom.i", f"t<0: 0 A; 0<t<30ms: {RISE}; t>30ms: {FALL}"),
        ("loom.i", f"0 A (t<0), {RISE} (0<t<30ms), {FALL} (t>30ms) - joins at 2.851 A"),
        ("kiln.ic", "2.583 mA falling to 0 in the end"),
        ("kiln.ic", "2.583 mA before it decays"),
        ("bell.w0", "1/√LC = 100 rad/s"),
        ("bell.zeta", "α/ω0 = 0.6"),
        ("bell.vs", f"V_C(s) = {TRANSFORM}"),
        ("bell.vs", f"V(s) = {TRANSFORM}"),
        ("bell.ode", "x'' + 120x' + 10000x = 100000"),
        ("bell.ode", "v'' + 120v' + 10000v = 100000 for t > 0"),
        ("bell.ode", "y'' + 120y' + 10000y = 100000 with y = vC"),
        ("bell.ode", "The capacitor's voltage obeys v'' + 120 v' + 10000 v = 100000."),
    ],
)
def test_nobody_looks_at_other_names_of_what_is_asked(key, place, text):
    mark = _mark(key, place, text)
    assert (mark.awarded, mark.review) == (1, False)


@pytest.mark.parametrize(
    ("place", "text"),
    [
        ("kiln.end", "13.33 V more"),
        ("kiln.end", "13.33 V below V2"),
        ("kiln.end", "up by 13.33 V"),
        ("kiln.end", "V1 plus 13.33 V"),
        ("kiln.end", "13.33 V, minus the drop of R3"),
        ("kiln.end", "reciprocal of 13.33 V"),
        ("kiln.end", "hardly 13.33 V"),
        ("kiln.end", "13.33 V e^(-50t)"),
        ("kiln.end", "13.33 V R2/(R1+R2)"),
        ("kiln.seen", "increase R3 by 4 kohm"),
        ("kiln.v", f"{CHARGED}, e = 2"),
        ("kiln.v", f"{CHARGED}, t = t/2"),
        ("kiln.v", f"{CHARGED} delayed by 5 ms"),
        ("kiln.v", f"derivative of {CHARGED}"),
        ("bell.roots", "1/s = -60 ± j80"),
    ],
)
def test_words_and_signs_that_make_another_value_of_it_wait(key, place, text):
    assert _mark(key, place, text).review


@pytest.mark.parametrize(
    ("place", "text"),
    [
        ("kiln.end", "13.33 V, more or less"),
        ("kiln.end", "13.33 V, 10.33 V more than before"),
        ("kiln.end", "13.33 V above ground"),
        ("kiln.end", "13.33 V (20*6/9)"),
        ("kiln.end", "goes up to 13.33 V"),
        ("kiln.end", "3 V plus 10.33 V = 13.33 V"),
        ("kiln.seen", "2 kohm plus 2 kohm, 4 kohm"),
        ("kiln.v", f"{CHARGED}, e = 2.718"),
    ],
)
def test_words_beside_a_value_that_leave_it_as_it_is_do_not(key, place, text):
    mark = _mark(key, place, text)
    assert (mark.awarded, mark.review) == (1, False)


@pytest.mark.parametrize(
    ("ranges", "overlap"),
    [
        ([("0", "30ms"), ("0", "50ms")], True),
        ([("20ms", "50ms"), ("0", "30ms")], True),
        ([("0", "30ms"), ("30ms", "50ms")], False),
        ([("0", ""), ("30ms", "")], False),  # each holds until the next one
    ],
)
def test_ranges_that_have_time_in_common_are_told_twice(ranges, overlap):
    assert Clock(()).overlap(Where(*ends) for ends in ranges) is overlap


@pytest.mark.parametrize("text", ["-2.583 mA from V2 to C1", "-2.583 mA, charging C1"])
def test_a_wrong_sign_beside_a_way_told_by_elements_waits(key, text):
    assert _mark(key, "kiln.ic", text).review


def test_a_root_of_an_equation_that_is_not_solved_is_wrong(key):
    assert _mark(key, "bell.roots", "s + 60 = -60 ± j80").awarded == 0


@pytest.mark.parametrize("text", ["5 V for t<1; 0 for t>1", "0 for t<1; 5 V for t>1", "2 (t<1 s), 0 (t>1 s)"])
@pytest.mark.parametrize("place", ["bell.vs", "bell.H"])
def test_pieces_in_time_where_a_function_of_s_is_asked_break_nothing_off(key, place, text):
    assert _mark(key, place, text).awarded == 0
