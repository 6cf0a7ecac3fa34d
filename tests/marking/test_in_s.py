"""Answers in the s-domain: points worked out by hand before any program saw them.

By hand, `rc` (10 V on 1 kohm and 2 uF that hold 4 V): v = 10 - 6 e^(-500t) V, so V(s) = 10/s - 6/(s + 500) = (4 s + 5000)/(s (s +
500)); i = 6 e^(-500t) mA, I(s) = 0.006/(s + 500); seen by C1 the impedance is 1 kohm, seen by the source 1000 + 500000/s ohm.
`rlc` (5 V, 6 ohm, 1 H, 40 mF at rest): H(s) = 25/(s^2 + 6 s + 25) for the capacitor, 6 s/(s^2 + 6 s + 25) for the resistor; the
latter's zero is 0, its poles are -3 ± j4, its gain is 6.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = """
title = "In s (invented)"
[[problem]]
id = "rc"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "2 uF", initial = "4 V"},
]
item = [
  {id = "x", find = "expression", voltage = "C1", points = 4},
  {id = "v", find = "transform", voltage = "C1", points = 3},
  {id = "i", find = "transform", current = "C1", points = 2},
  {id = "z", find = "impedance", by = "C1", points = 1},
  {id = "it", find = "expression", current = "C1", points = 4},
]

[[problem]]
id = "rlc"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = 0, after = "5 V", at = "0 s"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "6 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "1 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "40 mF"},
]
item = [
  {id = "z", find = "impedance", by = "Vs", points = 3},
  {id = "h", find = "transfer function", voltage = "R1", of = "Vs", points = 3},
  {id = "hc", find = "transfer function", voltage = "C1", of = "Vs", points = 4, parts = {poles = 3, gain = 1}},
  {id = "tau", find = "damping coefficient", points = 1},
]

[[problem]]
id = "struck"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "10 u(t) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "2 uF"},
]
item = [
  {id = "h", find = "transfer function", voltage = "R1", of = "Vs", points = 2},
  {id = "hr", find = "impulse response", voltage = "R1", of = "Vs", points = 4},
  {id = "hc", find = "impulse response", voltage = "C1", of = "Vs", points = 4},
]

[[problem]]
id = "letters"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "V0"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "R"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "L"},
]
item = [
  {id = "i", find = "transform", current = "L1", points = 2},
  {id = "z", find = "impedance", by = "Vs", points = 1},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "in_s.toml"))


def marked(key, problem, **answers):
    written = tuple(Written(problem=problem, item=item, text=text) for item, text in answers.items())
    upload = Upload(file="u.txt", digest="", student="S1", answers=written)
    return {mark.item: mark for mark in mark_upload(key, upload).marks if mark.problem == problem}


RIGHT = [
    ("rc", "v", "(4s+5000)/(s(s+500))"),
    ("rc", "v", "V(s) = 10/s - 6/(s+500)"),
    ("rc", "v", "V_C1(s) = 4/s + 3000/(s^2+500s)"),
    ("rc", "v", "4/(s+500) + 5000/(s(s+500)) V"),
    ("rc", "v", "10/s - 6/(s+500) V s"),
    ("rc", "v", "10/s - 6/(s+500) V·s"),
    ("rc", "v", r"\frac{4s+5000}{s^{2}+500s}"),
    ("rc", "v", "(8s^2+10000s)/(2s^3+1000s^2)"),  # a factor s and a 2 in common
    ("rc", "v", "4(s+1250)/s/(s+500)"),
    ("rc", "v", "10/s - 6*0.002/(1+0.002s)/0.002/500"),
    ("rc", "v", "Vs/s - 6/(s + 1/(R1*C1))"),
    ("rc", "v", "9.95/s - 6.03/(s+502)"),  # within two percent each
    ("rc", "v", "4(s+1250)/s(s+500)"),  # nobody means to multiply by s + 500
    ("rc", "v", "4(s+1250)/(s)*(s+500)"),  # nor by a sign that stands between brackets below the line
    ("rc", "v", "(4S+5000)/(S(S+500))"),
    ("rc", "v", "(4p+5000)/(p(p+500)) [V s]"),
    ("rc", "i", "I(s) = 0.006/(s+500)"),
    ("rc", "i", "6/(s+500) mA"),
    ("rc", "i", "6e-3/(s+5e2) A"),
    ("rc", "i", "2e-6*(s*(10/s - 6/(s+500)) - 4)"),  # C (s V - 4 V)
    ("rc", "z", "1000"),
    ("rc", "z", "1 kohm"),
    ("rc", "z", "R1"),
    ("rlc", "z", "6 + s + 25/s"),
    ("rlc", "z", "(s^2+6s+25)/s ohm"),
    ("rlc", "z", "R1 + s L1 + 1/(s C1)"),
    ("rlc", "z", "6+s+1/(0.04s)"),
    ("rlc", "h", "6s/(s^2+6s+25)"),
    ("rlc", "h", "H(s) = 6/(s + 6 + 25/s)"),
    ("rlc", "h", "V_R(s)/V_s(s) = R1/(R1 + s*L1 + 1/(s*C1))"),
    ("rlc", "h", "6s/((s+3)^2+16)"),
    ("rlc", "h", "6s/((s+3-j4)(s+3+j4))"),
    ("rlc", "h", "6s/((s-(-3+4i))(s-(-3-4i)))"),
    ("rlc", "hc", "1/(0.04s^2+0.24s+1)"),
    ("letters", "i", "V0/(s(R+sL))"),
    ("letters", "i", "(V0/R)(1/s - 1/(s+R/L))"),
    ("letters", "i", r"\frac{V0/L}{s(s+R/L)}"),
    ("letters", "z", "R + sL"),
]

