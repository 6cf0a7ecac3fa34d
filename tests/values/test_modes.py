"""What the terms of a response say as floats, each by numbers worked out by hand."""

import math

import pytest

from grader.values.modes import (
    _times,
    final_value,
    first_sizes,
    initial_value,
    is_constant,
    largest,
    matched,
    peak,
    slope,
    slope_sizes,
    stays_within,
    turning_times,
)
from grader.values.term import TermMode


def mode(cosine=0.0, sine=0.0, *, power=0, rate=0.0, frequency=0.0) -> TermMode:
    return TermMode(float(cosine), float(sine), power, float(rate), float(frequency))


STEADY = mode(7)
RINGING = mode(3, 4, rate=-2, frequency=5)  # e^(-2t) (3 cos 5t + 4 sin 5t)
RAMP = mode(2, power=1, rate=-4)  # 2 t e^(-4t)
BEND = mode(5, power=2, rate=-3)  # 5 t^2 e^(-3t)


def test_where_a_response_starts_and_how_fast():
    """3 + 7; 3·(-2) + 4·5 + 2; the sizes of what is added there: 5 + 7, and 6 + 20 + 2."""
    every = [STEADY, RINGING, RAMP, BEND]
    assert initial_value(every) == 10
    assert first_sizes(every) == 12
    assert slope(every) == 16
    assert slope_sizes(every) == 28


@pytest.mark.parametrize(
    ("modes", "end"),
    [
        ([], 0),
        ([STEADY, RINGING, RAMP, BEND], 7),
        ([STEADY, mode(-2)], 5),
        ([STEADY, mode(1, rate=0.1)], None),
        ([STEADY, mode(1, rate=-0.1)], 7),
        ([STEADY, mode(1, 1, rate=-0.1, frequency=3)], 7),
        ([STEADY, mode(1, frequency=3)], None),
        ([STEADY, mode(1, power=1)], None),
    ],
)
def test_where_a_response_ends(modes, end):
    assert final_value(modes) == end


@pytest.mark.parametrize(
    ("one", "constant"),
    [(STEADY, True), (mode(), True), (RINGING, False), (mode(1, frequency=2), False), (mode(1, power=1), False)],
)
def test_what_does_not_vary(one, constant):
    assert is_constant(one) is constant


@pytest.mark.parametrize(
    ("one", "size"),
    [
        (mode(-7), 7),
        (RINGING, 5),
        (mode(-3, rate=-1), 3),
        (mode(-3, rate=-0.5), 3),
        (mode(2, power=1, rate=-0.5), 4 / math.e),  # at t = 2
        (mode(1, rate=0.5), math.inf),
        (mode(0, -4, frequency=1), 4),
        (RAMP, 2 / (4 * math.e)),  # at t = 1/4
        (BEND, 5 * (2 / (3 * math.e)) ** 2),  # at t = 2/3
        (mode(1, rate=1), math.inf),
        (mode(0, rate=1), 0),
        (mode(1, power=1), math.inf),
        (mode(0, power=1), 0),
    ],
)
def test_the_bound_of_a_term(one, size):
    assert largest(one) == pytest.approx(size)


