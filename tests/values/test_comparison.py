"""How near is near: every bound of a comparison, just inside and just outside, at a tolerance of two per cent.

By hand, for 10 - 8 e^(-50t): the final value may be off by 0.2; the start value of 2 by what rounding takes from 18, 0.09;
a rate by 1; a term of 0.2 may be left out; a coefficient by 0.2; the slope of 400 by 8.
"""

import math

import pytest
from flint import fmpq
from msgspec.structs import replace

from grader.values.comparison import (
    EQUAL,
    Comparison,
    FractionComparison,
    agree,
    all_roots,
    close,
    compare,
    compare_modes,
    same_roots,
)
from grader.values.functions import exp
from grader.values.symbolic import Symbolic
from grader.values.term import TermMode
from grader.values.waveform import TIME, Waveform
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
        (answer(10, -8, -50, mode(0.2, rate=-5000)), "form", True),  # what lies on the bound is within it
        (answer(10, -8, -50, mode(1e-9, frequency=3)), "final", True),  # rounding noise swings for ever
        (answer(10, -8, -50, mode(1e-7, frequency=3)), "final", False),
        (answer(10.1, -8.15, -51), "slope", True),  # every constant and rate within its share
        (answer(10.3, -8.15), "slope", True),  # 407.5 for 400
        (answer(10.3, -7.85), "slope", True),
        (answer(10.3, -8.17), "slope", False),
        (answer(10.3, -7.83), "slope", False),
        (answer(10.3, 8), "slope", False),
        (answer(10, -8.16), "slope", True),
        (answer(10, -8.17), "slope", False),
        (answer(2, 8), "form", True),  # start and final value exchanged
        ([mode(10, rate=-50)], "form", True),  # a decay for the rise, whatever it rises from
        ([mode(2)], "form", False),
    ],
)
def test_a_rise(given, field, holds):
    assert getattr(compare_modes(given, RISE, 0.02), field) is holds


# Terms without a partner: 0.15 e^(-60t) for 0.15 e^(-60t) cos t, and 0.15 sin 100t, damped or not, differ by less than 0.2.
@pytest.mark.parametrize(
    ("given", "right", "holds"),
    [
        (mode(0.15, rate=-60, frequency=1), mode(0.15, rate=-60), True),
        (mode(-0.15, rate=-60, frequency=1), mode(0.15, rate=-60), False),
        (mode(0, 0.15, frequency=100), mode(0, 0.15, rate=-60, frequency=100), True),
        (mode(0, -0.15, frequency=100), mode(0, 0.15, rate=-60, frequency=100), False),
    ],
)
def test_what_is_missing_and_what_is_added_may_cancel(given, right, holds):
    """Beside a term that is off by half of itself, 0.01, so that all differences are added up."""
    given, right = ([*RISE, mode(size, rate=-3000), one] for size, one in ((0.03, given), (0.02, right)))
    assert compare_modes(given, right, 0.02).coefficients is holds


@pytest.mark.parametrize(
    ("given", "right", "field", "holds"),
    [
        # An exponent of a term that is too small to matter may be any.
        (mode(0.1, rate=-2000), mode(0.1, rate=-1000), "rates", True),
        (mode(0.3, rate=-2000), mode(0.1, rate=-1000), "rates", False),
        (mode(0.1, rate=-2000), mode(0.3, rate=-1000), "rates", False),
    ],
)
def test_small_terms(given, right, field, holds):
    assert getattr(compare_modes([*RISE, given], [*RISE, right], 0.02), field) is holds


@pytest.mark.parametrize(
    ("final", "own", "holds"),
    [
        (0, 0.15, True),  # near zero a share of the size: 0.16
        (0, 0.17, False),
        (0.03, 0.18, True),
        (0.03, 0.2, False),
        (0.06, 0.061, True),  # beyond half a per cent of the size a value has a share of its own
        (0.06, 0.063, False),
    ],
)
def test_an_end_near_zero(final, own, holds):
    given, right = ([mode(value), mode(8, rate=-50)] for value in (own, final))
    assert compare_modes(given, right, 0.02).final is holds


