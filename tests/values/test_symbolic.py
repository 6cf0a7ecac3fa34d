"""Rational functions of letters: canonical, and equal to what they are with numbers put in."""

import pickle

import pytest
import sympy
from flint import fmpq
from hypothesis import assume, given
from hypothesis import strategies as st

from grader.values.scalar import Surd, is_symbolic, scalar_text, sign, sqrt, to_float
from grader.values.symbolic import Symbolic

NAMES = ("R", "L", "C")
R, L, C = (Symbolic.symbol(name, NAMES) for name in NAMES)
POINTS = st.fixed_dictionaries(
    {
        name: st.fractions(min_value="1/5", max_value=9, max_denominator=7).map(
            lambda f: fmpq(f.numerator, f.denominator)
        )
        for name in NAMES
    }
)


@st.composite
def functions(draw):
    """Small quotients of polynomials."""
    total = draw(st.sampled_from([R, L, C, R + L, R * C, R - L, L / C, R / (R + L)]))
    for _ in range(draw(st.integers(0, 2))):
        other = draw(st.sampled_from([R, L, C, R + C, L * C, R - C]))
        total = draw(st.sampled_from([total + other, total * other, total - other, total / other]))
    return total


def at(value, point):
    return value.substitute(point) if isinstance(value, Symbolic) else value


@given(functions(), functions(), POINTS)
def test_arithmetic_agrees_with_numbers(a, b, point):
    """Operations and substitution commute."""
    try:
        assume(at(b, point) != 0)
        at(a, point)
    except ZeroDivisionError:
        assume(False)  # a pole
    assert at(a + b, point) == at(a, point) + at(b, point)
    assert at(a * b, point) == at(a, point) * at(b, point)
    assert at(a - b, point) == at(a, point) - at(b, point)
    assert at(a / b, point) == at(a, point) / at(b, point)


@given(functions(), functions())
def test_equality_is_decided(a, b):
    """Forms are canonical: a difference of equals is the number zero."""
    assert (a + b) - b - a == 0
    assert isinstance((a + b) - b - a, fmpq)
    if b != 0:
        assert a / b * b == a


def test_drops_to_numbers():
    """Where no letter is left."""
    assert R / R == 1
    assert isinstance(R / R, fmpq)
    assert isinstance(R - R, fmpq)
    assert not is_symbolic(R * 2 / R)
    with pytest.raises(ZeroDivisionError):
        R / (L - L)


def test_letters_are_positive():
    """sqrt(R^2) is R; even powers leave the root."""
    assert sqrt(R * R) == R
    assert sqrt(R * R * L / C) == R * sqrt(L / C)
    assert sqrt(L * C) * sqrt(L * C) == L * C
    assert isinstance(sqrt(L * C), Surd)


@given(POINTS)
def test_signs_of_quadratic_roots(point):
    """Both roots of s² + (R/L) s + 1/(LC) lie left of zero, as real roots or by their real part."""
    half = R / L / 2
    spread = sqrt(half * half - fmpq(1) / (L * C))
    assert sign(spread - half) == sign(-spread - half) == -1
    # s² + (R/L) s - 1/(LC): one on either side.
    spread = sqrt(half * half + fmpq(1) / (L * C))
    assert sign(spread - half) == 1
    assert sign(-spread - half) == -1
    del point


@given(functions(), POINTS)
def test_text_reads_back(a, point):
    """By sympy's parser: powers are written with two stars."""
    text = scalar_text(a)
    assert "^" not in text
    try:
        at(a, point)
    except ZeroDivisionError:
        assume(False)  # a pole
    value = sympy.sympify(text).subs({name: sympy.Rational(int(v.p), int(v.q)) for name, v in point.items()})
    assert float(value) == pytest.approx(to_float(at(a, point)))


@given(functions())
def test_pickles(a):
    """And hashes alike."""
    again = pickle.loads(pickle.dumps(a))
    assert again == a
    assert hash(again) == hash(a)
