"""How near is near: every bound of a comparison, just inside and just outside, at a tolerance of two per cent.

By hand, for 10 - 8 e^(-50t): the final value may be off by 0.2; the start value of 2 by what rounding takes from 18, 0.09;
a rate by 1; a term of 0.2 may be left out; a coefficient by 0.2; the slope of 400 by 8.
"""

import math

import pytest

from grader.values.comparison import close, compare_modes, same_roots
from grader.values.term import TermMode
from tests.values.test_modes import mode

RISE = [mode(10), mode(-8, rate=-50)]


def answer(final: float, amplitude: float, rate: float = -50, *more: TermMode) -> list[TermMode]:
    return [mode(final), mode(amplitude, rate=rate), *more]


@pytest.mark.parametrize(
    ("given", "field", "holds"),
    [
        (answer(10.19, -8.19), "final", True),
        (answer(10.21, -8.21), "final", False),
        (answer(10.25, -8.2), "initial", True),
        (answer(10.25, -8.155), "initial", False),
        (answer(10.15, -7.9), "initial", True),  # every coefficient within its share, so what they add up to is right
        (answer(10, -7.83), "initial", False),
        (answer(10, -8, -51), "rates", True),
        (answer(10, -8, -51.01), "rates", False),
        (answer(10, -8, -48.99), "rates", False),
        (answer(10, -8, -50, mode(0.19, rate=-5000)), "form", True),
        (answer(10, -8, -50, mode(0.21, rate=-5000)), "form", False),
        ([mode(-8, rate=-50)], "form", False),
        ([mode(10)], "form", False),
        ([mode(10)], "rates", False),
        ([mode(10), mode(-8, power=1, rate=-50)], "rates", True),  # of another kind, and yet the right time constant
        ([mode(10), mode(-800, power=1, rate=-60)], "rates", False),
        ([mode(10), mode(-800, power=1, rate=-50)], "form", False),
        (answer(10, -8.19), "coefficients", True),
        (answer(10, -8.21), "coefficients", False),
        (answer(10.15, -8.19), "coefficients", True),  # what they are off by cancels
        (answer(10.15, -7.81), "coefficients", False),  # and adds up to 0.34 at the start
        (answer(10, -8.16), "slope", True),
        (answer(10, -8.17), "slope", False),
        (answer(2, 8), "form", True),  # start and final value exchanged
        ([mode(2)], "form", False),
    ],
)
def test_a_rise(given, field, holds):
    assert getattr(compare_modes(given, RISE, 0.02), field) is holds


SWING = [mode(3, 4, rate=-2, frequency=50)]  # never far from 5 e^(-2t)


@pytest.mark.parametrize(
    ("given", "field", "holds"),
    [
        ([mode(3, 4, rate=-2, frequency=51)], "frequencies", True),
        ([mode(3, 4, rate=-2, frequency=51.1)], "frequencies", False),
        ([mode(3, 4, rate=-2.1, frequency=50)], "rates", False),
        ([mode(3, 4, rate=-2.1, frequency=50)], "frequencies", True),
        ([mode(3, 4, frequency=50)], "frequencies", True),  # the damping lost
        ([mode(3, 4, frequency=50)], "rates", False),
        ([mode(3, 4, frequency=50)], "form", False),
        ([mode(3, rate=-2)], "rates", True),  # the oscillation lost
        ([mode(3, rate=-2)], "frequencies", False),
        ([mode(3, 4.075, rate=-2, frequency=50)], "coefficients", True),
        ([mode(3.075, 4.075, rate=-2, frequency=50)], "coefficients", False),  # 0.106 of 5
        ([mode(3, -4, rate=-2, frequency=50)], "initial", True),
        ([mode(3, -4, rate=-2, frequency=50)], "slope", False),
        ([mode(-3, 4, rate=-2, frequency=50)], "initial", False),
    ],
)
def test_a_swing(given, field, holds):
    assert getattr(compare_modes(given, SWING, 0.02), field) is holds


@pytest.mark.parametrize(
    ("given", "equal"),
    [
        ([mode(100), mode(0.76, rate=-1)], True),
        ([mode(100), mode(0.74, rate=-1)], False),
        ([mode(100.24), mode(0.8, rate=-1)], True),
        ([mode(100.26), mode(0.8, rate=-1)], False),
        ([mode(100)], False),
    ],
)
def test_upon_a_large_value_a_quarter_of_the_change_is_the_most(given, equal):
    assert compare_modes(given, [mode(100), mode(1, rate=-1)], 0.02).equal is equal


@pytest.mark.parametrize(
    ("given", "holds"),
    [
        ((1.025, 101), True),  # each term by 1 of the 2 that it may, and all of it by 0.025 + 0.007 of 0.035
        ((1.025, 103), False),
        ((1.04, 101), False),
    ],
)
def test_of_terms_that_nearly_cancel_each_may_be_off_by_its_share(given, holds):
    """100 (e^(-t) - e^(-1.02t)) is never more than 0.74, near t = 1."""

    def modes(final, size):
        return [mode(final), mode(size, rate=-1), mode(-size, rate=-1.02)]

    assert compare_modes(modes(*given), modes(1, 100), 0.02).coefficients is holds


@pytest.mark.parametrize(("amplitude", "equal"), [(1.22, True), (1.2201, False), (0.78, True), (0.7799, False)])
def test_what_lies_on_the_bound_is_within_it(amplitude, equal):
    """Of 10 + e^(-t), 11 at most, 2 % are 0.22."""
    given, right = ([mode(10), mode(size, rate=-1)] for size in (amplitude, 1))
    assert compare_modes(given, right, 0.02).equal is equal


def test_what_never_settles_agrees_with_what_never_settles():
    sine = [mode(0, 1, frequency=3)]
    assert compare_modes(sine, sine, 0.02).final
    assert not compare_modes([mode(1)], sine, 0.02).final
    assert not compare_modes(sine, [mode(1)], 0.02).final


@pytest.mark.parametrize(
    ("given", "right", "scale", "expected"),
    [
        (1.02, 1, 0, True),
        (1.0201, 1, 0, False),
        (-1.02, -1, 0, True),
        (0.98, -1, 0, False),
        (0.0019, 0, -0.1, True),
        (0.0021, 0, -0.1, False),
        (0.019, 1e-10, 1, True),  # noise beside the signal
        (0.019, 1e-8, 1, False),  # a value of its own
        (math.inf, math.inf, 0, True),
        (-math.inf, math.inf, 0, False),
        (1, math.inf, 0, False),
        (math.nan, math.nan, 0, False),
    ],
)
def test_a_value(given, right, scale, expected):
    assert close(given, right, 0.02, scale) is expected


@pytest.mark.parametrize(
    ("given", "right", "found"),
    [
        ([-100, -20.3], [-20, -100], 2),
        ([-100, -20.5], [-20, -100], 1),
        ([-100, -100], [-20, -100], 1),
        ([-10.05, -10.38], [-10, -10.2], 2),  # each takes the nearest one left
        ([-30 + 40j, -30 - 40j], [-30 + 41j, -30 - 41j], 2),
        ([-30 + 40j], [-30 - 40j], 0),
        ([], [-1], 0),
    ],
)
def test_roots(given, right, found):
    assert same_roots(given, right, 0.02) == found
