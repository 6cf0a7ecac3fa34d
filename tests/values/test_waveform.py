"""Waveforms: ring and calculus laws exactly, values against floats, limits, text."""

import math
import pickle

import pytest
import sympy
from flint import fmpq
from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec.structs import astuple

from grader.values.functions import cos, cosh, exp, log, power, sin, sinh, square_root
from grader.values.scalar import sqrt
from grader.values.symbolic import Symbolic
from grader.values.text import waveform_text
from grader.values.waveform import TIME, NotAWaveform, Waveform, constant, number_of, reciprocal

NUMBERS = st.sampled_from([fmpq(0), fmpq(1), fmpq(-2), fmpq(1, 3), fmpq(5, 2), sqrt(fmpq(2)), sqrt(fmpq(5)) / 2 - 1])
RATES = st.sampled_from([fmpq(0), fmpq(-1), fmpq(-1, 2), fmpq(1, 3), -sqrt(fmpq(2))])
FREQUENCIES = st.sampled_from([fmpq(0), fmpq(1), fmpq(3), sqrt(fmpq(3))])
TIMES = (0.0, 0.3, 1.1)


@st.composite
def waveforms(draw):
    total = Waveform()
    for _ in range(draw(st.integers(0, 3))):
        term = constant(draw(NUMBERS)) * exp(
            TIME.scaled(draw(RATES)) + constant(draw(st.sampled_from([fmpq(0), fmpq(-1)])))
        )
        angle = TIME.scaled(draw(FREQUENCIES)) + constant(draw(st.sampled_from([fmpq(0), fmpq(1, 2), fmpq(-2)])))
        for _ in range(draw(st.integers(0, 2))):
            term = term * TIME
        total = total + term * draw(st.sampled_from([cos, sin]))(angle)
    return total


def close(waveform, function):
    for t in TIMES:
        expected = function(t)
        assert waveform.value(t) == pytest.approx(expected, abs=1e-9 * (1 + abs(expected)))


@given(waveforms(), waveforms(), waveforms())
def test_ring_laws(a, b, c):
    """As equalities of canonical forms."""
    assert a + b == b + a
    assert a * b == b * a
    assert a * (b + c) == a * b + a * c
    assert not (a - a).terms
    assert hash(a + b) == hash(b + a)


@given(waveforms(), waveforms())
def test_values(a, b):
    """Pointwise."""
    close(a + b, lambda t: a.value(t) + b.value(t))
    close(a * b, lambda t: a.value(t) * b.value(t))


@given(waveforms(), waveforms())
def test_calculus(a, b):
    """Product rule, and the derivative of an antiderivative."""
    assert (a * b).derivative() == a.derivative() * b + a * b.derivative()
    assert a.antiderivative().derivative() == a


@given(waveforms(), st.sampled_from([fmpq(1), fmpq(-1, 2), sqrt(fmpq(2))]))
def test_delay(a, delay):
    """Later and back again is the same; values move."""
    assert a.delayed(delay).delayed(-delay) == a
    assert a.delayed(delay).at(delay).value() == pytest.approx(a.value(0.0), abs=1e-9)


@given(waveforms(), st.sampled_from([fmpq(1, 2), fmpq(-1), fmpq(2)]))
def test_later_it_has_the_values_of_before(a, delay):
    later = a.delayed(delay)
    close(later, lambda t: a.value(t - float(delay)))
    assert a.at(delay).value() == pytest.approx(a.value(float(delay)), abs=1e-9 * (1 + abs(a.value(float(delay)))))


@given(waveforms())
def test_limit(a):
    """Where there is one the waveform gets there; a sum with a growing or oscillating term has none."""
    limit = a.limit()
    decaying = [t for t in a.terms if t.rate != 0 or t.power or t.frequency != 0]
    if limit is None:
        assert decaying
    else:
        assert a.value(200.0) == pytest.approx(limit.value(), abs=1e-6)


@given(waveforms())
def test_text_reads_back(a):
    """By sympy's parser."""
    t = sympy.Symbol("t")
    formula = sympy.lambdify(t, sympy.sympify(waveform_text(a), locals={"t": t}), "math")
    close(a, formula)


@given(waveforms())
def test_pickles(a):
    """Equal after the journey."""
    assert pickle.loads(pickle.dumps(a)) == a


@given(st.fractions(min_value=-3, max_value=3, max_denominator=5))
def test_functions(f):
    """Of a number and of t, against the math module."""
    x = fmpq(f.numerator, f.denominator)
    wave = TIME.scaled(x)
    close(exp(wave), lambda t: math.exp(float(f) * t))
    close(cosh(wave) * cosh(wave) - sinh(wave) * sinh(wave), lambda _: 1.0)
    assert cos(wave) * cos(wave) + sin(wave) * sin(wave) == constant(fmpq(1))
    close(power(constant(fmpq(2)), wave), lambda t: 2 ** (float(f) * t))