@pytest.mark.parametrize(
    ("modes", "times"),
    [
        ([], ()),
        ([mode(1, rate=-3)], ()),
        ([mode(1, rate=-0.5)], ()),
        ([mode(4, power=1, rate=-0.5)], (2.0,)),
        ([RAMP], (1 / 4,)),
        ([BEND], (2 / 3,)),
        # e^(-3t) sin 4t: tan 4t = 4/3; e^(-3t) cos 4t: tan 4t = -3/4
        ([mode(0, 1, rate=-3, frequency=4)], (0.231824, 1.017222)),
        ([mode(1, rate=-3, frequency=4)], (0.624523, 1.409921)),
        ([mode(0, 1, frequency=2)], (math.pi / 4, 3 * math.pi / 4)),
        # e^(-t) - e^(-4t): e^(3t) = 4, in either order
        ([mode(1, rate=-1), mode(-1, rate=-4)], (math.log(4) / 3,)),
        ([mode(-1, rate=-4), mode(1, rate=-1)], (math.log(4) / 3,)),
        ([mode(1, rate=-1), mode(1, rate=-4)], ()),
        ([mode(0, rate=-1), mode(1, rate=-4)], ()),
        ([mode(1, rate=-4), mode(-1, rate=-4)], ()),
        # (2 + 4t) e^(-3t): 4 - 3 (2 + 4t) = 0, in either order
        ([mode(2, rate=-3), mode(4, power=1, rate=-3)], (-1 / 6,)),
        ([mode(4, power=1, rate=-3), mode(2, rate=-3)], (-1 / 6,)),
        ([mode(2, rate=-3), mode(4, power=1, rate=-2)], None),
        ([mode(2, rate=-2), mode(4, power=1, rate=-3)], None),
        ([mode(1, rate=-4), mode(0, rate=-1)], ()),
        ([mode(1, power=1, rate=-1), mode(1, power=2, rate=-1)], None),
        ([mode(2, rate=-3), mode(4, power=2, rate=-3)], None),
        ([mode(2, rate=-3), mode(0, power=1, rate=-3)], None),
        ([RAMP, mode(1, power=1, rate=-3)], None),
        ([RINGING, mode(1, rate=-1)], None),
        ([mode(1, rate=-1), RINGING], None),
        ([mode(1, 1, power=1, rate=-1, frequency=2)], None),
        ([mode(1, rate=-1), mode(1, rate=-2), mode(1, rate=-3)], None),
        ([mode(1, rate=1)], None),
        ([mode(1, power=1)], None),
    ],
)
def test_where_a_response_turns(modes, times):
    found = turning_times(modes)
    assert found == times if times is None else found == pytest.approx(times, abs=1e-6)


HUMP = [mode(1, rate=-1), mode(-1, rate=-4)]  # largest at ln(4)/3: 4^(-1/3) - 4^(-4/3) = 0.47247


@pytest.mark.parametrize(
    ("modes", "size"),
    [
        ([mode(5), mode(-8, rate=-1)], 5),
        ([mode(2), mode(-8, rate=-1)], 6),
        (HUMP, 0.47247),
        ([mode(10), *HUMP], 10.47247),
        ([mode(-2), *HUMP], 2),
        ([mode(0, 1, rate=-3, frequency=4)], 0.8 * math.exp(-3 * 0.231824)),
        ([mode(2, rate=-3), mode(4, power=1, rate=-3)], 2),  # it turned before it began
        ([mode(1, rate=1)], math.exp(10)),  # what grows is followed over ten time constants
        ([mode(1, power=1)], 0),  # a ramp from 0 has no size of its own
        ([mode(2), mode(1, power=1)], 4),
        ([mode(5), mode(-1, power=1)], 5),
        ([mode(1, frequency=3), mode(1, frequency=7)], 2),
    ],
)
def test_how_large_a_response_gets(modes, size):
    assert peak(modes) == pytest.approx(size, rel=1e-5)