@pytest.mark.parametrize(("given", "equal"), [(10.19, True), (10.21, False), (9.81, True), (9.79, False)])
def test_a_constant_has_its_share_though_nothing_changes(given, equal):
    found = compare_modes([mode(given)], [mode(10)], 0.02)
    assert (found.initial, found.final, found.coefficients, found.equal) == (equal,) * 4


@pytest.mark.parametrize(("off", "holds"), [(5e-9, True), (2e-8, False)])
def test_without_a_tolerance_rounding_noise_is_none_the_less_within_it(off, holds):
    assert compare_modes(answer(10 + off, -8), RISE, 0.0).final is holds


PARTS = ("initial", "final", "rates", "frequencies", "form", "coefficients")


def test_everything_that_is_said_must_agree():
    assert EQUAL.equal
    assert Comparison(exact=True).equal
    inexact = replace(EQUAL, exact=False)
    assert inexact.equal
    assert replace(inexact, slope=False).equal
    assert not any(replace(inexact, **{part: False}).equal for part in PARTS)
    assert not any(Comparison(**{part: True}).equal for part in PARTS)
    whole = FractionComparison(poles=True, zeros=True, gain=True)
    assert whole.equal
    assert not any(whole._replace(**{part: False}).equal for part in FractionComparison._fields)


def test_forms_that_are_the_same_are_equal_where_both_are_exact():
    right = exp(TIME.scaled(fmpq(-50)))
    inexact = Waveform(right.terms, exact=False)
    assert compare(right, right, 0.02) is EQUAL
    for given, other in ((right, inexact), (inexact, right), (inexact, inexact)):
        found = compare(given, other, 0.02)
        assert (found.exact, found.equal) == (False, True)
    assert not compare(right.scaled(fmpq(2)), right, 0.02).equal
    assert not compare(right, right.scaled(fmpq(2)), 0.02).equal


def test_on_a_later_interval_the_start_is_its_own():
    """e^(-25 (t-2)) for e^(-50 (t-2)): both start at 1."""
    right, slower = (exp(TIME.scaled(fmpq(rate))).delayed(fmpq(2)) for rate in (-50, -25))
    found = compare(slower, right, 0.02, fmpq(2))
    assert (found.initial, found.coefficients, found.rates) == (True, True, False)
    found = compare(slower.delayed(fmpq(1)), right, 0.02, fmpq(2))
    assert (found.initial, found.coefficients) == (False, False)


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
        ([mode(3.09, 4, rate=-2, frequency=50)], "coefficients", True),  # 3 % of its own, 0.09 of 5
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
        ((1, 103), False),  # though it adds up to 0.022 at most
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


@pytest.mark.parametrize(
    ("given", "field", "holds"),
    [
        ([mode(100.24), mode(0.8, rate=-1)], "final", True),
        ([mode(100.26), mode(0.8, rate=-1)], "final", False),
        ([mode(100), mode(1.24, rate=-1)], "initial", True),
        ([mode(100.2), mode(1.07, rate=-1)], "initial", False),
    ],
)
def test_so_it_is_of_either_end(given, field, holds):
    assert getattr(compare_modes(given, [mode(100), mode(1, rate=-1)], 0.02), field) is holds


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
        (math.inf, 1, 0, False),
        (1, -math.inf, 0, False),
        (0.019, 1e-9, 1, True),
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
        ([-10.15, -9.85], [-10.2, -10], 2),
        ([-30 + 40j, -30 - 40j], [-30 + 41j, -30 - 41j], 2),
        ([-30 + 40j], [-30 - 40j], 0),
        ([], [-1], 0),
    ],
)
def test_roots(given, right, found):
    assert same_roots(given, right, 0.02) == found
    assert all_roots(given, right, 0.02) is (found == len(given) == len(right))


def test_scalars_agree_by_their_letters_or_within_the_tolerance():
    r, c = (Symbolic.symbol(name, ("R", "C")) for name in ("R", "C"))
    assert agree(r, r, 0.02)
    assert not agree(r, c, 0.02)
    assert not agree(r, fmpq(1), 0.02)
    assert not agree(fmpq(1), r, 0.02)
    assert agree(fmpq(51, 50), fmpq(1), 0.02)
    assert not agree(fmpq(103, 100), fmpq(1), 0.02)
