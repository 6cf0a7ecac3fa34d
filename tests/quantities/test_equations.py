"""Characteristic polynomials and differential equations: right whatever the factor, the order of terms and the notation.

By hand: the damper (6 Ω, 1 H, 40 mF on 5 V) has v'' + 6 v' + 25 v = 125 V/s² and i'' + 6 i' + 25 i = 0; the charging circuit
(1 kΩ, 2 µF on 10 V) v' + 500 v = 5000 V/s; the relay's loop (10 Ω, 0.5 H) i' + 20 i = 0.
"""

import pytest

from grader.errors import RubricError
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.problem import Rubric
from grader.quantities.samples import CIRCUITS
from grader.rubric.files import read_rubric
from grader.rubric.references import references
from grader.uploads.upload import Upload, Written
from tests.quantities.building import problem

POLYNOMIAL = 'id = "x", find = "characteristic polynomial"'
VOLTAGE = 'id = "x", find = "differential equation", voltage = "C1"'
CURRENT = 'id = "x", find = "differential equation", current = "L1"'

LETTERS = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {after = "V0"}},
    {name = "R1", kind = "resistor", between = ["a", "b"], value = "R"},
    {name = "L1", kind = "inductor", between = ["b", "c"], value = "L"},
    {name = "C1", kind = "capacitor", between = ["c", "g"], value = "C"},
