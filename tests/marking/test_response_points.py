"""What each interval of a response earns, and what goes on from it; points worked out by hand before any program saw them.

Eight points: four for each interval, one each for its initial value, final value, time constant and form.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.drive import DRIVE, RIGHT, marked

BY_INTERVAL = [
    # (answer, points for each interval)
    ("0<t<20 ms: 6-6e^(-50t); t>20 ms: 1.5+2.293e^(-200(t-20ms))", (3, 3)),  # the unit costs a quarter
    # The final value of the first is 5 A; the second goes on from 5 (1 - 1/e) = 3.1606 A.
    ("0<t<20 ms: 5-5e^(-50t) A; t>20 ms: 1.5+1.6606e^(-200(t-20ms)) A", (3, 4)),
    # The second begins at 6 A, as if the first had come to its end.
    ("0<t<20 ms: 6-6e^(-50t) A; t>20 ms: 1.5+4.5e^(-200(t-20ms)) A", (4, 3)),
    # The shift of time is forgotten: at 20 ms it gives 1.5 + 2.293 e^-4 = 1.542 A.
    ("0<t<20 ms: 6-6e^(-50t) A; t>20 ms: 1.5+2.293e^(-200t) A", (4, 3)),
    ("0<t<20 ms: 6-6e^(-50t) A", (4, 0)),
    ("t<20 ms: 6-6e^(-50t) A, t>20 ms: no idea", (4, 0)),
    ("t<20 ms: ? t>20 ms: 1.5+2.293e^(-200(t-20ms)) A", (0, 4)),
    ("6-6e^(-50t) A, then 0 A", (4, 0)),  # no end of the second, which is 1.5 A
    ("t>20 ms: 1.5+2.293e^(-200(t-20ms)) A", (0, 4)),
    ("0<t<20 ms: -6+6e^(-50t) A; t>20 ms: 1.5+2.293e^(-200(t-20ms)) A", (2, 4)),  # one sign: half
    ("0<t<20 ms: -6+6e^(-50t) A; t>20 ms: -1.5-2.293e^(-200(t-20ms)) A", (2, 2)),  # all of it turned: half of it
    ("0<t<20 ms: 600-600e^(-50t) mA; t>20 ms: 1.5+2.293e^(-200(t-20ms)) A", (2, 4)),  # a power of ten: half
    ("11 A", (0, 0)),
    ("6-6e^(-50t) A", (4, 0)),  # nothing is said of what comes later
]


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(DRIVE.encode(), "drive.toml"))


@pytest.mark.parametrize(
    ("answer", "points"),
    [
        (
            "6-6e^(-50t) until 20 ms; 1500+2293e^(-200(t-20ms)) mA after",
            7,
        ),  # unit missing in one piece: 1/4 of its four
        ("6000-6000e^(-50t) mA until 20 ms; 1.5+2.293e^(-200(t-20ms)) after", 7),
        ("6000-6000e^(-50t) until 20 ms; 1500+2293e^(-200(t-20ms)) mA after", 8),  # said of both
        ("6-6e^(-50t) until 20 ms; 1.5+2.293e^(-200(t-20ms)) A after", 8),
        ("6-6e^(-50t) until 20 ms; 1500+2293e^(-200(t-20ms)) after, all in mA", 6),  # a power of ten, 1/2 of four
    ],
)
def test_a_unit_of_one_piece_is_that_of_the_others_where_it_fits(key, answer, points):
    assert marked(key, i=answer)["i"].awarded == points


def test_a_time_constant_wrong_in_every_interval_is_charged_in_each():
    # R = 2 ohm, L = 40 mH: 20 ms in both intervals; 10 ms in both is one part of four of each, start and end being right.
    # 8 (1 - e^-2) = 6.9173 V at 20 ms by the slip, which the second interval starts from.
    text = (
        DRIVE.split("element", maxsplit=1)[0]
        + """
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "8 u(t) - 12 u(t - 20 ms) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "2 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "40 mH"},
]
item = [
  {id = "tau", find = "time constant", points = 1},
  {id = "i", find = "response", current = "L1", points = 8},
]
"""
    )
    key = build_key(read_rubric(text.encode(), "twice.toml"))
    slipped = "4-4e^(-100t) A for t<20 ms; -2+5.4587e^(-100(t-20ms)) A for t>20 ms"
    assert [part.awarded for part in marked(key, i=slipped)["i"].parts] == [3, 3]
    assert marked(key, tau="10 ms", i=slipped)["i"].awarded == 8  # stated as an answer, charged there


@pytest.mark.parametrize(("answer", "points"), BY_INTERVAL)
def test_interval_by_interval(key, answer, points):
    mark = marked(key, i=answer)["i"]
    assert tuple(part.awarded for part in mark.parts) == pytest.approx(points), mark.reasons
    assert mark.awarded == pytest.approx(sum(points))


def test_known_wrong(key):
    mark = marked(key, i="2 A for 0<t<20 ms; 1 A for t>20 ms")["i"]
    assert (mark.awarded, mark.reasons) == (2, ("Foreseen.",))


def test_accepted_as_well():
    accept = 'points = 8, accept = ["0<t<20 ms: 7-7e^(-50t) A; t>20 ms: 1 A"], known_wrong'
    other = build_key(read_rubric(DRIVE.replace("points = 8, known_wrong", accept).encode(), "drive.toml"))
    for answer in (RIGHT[0], "0<t<20 ms: 7-7e^(-50t) A; t>20 ms: 1 A"):
        assert marked(other, i=answer)["i"].verdict == "correct"


@pytest.mark.parametrize(
    ("answer", "mistake"),
    [(BY_INTERVAL[2][0], "first-interval-treated-as-settled"), (BY_INTERVAL[3][0], "time-shift-forgotten")],
)
def test_the_interval_that_is_wrong_is_explained(key, answer, mistake):
    assert mistake in marked(key, i=answer)["i"].mistakes


def test_earlier_answers_are_followed(key):
    # tau = 10 ms: 6 - 6 e^(-100t), at 20 ms 6 (1 - e^-2) = 5.188 A, which the second goes on from.
    marks = marked(key, tau="10 ms", i="0<t<20 ms: 6-6e^(-100t) A; t>20 ms: 1.5+3.688e^(-200(t-20ms)) A")
    assert (marks["i"].awarded, marks["i"].verdict) == (8, "correct by follow-through")
    assert marks["i"].follows_from == ("tau",)


def test_later_answers_follow(key):
    # With 1.5 + 1.6606 e^(-200(t - 20 ms)): 1.5 + 1.6606/e = 2.1109 A at 25 ms; v_L1 by its law.
    marks = marked(
        key,
        i=BY_INTERVAL[1][0],
        v="0<t<20 ms: 20e^(-50t) V; t>20 ms: -26.57e^(-200(t-20ms)) V",
        i25="2.111 A",
    )
    assert (marks["i25"].awarded, marks["i25"].follows_from) == (1, ("i",))
    assert (marks["v"].awarded, marks["v"].follows_from) == (8, ("i",))


def test_what_jumps_goes_on_from_what_does_not(key):
    # From 20 e^(-50t) V: i = (24 - 20/e)/4 = 4.1606 A at 20 ms, and so 24 - 16*4.1606 = -42.57 V just after.
    # Initial value and final value, time constant, form: the first lacks its initial value.
    mark = marked(key, v="0<t<20 ms: 20e^(-50t) V; t>20 ms: -42.57e^(-200(t-20ms)) V")["v"]
    assert [part.awarded for part in mark.parts] == pytest.approx([3, 4]), mark.reasons


def test_blank_and_unreadable_pass_nothing_on(key):
    assert marked(key, i25="2.3434 A")["i25"].verdict == "correct"
    assert marked(key, i="0<t<20 ms: 6*", i25="2.3434 A")["i25"].verdict == "correct"


VALUES = {"V": st.sampled_from([6, 9, 12, 24]), "R": st.sampled_from([1, 2, 3, 5]), "T": st.sampled_from([1, 2, 3])}


@settings(max_examples=20, deadline=None)
@given(st.fixed_dictionaries(VALUES), st.sampled_from(range(3)), st.floats(1.1, 3))
def test_a_pulse_in_every_form(values, form, off):
    # tau = 1 s: i = V/R (1 - e^-t), from T on V/R (e^T - 1) e^-t, which is what two steps add up to.
    v, r, end = values["V"], values["R"], values["T"]
    text = f"""