POINTS = [
    ("rc", "v", "(4s+5000)/(s(s+600))", 2),  # the zero at -1250 and the gain of 4 agree
    ("rc", "v", "(5s+5000)/(s(s+500))", 1),  # the poles alone
    ("rc", "v", "5000/(s(s+500))", 1),  # what C1 holds is left out: the poles alone
    ("rc", "v", "10/s + 6/(s+500)", 1),  # (16 s + 5000): the poles alone
    ("rc", "v", "-10/s + 6/(s+500)", 1.5),  # one sign
    ("rc", "v", "0.01/s - 0.006/(s+500)", 1.5),  # a power of ten
    ("rc", "v", "7", 0),
    ("rc", "v", "10 - 6e^(-500t)", 0),  # not transformed
    ("rlc", "h", "6s/(s^2+6s-25)", 2),
    ("rlc", "h", "25/(s^2+6s+25)", 1),
    ("rlc", "hc", "50/(s^2+6s+25)", 3),  # parts as the rubric weighs them
    ("rlc", "z", "6 + s + 25s", 0),
    ("letters", "i", "V0/(s(R-sL))", 0),
]


@pytest.mark.parametrize(("problem", "item", "answer"), RIGHT)
def test_however_it_is_written(key, problem, item, answer):
    mark = marked(key, problem, **{item: answer})[item]
    assert (mark.verdict, mark.review) == ("correct", False), (mark.reading, mark.reasons)


@pytest.mark.parametrize(("problem", "item", "answer", "points"), POINTS)
def test_by_what_it_says(key, problem, item, answer, points):
    mark = marked(key, problem, **{item: answer})[item]
    assert mark.awarded == pytest.approx(points), (mark.reading, mark.reasons)


def test_following(key):
    # The own expression 8 - 4 e^(-500t) V is 8/s - 4/(s + 500); its current is C (s V - 4 V) = 2 uF * 2000/(s + 500).
    marks = marked(key, "rc", x="8 - 4e^(-500t) V", v="8/s - 4/(s+500)", i="0.004/(s+500)", it="4e^(-500t) mA")
    assert [marks[id].verdict for id in ("v", "i", "it")] == ["correct by follow-through"] * 3


def test_nothing_follows_from_a_function_of_t_in_place_of_one_of_s(key):
    marks = marked(key, "rc", v="8 - 4e^(-500t) V", i="0.004/(s+500)")
    assert marks["v"].awarded == 0
    assert marks["i"].verdict != "correct by follow-through"


def test_s_is_a_second_elsewhere(key):
    assert marked(key, "rc", x="10 - 6e^(-500 t/s) V")["x"].verdict == "correct"


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(RIGHT[:3]), st.integers(1, 9), st.integers(1, 900), st.floats(1.05, 2))
def test_rewritten_it_stays_right_and_perturbed_it_does_not(key, right, factor, root, off):
    problem, item, answer = right
    answer = answer.rpartition("=")[2]
    for same in (
        f"({answer})*({factor}s+{root})/({factor}s+{root})",
        f"{factor}({answer})/{factor}",
        f"-({root} - ({answer})) + {root}",
    ):
        assert marked(key, problem, **{item: same})[item].verdict == "correct", same
    assert marked(key, problem, **{item: f"{off}*({answer})"})[item].verdict != "correct"
    assert marked(key, problem, **{item: answer.replace("500", f"{500 * off}")})[item].verdict != "correct"