"""


def rubric(circuit: str, *items: str) -> Rubric:
    return Rubric(title="", course="", problems=(problem(circuit, *items),), digest="", name="test.toml")


def marks(circuit: str, items: tuple[str, ...], answers: dict[str, str]):
    written = tuple(Written(problem="p", item=item, text=text) for item, text in answers.items())
    upload = Upload(file="u.txt", digest="", student="S1", answers=written)
    return mark_upload(build_key(rubric(circuit, *items)), upload).marks


@pytest.mark.parametrize(
    "circuit, item, text",
    [
        ("damper", POLYNOMIAL, "s² + 6 s + 25 = 0"),
        ("damper", VOLTAGE, "d²v_C1/dt² + 6 dv_C1/dt + 25 v_C1 = 125"),
        ("damper", CURRENT, "d²i_L1/dt² + 6 di_L1/dt + 25 i_L1 = 0"),
        ("charging", POLYNOMIAL, "s + 500 = 0"),
        ("charging", VOLTAGE, "dv_C1/dt + 500 v_C1 = 5000"),
        ("relay", CURRENT, "di_L1/dt + 20 i_L1 = 0"),
    ],
)
def test_reference(circuit, item, text):
    (reference,) = references(rubric(circuit, item))
    assert reference.text == text


@pytest.mark.parametrize(
    "circuit, item, answer, earned",
    [
        ("damper", POLYNOMIAL, "s^2 + 6s + 25 = 0", 1),
        ("damper", POLYNOMIAL, "s² + 6 s + 25", 1),
        ("damper", POLYNOMIAL, "s² + 6s + 25 = 0, s = -3 ± 4j", 1),
        ("damper", POLYNOMIAL, "s^2 + 2αs + ω0² with α = 3 1/s, ω0 = 5 rad/s", 1),
        ("damper", POLYNOMIAL, "s^2 + a s + b, a = 6, b = 20", 0.5),
        ("damper", VOLTAGE, "v'' + 2α v' + ω0² v = ω0² Vs with α = 3, ω0 = 5, Vs = 5", 1),
        ("damper", VOLTAGE, "v'' + a v' + b v = c (a = 6, b = 25, c = 125)", 1),
        ("damper", VOLTAGE, "v'' + a v' + b v = c, a = 6, b = 20, c = 125", 2 / 3),
        ("damper", POLYNOMIAL, "0.04 s^2 + 0.24 s + 1 = 0", 1),
        ("damper", POLYNOMIAL, "25 + 6 s = -s^2", 1),
        ("damper", POLYNOMIAL, "(s+3)^2 + 16 = 0", 1),
        ("damper", POLYNOMIAL, "λ² + 6λ + 25", 1),
        ("damper", POLYNOMIAL, "r^2+6r+25=0", 1),
        ("damper", POLYNOMIAL, "1, 6, 25", 1),
        ("damper", POLYNOMIAL, "[2 12 50]", 1),
        ("damper", POLYNOMIAL, "s^2 + R1/L1 s + 1/(L1 C1) = 0", 1),
        ("damper", POLYNOMIAL, "s^2 + 6.05s + 25 = 0", 1),
        ("damper", POLYNOMIAL, "s^2 + 3s + 25 = 0", 0.5),  # one of two coefficients beside the leading one
        ("damper", POLYNOMIAL, "s^2 - 6s + 25 = 0", 0.5),
        ("damper", POLYNOMIAL, "s^2 + 25 = 0", 0.5),
        ("damper", POLYNOMIAL, "s + 25 = 0", 0),
        ("damper", POLYNOMIAL, "s^3 + 6s^2 + 25s = 0", 0),
        ("damper", POLYNOMIAL, "25", 0),
        ("damper", VOLTAGE, "v'' + 6 v' + 25 v = 125", 1),
        ("damper", VOLTAGE, "d²v/dt² + 6 dv/dt + 25 v = 125 V/s²", 1),
        ("damper", VOLTAGE, "d^2v_C/dt^2 + 6 dv_C/dt + 25v_C = 125", 1),
        ("damper", VOLTAGE, "d2v/dt2 = 125 - 6 dv/dt - 25 v", 1),
        ("damper", VOLTAGE, "0.04 v'' + 0.24 v' + v = 5 V", 1),
        ("damper", VOLTAGE, "L1 C1 v'' + R1 C1 v' + v = Vs", 1),
        ("damper", VOLTAGE, r"\frac{d^2 v}{dt^2} + 6\frac{dv}{dt} + 25 v = 125", 1),
        ("damper", VOLTAGE, r"\ddot{v} + 6 \dot{v} + 25 v = 125", 1),
        ("damper", VOLTAGE, r"\frac{d^2v}{dt^2}+\frac{4+2}{1}\frac{dv}{dt}+25v=\frac{100+150}{2}", 1),
        ("damper", VOLTAGE, r"\frac{1+3}{100}\frac{d^2v}{dt^2} + 0.24\frac{dv}{dt} + v = \frac{1}{\frac{1}{5}} $\\", 1),
        ("damper", VOLTAGE, r"\frac{\mathrm{d}^2 v}{\mathrm{d}t^2} + 6\frac{\mathrm{d}v}{\mathrm{d}t} + 25v = 125", 1),
        ("damper", VOLTAGE, r"\ddot{v}_C + 6\dot{v}_C + 25 v_C = 125", 1),
        ("damper", POLYNOMIAL, "LCs^2 + RCs + 1", 1),
        ("damper", POLYNOMIAL, "LCs^2 + RLs + 1", 0.5),
        ("damper", VOLTAGE, "LCv'' + RCv' + v = Vs", 1),
        ("damper", VOLTAGE, "LCd2v/dt2 + RCdv/dt + v = Vs", 1),
        ("damper", VOLTAGE, "LCv'' + RLv' + v = Vs", 2 / 3),
        ("damper", POLYNOMIAL, r"\frac{s^2+6s+25}{25} = 0", 1),
        ("relay", CURRENT, r"L1\frac{di}{dt} + 10i = 0", 1),
        ("damper", VOLTAGE, "v''(t) + 6 v'(t) + 25 v(t) = 125", 1),
        ("damper", VOLTAGE, "v'' + 6 v' + 25 v = 0", 2 / 3),
        ("damper", VOLTAGE, "v'' + 6 v' + 25 v = 5", 2 / 3),
        ("damper", CURRENT, "i'' + 6i' + 25i = 0", 1),
        ("damper", CURRENT, "i'' + 6i' + 25i = 125", 2 / 3),
        ("damper", POLYNOMIAL, "s^2+6s+25=0 => s = -3 ± j4", 1),
        ("damper", POLYNOMIAL, "characteristic eq: s² + 6s + 25 = 0", 1),
        ("damper", POLYNOMIAL, "S^2 + 6S + 25 = 0", 1),
        ("damper", POLYNOMIAL, "a=1, b=6, c=25", 1),
        ("damper", POLYNOMIAL, "z^2 + 6z + 25", 1),
        ("damper", POLYNOMIAL, "0 = s^2 + 6s + 25", 1),
        ("damper", POLYNOMIAL, "-s^2 - 6s - 25 = 0", 1),
        ("damper", VOLTAGE, "v\N{COMBINING DIAERESIS} + 6v\N{COMBINING DOT ABOVE} + 25v = 125", 1),
        ("damper", VOLTAGE, "D²v + 6Dv + 25v = 125", 1),
        ("damper", VOLTAGE, "d/dt(dv/dt) + 6 dv/dt + 25 v = 125", 1),
        ("damper", VOLTAGE, "d^2 v/dt^2 + 6 (dv/dt) + 25 v = 125", 1),
        ("damper", VOLTAGE, "d^2(v)/dt^2 + 6 d(v)/dt + 25v = 125", 1),
        ("damper", VOLTAGE, "v\" + 6v' + 25v = 125", 1),
        ("damper", VOLTAGE, "LC d²v/dt² + RC dv/dt + v = Vs", 1),
        ("damper", VOLTAGE, "v'' + 6v' + 25(v - 5) = 0", 1),
        ("damper", VOLTAGE, "v'' + 6 v + 25 v' = 125", 1 / 3),
        ("damper", VOLTAGE, "(D² + 6D + 25)v = 125", 1),
        ("damper", VOLTAGE, "(D^2 + 6 D + 25) v_C(t) = 125", 1),
        ("damper", VOLTAGE, "(D² + 6D + 20)v = 125", 2 / 3),
        ("damper", VOLTAGE, "dv²/dt² + 6 dv/dt + 25v - 125 = 0", 1),
        ("damper", VOLTAGE, "dv^2/dt^2 = 125 - 6 dv/dt - 25 v", 1),
        ("damper", VOLTAGE, "v'' + 6v' + 25v = 125, v(0) = 0, v'(0) = 0", 1),
        ("damper", VOLTAGE, "v'' + 6v' + 25v = 125 with v(0)=0 V and v'(0)=0 V/s", 1),
        ("damper", VOLTAGE, "v'' + 6v' + 25v = 130; v(0+) = 0; v'(0+) = 0", 2 / 3),
        ("charging", POLYNOMIAL, "s + 500 = 0", 1),
        ("charging", POLYNOMIAL, "0.002 s + 1 = 0", 1),
        ("charging", VOLTAGE, "dv/dt + 500 v = 5000", 1),
        ("charging", VOLTAGE, "R1 C1 dv/dt + v = Vs", 1),
        ("charging", VOLTAGE, "2 ms dv/dt + v = 10 V", 1),
        ("relay", CURRENT, "0.5 di/dt + 10 i = 0", 1),
        ("relay", CURRENT, "di/dt = -20 i", 1),
        (LETTERS, POLYNOMIAL, "s^2 + (R/L) s + 1/(L C) = 0", 1),
        (LETTERS, POLYNOMIAL, "L C s^2 + R C s + 1 = 0", 1),
        (LETTERS, POLYNOMIAL, "s^2 + R s/L + 1/(LC)", 1),
        (LETTERS, POLYNOMIAL, "s^2 + (L/R) s + 1/(L C) = 0", 0.5),
        (LETTERS, VOLTAGE, "L C v'' + R C v' + v = V0", 1),
        (LETTERS, VOLTAGE, "v'' + R/L v' + v/(L C) = V0/(L C)", 1),
    ],
)
def test_marks(circuit, item, answer, earned):
    (mark,) = marks(circuit, (item,), {"x": answer})
    assert mark.awarded == pytest.approx(earned, abs=1e-3), mark.reasons


@pytest.mark.parametrize(
    "answer",
    [
        "s^2 + 6s + 25 = 0", "(s + 3)^2 + 16", "D² + 6D + 25 = 125",  # the characteristic polynomial
        "y'' + 6y' + 25y = 25x", "v'' + 6v' + 25v = 25u",  # a letter for what drives it
    ],
)  # fmt: skip
def test_a_person_looks(answer):
    (mark,) = marks("damper", (VOLTAGE,), {"x": answer})
    assert (mark.awarded, mark.review) == (0, True)


@pytest.mark.parametrize(
    ("answer", "shown"),
    [
        ("v'' + 6v' + 25v = 125 V/s²", "v'' + 6·v' + 25·v = 125"),
        ("v'' + a v' + 25v = c, a = 6, c = 125", "v'' + a·v' + 25·v = c, a = 6, c = 125"),
        ("d²i/dt² + 6 di/dt + 25i = 0", "i'' + 6·i' + 25·i = 0"),
        ("d2v/dt2 = 125 - 6 dv/dt - 25 v", "v'' = 125 − 6·v' − 25·v"),
        ("25v + 6v' + v'' - 125 = 0", "25·v + 6·v' + v'' = 125"),
        ("(D² + 6D + 25)v_C = 125", "(D^2 + 6·D + 25)·v_C = 125"),
    ],
)
def test_an_equation_is_shown_as_one(answer, shown):
    (mark,) = marks("damper", (VOLTAGE,), {"x": answer})
    assert mark.reading == shown
    assert mark.reading_mathml.count("<math") == 1


def test_what_follows():
    """From s² + 3 s + 25: α = 1.5 and roots -1.5 ± j4.77; from α = 4: s² + 8 s + 25; then v'' + 3 v' + 25 v = 125."""
    items = (POLYNOMIAL, 'id = "r", find = "characteristic roots"', 'id = "a", find = "damping coefficient"')
    wrong = marks("damper", items, {"x": "s^2 + 3s + 25", "r": "-1.5 ± j4.770", "a": "1.5 1/s"})
    assert [mark.awarded for mark in wrong] == [0.5, 1, 1]
    items = ('id = "a", find = "damping coefficient"', 'id = "w", find = "undamped natural frequency"', POLYNOMIAL)
    wrong = marks("damper", items, {"a": "4 1/s", "w": "5 rad/s", "x": "s^2 + 8s + 25"})
    assert [mark.awarded for mark in wrong] == [0, 1, 1]
    items = (POLYNOMIAL, 'id = "a", find = "damping coefficient"', 'id = "w", find = "undamped natural frequency"')
    wrong = marks("damper", items, {"x": "s^2 + 3s + 16", "a": "1.5 1/s", "w": "4 rad/s"})
    assert [mark.awarded for mark in wrong] == [0, 1, 1]
    items = ('id = "p", find = "characteristic polynomial"', 'id = "f", find = "final value", voltage = "C1"', VOLTAGE)
    wrong = marks("damper", items, {"p": "s^2 + 3s + 25", "f": "5 V", "x": "v'' + 3v' + 25v = 125"})
    assert [mark.awarded for mark in wrong] == [0.5, 1, 1]