@pytest.mark.parametrize(
    "modes",
    [
        [mode(0, 1, rate=-1, frequency=100), mode(0, 1e-6, rate=-2, frequency=100)],  # fast below a slow envelope
        [mode(0, 1, rate=-100, frequency=3), mode(0, 1, rate=-0.5, frequency=3)],
        [mode(1, rate=-1000), mode(-1, rate=-10), mode(0.5, rate=-0.1)],
        [mode(0, 1, frequency=1), mode(0, 1, frequency=50)],
        [mode(0, 1, power=1, rate=-1, frequency=100)],  # largest after sixteen periods
        [mode(0, 0.1, rate=-1, frequency=3), mode(0, 1, power=1, rate=-1, frequency=80)],
        [mode(0, 1, power=1, rate=-1, frequency=80), mode(0, 0.1, rate=-1, frequency=3)],
        [mode(1, -1, rate=-0.1, frequency=3), mode(0.1, -0.1, rate=-0.1, frequency=6)],
        [mode(1, power=3, rate=-1), mode(-1, rate=-200)],  # largest after three time constants
    ],
)
def test_samples_are_dense_on_every_scale(modes):
    """Against a hundred thousand instants over four times the longest scale: within a twentieth, and never above."""
    longest = max([1 / abs(m.rate) for m in modes if m.rate] + [6.3 / m.frequency for m in modes if m.frequency])
    times = [4 * longest * k / 100_000 for k in range(100_001)]
    dense = max(
        abs(
            sum(
                t**m.power
                * math.exp(m.rate * t)
                * (m.cosine * math.cos(m.frequency * t) + m.sine * math.sin(m.frequency * t))
                for m in modes
            )
        )
        for t in times
    )
    assert 0.95 * dense <= peak(modes) <= dense * 1.01


@pytest.mark.parametrize(
    ("modes", "size", "within"),
    [
        (HUMP, 2, True),
        (HUMP, 0.473, True),  # by its peak, not by the sum of its bounds
        (HUMP, 0.472, False),
        ([mode(1, rate=1)], 1e30, False),
        ([], 0, True),
    ],
)
def test_whether_a_response_stays_within(modes, size, within):
    assert stays_within(modes, size) is within


def test_what_lies_on_the_bound_stays_within():
    assert stays_within(HUMP, peak(HUMP))
    assert stays_within([mode(3), mode(-4, rate=-1)], 7)


@pytest.mark.parametrize(
    ("modes", "scale", "number"),
    [
        ([mode(1, rate=-4)], 0.25, 10),
        ([mode(1, rate=4)], 0.25, 10),
        ([mode(1, frequency=4 * math.pi)], 0.5, 10),
        ([mode(1, rate=-1, frequency=4 * math.pi)], 0.5, 20),  # for as long as it lasts
        ([mode(1, rate=-1, frequency=400 * math.pi)], 0.005, 100),  # and no longer than so many periods
        ([mode(1, rate=-100, frequency=4 * math.pi)], 0.5, 10),
    ],
)
def test_samples_follow_every_scale_twelve_to_each(modes, scale, number):
    times = [t / scale * 12 for t in _times(modes)]
    assert times[-1] == pytest.approx(number * 12)
    assert times[-number * 12 - 1 :] == pytest.approx(range(number * 12 + 1))


def test_terms_are_paired_by_kind_and_nearness():
    slow, fast = mode(1, rate=-1), mode(2, rate=-10)
    near_fast, near_slow = mode(3, rate=-9), mode(4, rate=-1.2)
    pairs, missing, added = matched([slow, fast], [near_fast, near_slow, STEADY])
    assert {*pairs} == {(slow, near_slow), (fast, near_fast)}
    assert len(pairs) == 2
    assert (missing, added) == ([STEADY], [])
    pairs, missing, added = matched([RINGING, mode(1, rate=2)], [slow, RAMP])
    assert pairs == [(mode(1, rate=2), slow)]  # one that grows is of the kind of one that decays
    assert (missing, added) == ([RAMP], [RINGING])
    middle, far = mode(1, rate=-10), mode(1, rate=-100)
    assert matched([slow, middle], [middle, far])[0] == [(middle, middle), (slow, far)]
    ringing = [mode(1, rate=-1, frequency=frequency) for frequency in (9, 2, 8.9)]
    assert matched(ringing[:1], ringing[1:])[:2] == ([(ringing[0], ringing[2])], [ringing[1]])
    assert matched([mode(1, frequency=-1)], [mode(1, frequency=1)])[1:] == ([], [])
    swift, idle = mode(1, rate=-1, frequency=9), mode(1, rate=-1, frequency=2)
    assert matched([swift, idle], [idle, swift])[0] in ([(swift, swift), (idle, idle)], [(idle, idle), (swift, swift)])