def test_constants_with_exponentials_are_exact():
    """e^-5 met on the way stays e^-5, and cancels."""
    left = exp(constant(fmpq(-5)))
    assert left.exact
    assert left * exp(constant(fmpq(5))) == constant(fmpq(1))
    assert not (left + left - left.scaled(fmpq(2))).terms
    assert reciprocal(left) == exp(constant(fmpq(5)))


def test_roots_and_logarithms():
    """Exact where they can be, 50 digits otherwise, refused where there are none."""
    assert square_root(constant(fmpq(2))) == constant(sqrt(fmpq(2)))
    of_digits = square_root(constant(fmpq(2), exact=False))
    assert isinstance(of_digits.number, fmpq)
    assert of_digits.value() == pytest.approx(math.sqrt(2))
    assert log(exp(constant(fmpq(3)))) == constant(fmpq(3))
    assert not log(constant(fmpq(2))).exact
    assert float(number_of(log(constant(fmpq(2)))).p) / float(number_of(log(constant(fmpq(2)))).q) == pytest.approx(
        math.log(2)
    )
    for wrong in (lambda: log(constant(fmpq(-1))), lambda: square_root(constant(fmpq(-1))), lambda: number_of(TIME)):
        with pytest.raises(NotAWaveform):
            wrong()


def test_outside_the_waveforms():
    """A sum or a sine below the line, t in a power's base."""
    with pytest.raises(NotAWaveform):
        reciprocal(constant(fmpq(1)) + exp(TIME))
    with pytest.raises(NotAWaveform):
        reciprocal(sin(TIME))
    with pytest.raises(NotAWaveform):
        exp(TIME * TIME)
    with pytest.raises(ZeroDivisionError):
        reciprocal(Waveform())


@given(waveforms())
def test_modes_are_the_terms_in_floats(a):
    """Offsets and phases worked in; a constant phase leaves no sine where nothing oscillates."""
    assume(a.terms)
    assert all(m.frequency or m.sine == 0 for m in a.modes())
    for t in TIMES:
        total = sum(
            m.cosine * t**m.power * math.exp(m.rate * t) * math.cos(m.frequency * t)
            + m.sine * t**m.power * math.exp(m.rate * t) * math.sin(m.frequency * t)
            for m in a.modes()
        )
        assert total == pytest.approx(a.value(t), abs=1e-9 * (1 + abs(total)))


# -- by hand ---------------------------------------------------------------------------------------

ONE, TWO, FIVE = (constant(fmpq(n)) for n in (1, 2, 5))
DECAY = exp(-TIME)
FIFTH = exp(constant(fmpq(-5)))
LETTER = constant(Symbolic.symbol("V0", ("V0",)))
HALF_TURN = cos(constant(fmpq(1, 2)))


@pytest.mark.parametrize(
    ("made", "expected"),
    [
        ((TIME * TIME).delayed(fmpq(3)), TIME * TIME - TIME.scaled(fmpq(6)) + constant(fmpq(9))),
        ((TIME * TIME).at(fmpq(3)), constant(fmpq(9))),
        ((TIME * TIME * TIME).derivative(), (TIME * TIME).scaled(fmpq(3))),
        (TIME.antiderivative(), (TIME * TIME).scaled(fmpq(1, 2))),
        ((TIME * DECAY).derivative(), DECAY - TIME * DECAY),
        (cos(TIME.scaled(fmpq(3))).derivative(), sin(TIME.scaled(fmpq(3))).scaled(fmpq(-3))),
        (sin(TIME.scaled(fmpq(3))).derivative(), cos(TIME.scaled(fmpq(3))).scaled(fmpq(3))),
        (DECAY.delayed(fmpq(5)), DECAY / FIFTH),
        (DECAY.at(fmpq(5)), FIFTH),
        (DECAY.delayed(fmpq(0)), DECAY),
        (DECAY.at(fmpq(0)), ONE),
        (TIME.at(fmpq(0)), Waveform()),
        (sin(TIME).at(fmpq(1)), sin(ONE)),
        (-(TWO + sin(TIME)), sin(TIME).scaled(fmpq(-1)) - TWO),
        (TWO * FIVE, constant(fmpq(10))),
        (TWO * DECAY, DECAY + DECAY),
        (DECAY * TWO, DECAY + DECAY),
        (DECAY * Waveform(), Waveform()),
        (Waveform() * DECAY, Waveform()),
        (DECAY.scaled(fmpq(0)), Waveform()),
        (FIVE / TWO, constant(fmpq(5, 2))),
        (TIME / TWO, TIME.scaled(fmpq(1, 2))),
        (reciprocal(DECAY.scaled(fmpq(4)) * FIFTH), exp(TIME).scaled(fmpq(1, 4)) * exp(FIVE)),
        (constant(fmpq(0)), Waveform()),
    ],
)
def test_what_comes_out(made, expected):
    assert made == expected
    assert made.exact


def test_equality_is_of_all_terms_in_any_order():
    both = DECAY + sin(TIME)
    assert Waveform(both.terms[::-1]) == both
    assert hash(Waveform(both.terms[::-1])) == hash(both)
    assert both != DECAY
    assert both != DECAY.scaled(fmpq(2)) + sin(TIME)
    assert both != both + TWO
    assert DECAY != "e^-t"
    assert ONE != 1


