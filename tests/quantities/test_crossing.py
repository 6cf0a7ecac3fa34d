"""The first crossing of a level, against closed forms and scipy's root finder."""

from __future__ import annotations

import math

import pytest
from flint import fmpq
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from grader.errors import NotDefined
from grader.quantities.crossing import first_crossing
from grader.values.functions import cos, exp, sin
from grader.values.scalar import rational
from grader.values.waveform import TIME, Waveform, constant


def c(text: str) -> Waveform:
    return constant(rational(text))


def crossing(waveform: Waveform, level: str, start: str = "0", end: str | None = None) -> float:
    return first_crossing(waveform, rational(level), rational(start), None if end is None else rational(end)).value()


def test_one_exponential_is_a_logarithm():
    rise = c("10") - c("10") * exp(c("-500") * TIME)
    assert crossing(rise, "5") == pytest.approx(math.log(2) / 500, rel=1e-14)


def test_at_the_first_instant():
    rise = c("10") - c("10") * exp(c("-500") * TIME)
    assert crossing(rise, "0") == 0.0


def test_counts_on_the_problems_clock():
    """A later interval: the instant found is that of the clock, not the time since the switching."""
    fall = c("6") * exp(c("-100") * (TIME - c("0.02")))
    assert crossing(fall, "3", "0.02") == pytest.approx(0.02 + math.log(2) / 100, rel=1e-14)


@pytest.mark.parametrize("level", ["10", "12", "-1"])
def test_level_never_reached(level):
    """The final value itself is approached and never reached."""
    rise = c("10") - c("10") * exp(c("-500") * TIME)
    with pytest.raises(NotDefined, match="never"):
        crossing(rise, level)


def test_next_switching_comes_first():
    rise = c("10") - c("10") * exp(c("-500") * TIME)
    with pytest.raises(NotDefined, match="next switching"):
        crossing(rise, "9.9", "0", "0.001")


def test_constant_at_its_level():
    with pytest.raises(NotDefined, match="all the time"):
        crossing(c("3"), "3")


def test_ringing_takes_the_first_of_many():
    ring = c("24") - exp(c("-30") * TIME) * (c("24") * cos(c("400") * TIME) + c("18") * sin(c("400") * TIME))
    modes = ring.modes()

    def f(t: float) -> float:
        return 24 - math.exp(-30 * t) * (24 * math.cos(400 * t) + 18 * math.sin(400 * t)) - 24

    assert modes
    assert crossing(ring, "24") == pytest.approx(brentq(f, 1e-4, 0.0075), rel=1e-12)


def test_two_exponentials_at_very_different_rates():
    pulse = exp(c("-1") * TIME) - exp(c("-100000") * TIME)
    expected = brentq(lambda t: math.exp(-t) - math.exp(-1e5 * t) - 0.5, 0, 1e-4)
    assert crossing(pulse, "0.5") == pytest.approx(expected, rel=1e-9)


def test_turning_point_that_just_touches():
    """t e^-t has its maximum 1/e at t = 1; a level a hair above is not reached."""
    hump = TIME * exp(-TIME)
    assert crossing(hump, "0.36787944117144232") == pytest.approx(1.0, abs=1e-3)
    with pytest.raises(NotDefined):
        crossing(hump, "0.368")


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(
    st.integers(-50, 50),
    st.integers(-50, 50).filter(bool),
    st.integers(1, 10**6),
    st.fractions(0, 1).filter(lambda f: 0 < f < 1),
)
def test_value_at_the_crossing_is_the_level(final, change, rate, share):
    """Whatever the numbers: a level between the two ends is reached, and there the signal has it."""
    waveform = constant(fmpq(final)) + constant(fmpq(change)) * exp(constant(fmpq(-rate)) * TIME)
    level = fmpq(final) + fmpq(change) * fmpq(share.numerator, share.denominator)
    found = first_crossing(waveform, level, fmpq(0), None)
    assert waveform.value(found.value()) == pytest.approx(
        int(level.p) / int(level.q), abs=1e-9 * (abs(final) + abs(change))
    )
