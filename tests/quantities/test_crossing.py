"""The first crossing of a level, against closed forms and scipy's root finder."""

import math
from itertools import pairwise

import pytest
from flint import fmpq
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from grader.errors import NotDefined
from grader.quantities.crossing import crossings, first_crossing
from grader.values.functions import cos, exp, sin
from grader.values.scalar import rational
from grader.values.term import sample
from grader.values.waveform import TIME, Waveform, constant


def c(text: str) -> Waveform:
    return constant(rational(text))


def crossing(waveform: Waveform, level: str, start: str = "0", end: str | None = None, **which) -> float:
    last = None if end is None else rational(end)
    return first_crossing(waveform, rational(level), rational(start), last, **which).value()


def test_one_exponential_is_a_logarithm():
    rise = c("10") - c("10") * exp(c("-500") * TIME)
    assert crossing(rise, "5") == pytest.approx(math.log(2) / 500, rel=1e-14)


def test_having_a_value_at_the_start_is_not_reaching_it():
    """10 (1 - e^-500t) leaves 0 for good; 10 e^-t sin t comes back to it at t = π, downwards, and at 2π."""
    rise = c("10") - c("10") * exp(c("-500") * TIME)
    with pytest.raises(NotDefined, match="never"):
        crossing(rise, "0")
    ring = c("10") * exp(-TIME) * sin(TIME)
    assert crossing(ring, "0") == pytest.approx(math.pi, rel=1e-14)
    assert crossing(ring, "0", direction="rising") == pytest.approx(2 * math.pi, rel=1e-14)


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
    with pytest.raises(NotDefined, match="before t = 1 ms"):
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


def test_ramp_through_a_lag():
    """1 V/s into RC with τ = 1 ms: v = t - τ + τ e^(-t/τ) has 5 V at 5.001 s, a long time after 40 τ."""
    ramp = TIME - c("0.001") + c("0.001") * exp(c("-1000") * TIME)
    assert crossing(ramp, "5") == pytest.approx(5.001, rel=1e-14)


def test_sinusoid_through_a_lag():
    """10 sin 314t V into RC with τ = 10 µs: nearly the source itself, so 5 V near asin(1/2)/314 + τ, over and over."""
    share = 0.00314
    size = rational("10") / (rational("1") + rational("0.00314") * rational("0.00314"))
    lagged = sin(c("314") * TIME) - c("0.00314") * cos(c("314") * TIME) + c("0.00314") * exp(c("-1e5") * TIME)

    def f(t: float) -> float:
        gain = 10 / (1 + share**2)
        return gain * (math.sin(314 * t) - share * math.cos(314 * t) + share * math.exp(-1e5 * t)) - 5

    whole = lagged.scaled(size)
    assert crossing(whole, "5") == pytest.approx(brentq(f, 1e-3, 3e-3, xtol=1e-15), rel=1e-12)
    assert crossing(whole, "5", number=2) == pytest.approx(brentq(f, 7e-3, 9e-3, xtol=1e-15), rel=1e-12)
    period = 2 * math.pi / 314
    third = brentq(f, 1e-3 + 2 * period, 3e-3 + 2 * period, xtol=1e-15)
    assert crossing(whole, "5", number=3, direction="rising") == pytest.approx(third, rel=1e-12)
    with pytest.raises(NotDefined, match="never"):
        crossing(whole, "11")


def test_growing_modes():
    """e^(0.1 t) - 2 e^(-3t) + sin(7t)/2 starts at -1 and passes 6.2 near 10 ln 6.2 = 18.2 s, for good a little later."""
    grown = exp(c("0.1") * TIME) - c("2") * exp(c("-3") * TIME) + c("0.5") * sin(c("7") * TIME)

    def f(t: float) -> float:
        return math.exp(0.1 * t) - 2 * math.exp(-3 * t) + math.sin(7 * t) / 2 - 6.2

    step = 1e-4
    signs = [(k * step, f(k * step) > 0) for k in range(1, 250_000)]
    changes = [(a, b) for (a, before), (b, after) in pairwise(signs) if before != after]
    for number, (a, b) in enumerate(changes, start=1):
        assert crossing(grown, "6.2", number=number) == pytest.approx(brentq(f, a, b, xtol=1e-14), rel=1e-12)
    with pytest.raises(NotDefined, match=f"that value {len(changes) + 1} times"):
        crossing(grown, "6.2", number=len(changes) + 1)


def test_every_turning_point_that_touches_counts_once():
    """cos t touches 1 at 2π, 4π … and crosses it nowhere."""
    wave = cos(TIME)
    assert crossing(wave, "1", number=3) == pytest.approx(6 * math.pi, rel=1e-9)
    with pytest.raises(NotDefined, match="falling"):
        crossing(wave, "1", "0", "100", direction="falling")


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(
        st.tuples(st.integers(-9, 9), st.integers(-9, 9), st.integers(-4, 1), st.integers(0, 12), st.integers(0, 2)),
        min_size=1,
        max_size=4,
    )
)
def test_as_many_crossings_as_changes_of_sign(terms):
    """On (0, 3], looked at every 0.1 ms: no change of sign is missed, none is invented."""
    total = c("1")
    for a, b, rate, frequency, power in terms:
        angle = constant(fmpq(frequency)) * TIME
        shape = constant(fmpq(a)) * cos(angle) + constant(fmpq(b)) * sin(angle)
        total = total + shape * exp(constant(fmpq(rate)) * TIME) * (TIME if power == 1 else c("1"))
    assume(not total.is_constant)
    found = []
    for found_one in crossings(total, fmpq(3)):
        found.append(found_one)
        assert abs(total.value(float(found_one.time))) <= 1e-8 * sum(abs(x) for t in terms for x in (1, *t[:2])) * 30
    times = [3 * k / 30_000 for k in range(1, 30_001)]
    modes = total.modes()
    values = [(t, sample(modes, t)) for t in times]
    sure = [(t, v > 0) for t, v in values if abs(v) > 1e-9]
    changes = [(a, b) for (a, before), (b, after) in pairwise(sure) if before != after]
    passed = [float(one.time) for one in found if one.way]
    assert all(any(a - 1e-9 <= t <= b + 1e-9 for t in passed) for a, b in changes)
    assert len(passed) >= len(changes)


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


@pytest.mark.parametrize("power", [160, 320, 400])
def test_a_waveform_below_all_that_a_float_holds_is_looked_through(power):
    """``10^-400 (1 - e^-t)``: its slopes at the start are nothing but zero, however often it is differentiated."""
    tiny = constant(fmpq(1, 10**power))
    assert list(crossings(tiny - tiny * exp(-TIME), fmpq(1))) == []