IMPULSES = [
    # By hand: s/(s + 500) = 1 - 500/(s + 500) for the resistor, 500/(s + 500) for the capacitor.
    ("hr", "δ(t) - 500e^(-500t)u(t)", 4),
    ("hr", "delta(t) - 500 e^(-500t)", 4),
    ("hr", r"\delta(t)-500e^{-500t}u(t)", 4),
    ("hr", "1.01δ(t) - 499e^(-501t)u(t) 1/s", 4),
    ("hr", "an impulse of 1 minus 500 e^(-500t)", 4),
    ("hr", "unit impulse - 500e^(-500t) 1/s", 4),
    ("hr", "an impulse of strength 1 at t = 0, then -500e^(-500t)", 4),
    ("hr", "an impulse and -500e^(-500t)", 4),
    ("hr", "an impulse of 2 minus 500 e^(-500t)", 3),
    ("hr", "-500e^(-500t)", 3),  # without the impulse the form is lost
    ("hr", "500e^(-500t) - δ(t)", 2),  # the sign
    ("hr", "2δ(t) - 500e^(-500t)", 3),
    ("hr", "δ(t)^2 - 500e^(-500t)", 0),
    ("hc", "500e^(-500t) u(t)", 4),
    ("hc", "500e^(-500t) 1/s", 4),
    ("hc", "(1/(R1*C1))e^(-t/(R1*C1))u(t)", 4),
    ("hc", "5e^(-500t) + δ(t)", 2),  # final value and time constant
]


@pytest.mark.parametrize(("item", "answer", "points"), IMPULSES)
def test_impulse_responses(key, item, answer, points):
    mark = marked(key, "struck", **{item: answer})[item]
    assert (mark.awarded, mark.review) == (points, False), (mark.reading, mark.reasons)


def test_an_impulse_response_follows_from_the_own_transfer_function(key):
    marks = marked(key, "struck", h="s/(s+400)", hr="δ(t) - 400e^(-400t)")
    assert marks["hr"].verdict == "correct by follow-through"


MISTAKES = [
    # By hand, V = (500 U + 4)/(s + 500): without the source for the 4 V 5000/(s (s + 500)); with it turned 10/s - 14/(s + 500);
    # with 10 for 10/s 5004/(s + 500); with sC for 1/(sC) V = 10/s * sC/(R + sC) = 10/(s + 5e8).
    ("rc", "v", "5000/(s(s+500))", "initial-condition-source-left-out"),
    ("rc", "v", "10/s - 14/(s+500)", "initial-condition-source-turned"),
    ("rc", "v", "10/(s+5*10^8)", "storage-impedance-upside-down"),
    ("rc", "v", "5004/(s+500)", "source-not-transformed"),
    ("rc", "v", "(4s+5000)/(s(s-500))", "pole-sign-turned"),
    ("rlc", "h", "6s/(s^2-6s+25)", "pole-sign-turned"),
    ("rlc", "z", "6 + s + 0.04s", "storage-impedance-upside-down"),
    ("rlc", "z", "6 + 1/s + 25/s", "storage-impedance-upside-down"),
]


@pytest.mark.parametrize(("problem", "item", "answer", "mistake"), MISTAKES)
def test_mistakes(key, problem, item, answer, mistake):
    assert mistake in marked(key, problem, **{item: answer})[item].mistakes


@pytest.mark.parametrize(
    ("text", "joined"), [("{R}, {L} and {C} in series", True), ("{R}, {L} (parallel)", True), ("{R}", False)]
)
def test_elements_in_words_are_no_impedance(key, text, joined):
    """A person looks at what words make of elements; an impedance in s needs none."""
    mark = marked(key, "rlc", z=text.format(R="R = 6 ohm", L="L = 1 H", C="C = 40 mF"))["z"]
    assert (mark.awarded, mark.review) == (0, joined)
    assert not marked(key, "rlc", z="6 + s + 25/s ohm (series)")["z"].review


def test_a_root_of_a_function_of_s_is_wrong_and_stops_nothing():
    """It is no quotient of polynomials."""
    from grader.values.laplace import S, delayed_parts
    from grader.values.scalar import sqrt
    from grader.values.waveform import constant

    with pytest.raises(ValueError, match="square root of a function of s"):
        delayed_parts(constant(sqrt(S)))
