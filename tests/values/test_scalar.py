"""Exact scalars: field laws, canonical forms, signs and roots, against sympy and mpmath-free floats."""

import math
import pickle
from fractions import Fraction

import flint
import pytest
import sympy
from flint import fmpq
from hypothesis import assume, example, given
from hypothesis import strategies as st

from grader.errors import NotDefined
from grader.values.scalar import MAX_TENS, Surd, approximate, rational, scalar_text, sign, sqrt, to_float

RATIONALS = st.fractions(min_value=-50, max_value=50, max_denominator=12).map(
    lambda f: fmpq(f.numerator, f.denominator)
)
RADICANDS = st.integers(2, 60)


@st.composite
def scalars(draw):
    """Rationals and sums of up to two roots."""
    total = draw(RATIONALS)
    for _ in range(draw(st.integers(0, 2))):
        total = total + sqrt(fmpq(draw(RADICANDS))) * draw(RATIONALS)
    return total


@pytest.mark.parametrize(
    "text, value",
    [
        ("2.2e-3", Fraction(11, 5000)),
        ("-4", Fraction(-4)),
        ("12/5", Fraction(12, 5)),
        ("0", Fraction(0)),
        (7, Fraction(7)),
    ],
)
def test_rational(text, value):
    """Decimal text is taken exactly."""
    assert rational(text) == fmpq(value.numerator, value.denominator)


@pytest.mark.parametrize("text", ["x", "1/0", "inf", "nan", "", "1e"])
def test_no_rational(text):
    """Anything else is refused."""
    with pytest.raises(ValueError, match=r"divides by zero|not a finite decimal"):
        rational(text)


@given(scalars(), scalars(), scalars())
def test_ring_laws(a, b, c):
    """Canonical forms make equality decidable: the laws hold as equalities, not within rounding."""
    assert a + b == b + a
    assert a * b == b * a
    assert a * (b + c) == a * b + a * c
    assert (a + b) - b == a
    assert a - a == 0
    assert isinstance(a - a, fmpq)


@given(scalars(), scalars())
def test_division_is_exact(a, b):
    """a/b*b is a, whatever roots are below the line."""
    assume(b != 0)
    assert a / b * b == a


def parts_size(value):
    """The size of all parts of a sum of roots together: floats lose digits where these cancel."""
    parts = value.parts if isinstance(value, Surd) else ((1, value),)
    return sum(abs(to_float(coefficient)) * math.sqrt(int(radicand)) for radicand, coefficient in parts)


@given(scalars(), scalars())
@example(*[fmpq(-9865, 66) + sqrt(fmpq(5)) * fmpq(205, 3)] * 2)
def test_floats_agree(a, b):
    """The arithmetic is that of real numbers."""
    size = 1 + parts_size(a) * parts_size(b)
    assert to_float(a * b) == pytest.approx(to_float(a) * to_float(b), abs=1e-12 * size)
    assert to_float(a + b) == pytest.approx(to_float(a) + to_float(b), abs=1e-12 * size)


@given(scalars())
def test_sign(a):
    """Against the float where that is clear of zero."""
    assume(abs(to_float(a)) > 1e-9)
    assert sign(a) == math.copysign(1, to_float(a))


def test_sign_of_a_near_cancellation():
    """sqrt(2) against a convergent that differs by 1e-25."""
    close = fmpq(1393 * 10**0, 985)  # convergent of sqrt(2)
    assert sign(sqrt(fmpq(2)) - close) == 1 if 1393**2 < 2 * 985**2 else -1
    p, q = 1, 1
    for _ in range(40):
        p, q = p + 2 * q, p + q
    assert sign(sqrt(fmpq(2)) - fmpq(p, q)) == (1 if p * p < 2 * q * q else -1)


@given(RATIONALS)
def test_sqrt(a):
    """A root squared is the number; negative numbers have none."""
    if a < 0:
        with pytest.raises(ValueError, match="negative"):
            sqrt(a)
    else:
        assert sqrt(a) * sqrt(a) == a
        assert to_float(sqrt(a)) == pytest.approx(math.sqrt(to_float(a)))


def test_roots_are_reduced():
    """sqrt(8) is 2 sqrt(2), sqrt(4/9) is 2/3, products of roots meet."""
    assert sqrt(fmpq(8)) == sqrt(fmpq(2)) * 2
    assert sqrt(fmpq(4, 9)) == fmpq(2, 3)
    assert sqrt(fmpq(2)) * sqrt(fmpq(6)) == sqrt(fmpq(3)) * 2
    assert isinstance(sqrt(fmpq(2)) * sqrt(fmpq(2)), fmpq)
    with pytest.raises(ValueError, match="sum of roots"):
        sqrt(sqrt(fmpq(2)) + 1)


@given(scalars())
def test_text_reads_back(a):
    """By sympy's parser, exactly."""
    assert abs(sympy.N(sympy.sympify(scalar_text(a))) - to_float(a)) <= 1e-9 * (1 + abs(to_float(a)))


@given(scalars())
def test_pickles(a):
    """And hashes alike."""
    again = pickle.loads(pickle.dumps(a))
    assert again == a
    assert hash(again) == hash(a)


def test_division_by_zero():
    """Is an error of its own."""
    with pytest.raises(ZeroDivisionError):
        sqrt(fmpq(2)) / fmpq(0)
    assert isinstance(sqrt(fmpq(2)), Surd)


def test_the_root_of_a_long_number_is_exact_and_needs_no_factoring():
    """Two primes of 50 digits: nobody factors their product; by hand, its square has them as its root."""
    p, q = 10**49 + 9, 10**49 + 73  # whether prime or not, no small prime divides their product
    assert sqrt(fmpq((p * q) ** 2, 4)) == fmpq(p * q, 2)
    root = sqrt(fmpq(12 * p * q))
    assert root * root == fmpq(12 * p * q)
    assert to_float(root) == pytest.approx(math.sqrt(12) * 1e49)
    assert (root + 1) * (1 / (root + 1)) == 1


def test_division_by_roots_that_share_factors():
    """sqrt(6), sqrt(10) and sqrt(15) share a prime by twos, and none is in all."""
    below = sqrt(fmpq(6)) + sqrt(fmpq(10)) + sqrt(fmpq(15)) + 1
    assert below * (1 / below) == 1


def test_a_number_with_a_hundred_million_zeros_is_not_written_out():
    assert approximate(flint.arb(-320_000_000).exp()) == 0
    assert approximate(flint.arb(10) ** -(MAX_TENS - 1)) > 0
    with pytest.raises(NotDefined, match="larger"):
        approximate(flint.arb(320_000_000).exp())
