"""Comparison: rounded answers are right, altered ones are not, and no sampled instant decides."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from grader.values import functions
from grader.values.comparison import allowance, close, compare
from grader.values.modes import peak
from grader.values.scalar import rational
from grader.values.term import TermMode, sample
from grader.values.waveform import TIME, Waveform, constant

TOLERANCE = 0.02


def exponential(final: str, amplitude: str, rate: str) -> Waveform:
    """final + amplitude*e^(rate*t)."""
    return constant(rational(final)) + constant(rational(amplitude)) * functions.exp(TIME.scaled(rational(rate)))


RIGHT = exponential("2", "-4/11", "-100")


@pytest.mark.parametrize(
    "given",
    [
        exponential("2", "-0.364", "-100"),
        exponential("2.00", "-0.36", "-101"),
        exponential("1.98", "-0.36", "-99"),
    ],
)
def test_rounded_coefficients_and_exponents_are_right(given):
    """Rounding of each printed number is within the tolerance."""
    assert compare(given, RIGHT, TOLERANCE).equal


def test_a_sine_switched_on_may_be_given_in_rounded_numbers():
    """The phase stands in the decaying term as well, where it turns nothing: sin(400t - 1/2) + sin(1/2) e^(-300t)."""
    phase, decay = constant(rational("-0.5")), functions.exp(TIME.scaled(rational(-300)))
    right = functions.sin(TIME.scaled(rational(400)) + phase) - functions.sin(phase) * decay
    for sine, cosine, lone, same in (("0.878", "-0.479", "0.479", True), ("0.878", "-0.479", "0.3", False)):
        given = functions.sin(TIME.scaled(rational(400))).scaled(rational(sine))
        given += functions.cos(TIME.scaled(rational(400))).scaled(rational(cosine)) + decay.scaled(rational(lone))
        assert compare(given, right, TOLERANCE).equal is same


@pytest.mark.parametrize(
    ("given", "lost"),
    [
        (exponential("2", "-0.364", "-103"), "rates"),
        (exponential("2", "-0.364", "100"), "rates"),
        (exponential("2", "0.364", "-100"), "initial"),
        (exponential("2.1", "-0.464", "-100"), "final"),
        (exponential("0", "1.636", "-100"), "final"),
        (constant(rational(2)), "form"),
        (RIGHT + exponential("0", "0.2", "-5000"), "form"),
    ],
)
def test_each_fault_is_seen_where_it_is(given, lost):
    """An altered answer is unequal, and the part altered is the part that fails."""
    comparison = compare(given, RIGHT, TOLERANCE)
    assert not comparison.equal
    assert not getattr(comparison, lost)


def test_a_term_that_vanishes_at_every_millisecond_is_caught():
    """sin(1000 pi t) is zero at every multiple of 1 ms, and still no part of the answer."""
    pi = rational(str(math.pi))
    ripple = functions.sin(TIME.scaled(rational(1000) * pi)).scaled(rational("0.3"))
    assert not compare(RIGHT + ripple, RIGHT, TOLERANCE).equal


def test_a_term_too_small_to_matter_may_be_left_out_or_added():
    """A term is judged by its size beside the change it belongs to."""
    assert compare(RIGHT + exponential("0", "0.002", "-5000"), RIGHT, TOLERANCE).equal


def test_a_small_transient_on_a_large_constant_is_still_asked_for():
    """Within 2 % of 100 lies 100 itself; the response is nevertheless no constant."""
    right = exponential("100", "1", "-50")
    assert not compare(constant(rational(100)), right, TOLERANCE).equal
    assert not compare(exponential("101", "-1", "-50"), right, TOLERANCE).equal
    assert compare(exponential("100.0", "1.01", "-50"), right, TOLERANCE).equal


def test_an_undamped_answer_with_a_rounded_frequency_is_right():
    """However far the phases drift apart in time, rounding 120.4 to 120 is rounding."""
    right = functions.cos(TIME.scaled(rational("120.4"))).scaled(rational(5))
    assert compare(functions.cos(TIME.scaled(rational(120))).scaled(rational(5)), right, TOLERANCE).equal
    assert not compare(functions.cos(TIME.scaled(rational(125))).scaled(rational(5)), right, TOLERANCE).equal


def test_a_later_interval_is_compared_from_its_own_start():
    """The shift of time matters as much as the constants."""
    late = RIGHT.delayed(rational("0.05"))
    assert compare(late, late, TOLERANCE, rational("0.05")).exact
    assert not compare(RIGHT, late, TOLERANCE, rational("0.05")).equal


@pytest.mark.parametrize(
    ("given", "right", "scale", "expected"),
    [
        (0.0, 0.0, 0.0, True),
        (0.01, 0.0, 1.0, True),
        (0.03, 0.0, 1.0, False),
        (2.04, 2.0, 5.0, True),
        (2.05, 2.0, 5.0, False),
        (0.0, 1e-4, 5.0, False),
        (math.inf, 2.0, 5.0, False),
    ],
)
def test_a_tolerance_is_of_the_value_and_at_zero_of_the_signal(given, right, scale, expected):
    """Relative to the right value; relative to the size of the signal where that is zero."""
    assert close(given, right, TOLERANCE, scale) is expected
    assert allowance(0.0, TOLERANCE, scale) == pytest.approx(TOLERANCE * scale)


sizes = st.integers(-400, 400).filter(lambda n: abs(n) > 20)


@given(final=sizes, start=sizes, rate=st.integers(1, 10_000), wobble=st.floats(-0.9, 0.9))
def test_within_tolerance_stays_right_and_beyond_does_not(final, start, rate, wobble):
    """Property: an exponent inside its tolerance is accepted, one as far outside is refused."""
    assume(final != start)
    right = exponential(str(final), str(start - final), str(-rate))
    inside = exponential(str(final), str(start - final), str(-rate * (1 + TOLERANCE * wobble)))
    outside = exponential(str(final), str(start - final), str(-rate * (1 + TOLERANCE * (2 + abs(wobble)))))
    assert compare(inside, right, TOLERANCE).equal
    assert not compare(outside, right, TOLERANCE).equal


@given(a=sizes, b=sizes, damping=st.integers(1, 300), frequency=st.integers(1, 3000))
def test_an_underdamped_answer_in_amplitude_and_phase_rounded_to_four_digits(a, b, damping, frequency):
    """Property: the phase form with rounded numbers is the sum form."""
    envelope = functions.exp(TIME.scaled(rational(-damping)))
    angle = TIME.scaled(rational(frequency))
    right = envelope * (functions.cos(angle).scaled(rational(a)) + functions.sin(angle).scaled(rational(b)))
    amplitude, phase = f"{math.hypot(a, b):.4g}", f"{math.atan2(b, a):.4f}"
    shifted = functions.cos(angle - constant(rational(phase)))
    assert compare((envelope * shifted).scaled(rational(amplitude)), right, TOLERANCE).equal
    turned = functions.cos(angle + constant(rational(phase)))
    assume(abs(math.sin(2 * math.atan2(b, a))) > 0.3)
    assert not compare((envelope * turned).scaled(rational(amplitude)), right, TOLERANCE).equal


@given(modes=st.lists(st.tuples(sizes, st.integers(1, 500)), min_size=1, max_size=3))
def test_the_peak_is_never_below_the_ends(modes):
    """Property: a response is at least as large as where it starts."""
    response = sum((exponential("0", str(a), str(-r)) for a, r in modes), Waveform())
    assert peak(response.modes()) >= abs(response.value(0.0)) * (1 - 1e-9)


@given(
    st.sampled_from(["decay", "two", "ramp", "damped", "steady"]),
    st.tuples(*[st.floats(-9, 9).filter(lambda x: abs(x) > 0.01)] * 3),
    st.tuples(st.floats(-40, -0.5), st.floats(-40, -0.5)),
    st.floats(0.5, 90),
)
def test_a_response_is_largest_where_it_turns(shape, coefficients, rates, frequency):
    a, b, c = coefficients
    modes = {
        "decay": [TermMode(a, 0.0, 0, 0.0, 0.0), TermMode(b, 0.0, 2, rates[0], 0.0)],
        "two": [TermMode(a, 0.0, 0, rates[0], 0.0), TermMode(b, 0.0, 0, rates[1], 0.0), TermMode(c, 0.0, 0, 0.0, 0.0)],
        "ramp": [TermMode(a, 0.0, 0, rates[0], 0.0), TermMode(c, 0.0, 0, 0.0, 0.0), TermMode(b, 0.0, 1, rates[0], 0.0)],
        "damped": [TermMode(c, 0.0, 0, 0.0, 0.0), TermMode(a, b, 0, rates[0], frequency)],
        "steady": [TermMode(a, b, 0, 0.0, frequency), TermMode(c, 0.0, 0, 0.0, 0.0)],
    }[shape]
    times = [0.0, *(1e-4 * 1.002**k for k in range(6800))]  # to 80 s: each is a five-hundredth after the last
    sampled = max(abs(sample(modes, t)) for t in times)
    assert sampled <= peak(modes) * (1 + 1e-9)
    assert peak(modes) <= sampled + 1e-4 * (abs(a) + abs(b) + abs(c))


def test_an_end_is_right_by_its_own_size():
    """A start value a tenth off is wrong, however large the rest swings; what each term may be off adds up."""
    right = damped("1.18", "-7.03")
    assert not compare(damped("1.06", "-7.03"), right, TOLERANCE).initial
    assert compare(damped("1.20", "-7.03"), right, TOLERANCE).equal
    rise = exponential("7.2", "-16.2", "-125")
    assert compare(exponential("7.2", "-16", "-125"), rise, TOLERANCE).equal
    assert not compare(exponential("7.2", "-15.7", "-125"), rise, TOLERANCE).initial
    assert not compare(exponential("2", "-0.4", "-100"), RIGHT, TOLERANCE).initial  # 1.60 for 1.636


def damped(cosine: str, sine: str) -> Waveform:
    """e^(-200t) (cosine cos 1720t + sine sin 1720t)."""
    turn = TIME.scaled(rational("1720"))
    swing = functions.cos(turn).scaled(rational(cosine)) + functions.sin(turn).scaled(rational(sine))
    return swing * functions.exp(TIME.scaled(rational("-200")))