title = "Pulse (invented)"
[[problem]]
id = "p"
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "{v} u(t) - {v} u(t - {end} s) V"}},
  {{name = "R1", kind = "resistor", between = ["a", "b"], value = "{r} ohm"}},
  {{name = "L1", kind = "inductor", between = ["b", "g"], value = "{r} H"}},
]
item = [{{id = "i", find = "response", current = "L1", points = 2}}]
"""
    key = build_key(read_rubric(text.encode(), "pulse.toml"))

    def written(size):
        return (
            f"{size}(1-e^-t)u(t) - {size}(1-e^-(t-{end}))u(t-{end}) A",
            f"t > {end} s: {size}(1-e^-{end})e^(-(t-{end})) A; 0 < t < {end} s: {size} - {size}e^-t A",
            f"{size}(1-e^-t)(u(t)-u(t-{end})) + {size}(e^{end}-1)e^-t u(t-{end}) A",
        )[form]

    assert marked(key, i=written(f"({v}/{r})"))["i"].verdict == "correct"
    wrong = marked(key, i=written(f"({off * v}/{r})"))["i"]
    # Only the first final value is wrong: the second has the wrong start, and follows.
    assert wrong.awarded == pytest.approx(0.75 + 1)


def test_published():
    # M. Bourne, Interactive Mathematics, applications of the Laplace transform, a pulse of 1 V and 2 s on 1 Mohm and 1 uF; the
    # voltage of the capacitor as printed at https://www.intmath.com/laplace-transformation/ans-10.php?a=6
    text = """
title = "Published"
[[problem]]
id = "p"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "u(t) - u(t - 2 s) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "1 Mohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "1 uF"},
]
item = [{id = "v", find = "response", voltage = "C1", points = 1}]
"""
    key = build_key(read_rubric(text.encode(), "pulse.toml"))
    for printed in (
        "u(t)-e^(-t)*u(t)-u(t-2)+e^(-t+2)*u(t-2) V",
        "(1-e^(-t))*(u(t)-u(t-2))+e^(-t)(e^2-1)*u(t-2) V",
    ):
        assert marked(key, v=printed)["v"].verdict == "correct"