def test_a_mistake_is_recognised():
    """R/L taken for R/(2L): s² + 12 s + 25."""
    (mark,) = marks("damper", (POLYNOMIAL,), {"x": "s^2 + 12s + 25 = 0"})
    assert mark.mistakes


def test_a_varying_source_has_no_constant_right_side():
    lines = CIRCUITS["damper"].replace('step = {before = 0, after = "5 V", at = "0 s"}', 'waveform = "5 sin(3 t) V"')
    with pytest.raises(RubricError, match="right side"):
        references(rubric(lines, VOLTAGE))


THIRD = """
    {name = "Is", kind = "current source", between = ["g", "a"], step = {after = "2 A"}},
    {name = "R1", kind = "resistor", between = ["a", "g"], value = "3 ohm"},
    {name = "L1", kind = "inductor", between = ["a", "b"], value = "2 H"},
    {name = "C1", kind = "capacitor", between = ["b", "g"], value = "1 F"},
    {name = "L2", kind = "inductor", between = ["b", "c"], value = "1 H"},
    {name = "R2", kind = "resistor", between = ["c", "g"], value = "1 ohm"},
"""


def test_an_equation_of_third_order_whose_roots_have_no_exact_form():
    """2 L1 L2 C … by hand: 2 s³ + 5 s² + 6 s + 4 over 2, and 6 V/2 on the right for the current in L2."""
    (reference,) = references(rubric(THIRD, 'id = "x", find = "differential equation", current = "L2"'))
    assert reference.text == "d³i_L2/dt³ + 2.5 d²i_L2/dt² + 3 di_L2/dt + 2 i_L2 = 3"


def test_letters_stand_in_an_equation_as_a_person_writes_them():
    """L i' + (R + r) i = V, over L."""
    text = """
title = "Letters"
[[problem]]
id = "p"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "R + r"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "L"},
]
item = [{id = "eq", find = "differential equation", current = "L1", points = 1}]
"""
    (reference,) = references(read_rubric(text.encode(), "letters.toml"))
    assert reference.text == "di_L1/dt + ((R + r)/L) i_L1 = V/L"
