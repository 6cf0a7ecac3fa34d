"""Answers in words and exact text; sympy reads the exact text back."""

import pytest
import sympy
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from grader.rubric.formatting import answer_text, exact_text, tidied
from grader.values.dimension import CURRENT, NUMBER, TIME, VOLTAGE
from grader.values.functions import cos, exp, sin
from grader.values.scalar import rational
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME as T
from grader.values.waveform import Waveform, constant

patient = settings(suppress_health_check=[HealthCheck.too_slow])
"""Other work may slow a machine down; that is no fault of what is tested."""


def c(text: str) -> Waveform:
    return constant(rational(text))


@pytest.mark.parametrize(
    "answer, symbol, dimension, text",
    [
        (c("0.0024"), "A", CURRENT, "2.4 mA"),
        (c("0"), "V", VOLTAGE, "0 V"),
        (c("500"), "rad/s", TIME.raised(-1), "500 rad/s"),
        (c("0.6"), "", NUMBER, "0.6"),
        (c("0.002") * exp(c("-5") * T), "A", CURRENT, "2e^(−5t) mA"),
        (-c("0.002") * exp(c("-5") * T) + c("0.001"), "A", CURRENT, "(1 − 2e^(−5t)) mA"),
        (T * exp(c("-5") * T), "V", VOLTAGE, "t·e^(−5t) V"),
        (c("3") * T * T, "V", VOLTAGE, "3t^2 V"),
        (c("2") * cos(c("3") * T) - c("4") * sin(c("3") * T), "V", VOLTAGE, "(2cos(3t) − 4sin(3t)) V"),
        ("underdamped", "", None, "underdamped"),
        (((c("-3"), c("4")), (c("-3"), c("-4"))), "1/s", TIME.raised(-1), "−3 ± j4 1/s"),
        (((c("-3"), c("0")), (c("-5"), c("0"))), "1/s", TIME.raised(-1), "−3, −5 1/s"),
    ],
)
def test_texts(answer, symbol, dimension, text):
    assert answer_text(answer, symbol, dimension) == text


def test_clock_of_a_later_interval():
    waveform = c("3") * exp(c("-200") * (T - c("0.02")))
    assert answer_text(waveform, "A", CURRENT, rational("0.02")) == "3e^(−200(t − 20 ms)) A"


def test_a_constant_that_holds_an_exponential_is_a_number():
    assert answer_text(c("6") * exp(c("-1")), "A", CURRENT) == "2.207 A"


t = sympy.Symbol("t", real=True)
SYMBOLS = {name: sympy.Symbol(name, positive=True) for name in ("R", "L", "V")}


@st.composite
def waveforms(draw):
    total = Waveform()
    for _ in range(draw(st.integers(1, 3))):
        size, rate, turn = (c(str(draw(st.integers(-9, 9)))) / c(str(draw(st.integers(1, 7)))) for _ in range(3))
        total = total + size * exp(rate * T) * (cos(turn * T) if draw(st.booleans()) else T)
    return total


@patient
@given(waveforms())
def test_exact_text_is_what_sympy_reads(waveform):
    read = sympy.parse_expr(exact_text(waveform), local_dict={"t": t})
    for time in (0.0, 0.3, 1.1):
        assert float(read.subs(t, sympy.Rational(str(time)))) == pytest.approx(waveform.value(time), rel=1e-9, abs=1e-9)


@st.composite
def formulas(draw):
    """Rational functions of three symbols."""
    names = ("R", "L", "V")
    total = Symbolic.symbol("R", names)
    for _ in range(draw(st.integers(1, 5))):
        other = Symbolic.symbol(draw(st.sampled_from(names)), names) + draw(st.integers(0, 3))
        step = draw(st.sampled_from(["+", "-", "*", "/"]))
        total = (
            total + other
            if step == "+"
            else total - other
            if step == "-"
            else total * other
            if step == "*"
            else total / other
        )
    return total


@patient
@given(formulas(), formulas())
def test_brackets_left_out_change_nothing(size, rate):
    """The tidied text means what the bracketed one does."""
    from grader.values.text import waveform_text

    if isinstance(size, Symbolic) and isinstance(rate, Symbolic):
        text = waveform_text(constant(size) * exp(constant(rate) * T) + constant(rate))
        names = {"t": t, **SYMBOLS}
        difference = sympy.parse_expr(text, local_dict=names) - sympy.parse_expr(tidied(text), local_dict=names)
        values = {
            SYMBOLS["R"]: sympy.Rational(3, 7),
            SYMBOLS["L"]: sympy.Rational(11, 5),
            SYMBOLS["V"]: 13,
            t: sympy.Rational(1, 9),
        }
        assert abs(difference.subs(values).evalf(30)) < 1e-15