@pytest.mark.parametrize(
    ("waveform", "number", "constant_", "symbolic"),
    [
        (Waveform(), True, True, False),
        (TWO, True, True, False),
        (LETTER, True, True, True),
        (FIFTH, False, True, False),
        (HALF_TURN, False, True, False),
        (TWO + FIFTH, False, True, False),
        (TIME, False, False, False),
        (DECAY, False, False, False),
        (cos(TIME), False, False, False),
        (TWO + TIME, False, False, False),
        (LETTER * DECAY, False, False, True),
        (exp(TIME * LETTER), False, False, True),
        (cos(TIME * LETTER), False, False, True),
        (exp(LETTER), False, True, True),
        (cos(TIME + LETTER), False, False, True),
        (DECAY + exp(LETTER), False, False, True),
    ],
)
def test_what_it_is(waveform, number, constant_, symbolic):
    assert (waveform.is_number, waveform.is_constant, waveform.is_symbolic) == (number, constant_, symbolic)
    if not number:
        with pytest.raises(ValueError, match="not a plain number"):
            _ = waveform.number
    elif not symbolic:
        assert waveform.number == number_of(waveform)


@pytest.mark.parametrize(
    ("waveform", "limit"),
    [
        (Waveform(), Waveform()),
        (TWO + DECAY, TWO),
        (TWO + FIFTH + TIME * DECAY, TWO + FIFTH),
        (TWO + DECAY * cos(TIME), TWO),
        (TIME, None),
        (cos(TIME), None),
        (TWO + sin(TIME), None),
        (exp(TIME), None),
        (DECAY + exp(TIME), None),
        (TIME * exp(TIME), None),
    ],
)
def test_where_it_tends_to(waveform, limit):
    assert waveform.limit() == limit


@pytest.mark.parametrize(
    ("waveform", "value"),
    [
        (TWO, 2),
        (TWO * FIFTH, 2 * math.exp(-5)),
        (TWO * HALF_TURN, 2 * math.cos(0.5)),
        (constant(fmpq(3)) * exp(constant(fmpq(-2))) * sin(constant(fmpq(7, 10))), 3 * math.exp(-2) * math.sin(0.7)),
        (TWO + FIFTH - HALF_TURN, 2 + math.exp(-5) - math.cos(0.5)),
        (constant(sqrt(fmpq(2))) + FIFTH, math.sqrt(2) + math.exp(-5)),
        (reciprocal(TWO + FIFTH), 1 / (2 + math.exp(-5))),
        (reciprocal(HALF_TURN), 1 / math.cos(0.5)),
        (reciprocal(FIFTH), math.exp(5)),
    ],
)
def test_constants_as_one_number(waveform, value):
    found = number_of(waveform)
    assert isinstance(found, fmpq)
    assert float(found.p) / float(found.q) == pytest.approx(value, rel=1e-14)
    assert waveform.value() == pytest.approx(value, rel=1e-14)


def test_what_was_approximated_is_not_exact():
    near = reciprocal(TWO + FIFTH)
    assert not near.exact
    assert reciprocal(FIFTH).exact
    for made in (near + ONE, ONE + near, near * DECAY, DECAY * near, near * TWO, TWO * near, -near, near.scaled(fmpq(2)),
                 near.derivative(), (near * DECAY).delayed(fmpq(1)), near.limit(), near - ONE, ONE / near, near / TWO,
                 (near * TIME).antiderivative(), near * (ONE + DECAY), (ONE + DECAY) * near):  # fmt: skip
        assert not made.exact
    assert not constant(fmpq(1), exact=False).exact


@pytest.mark.parametrize("below", [TIME, TIME * DECAY, cos(TIME), DECAY * sin(TIME), ONE + DECAY, LETTER + FIFTH])
def test_what_cannot_stand_below_the_line(below):
    with pytest.raises(NotAWaveform):
        reciprocal(below)


def test_the_terms_as_floats_are_collected_and_phases_worked_in():
    (one,) = (DECAY + FIFTH * DECAY).modes()
    assert astuple(one) == pytest.approx((1 + math.exp(-5), 0, 0, -1, 0))
    (steady,) = (TWO + HALF_TURN + sin(ONE)).modes()
    assert astuple(steady) == pytest.approx((2 + math.cos(0.5) + math.sin(1), 0, 0, 0, 0))
    (swing,) = sin(TIME.scaled(fmpq(3)) + constant(fmpq(1, 2))).modes()
    assert astuple(swing) == pytest.approx((math.sin(0.5), math.cos(0.5), 0, 0, 3))
    ramp, flat = sorted(map(astuple, (TIME * DECAY * FIVE + DECAY).modes()), reverse=True)
    assert (ramp, flat) == (pytest.approx((5, 0, 1, -1, 0)), pytest.approx((1, 0, 0, -1, 0)))
    assert (TIME * DECAY * FIVE + DECAY).value(2) == pytest.approx(11 * math.exp(-2))
    with pytest.raises(TypeError):
        (LETTER * DECAY).modes()
