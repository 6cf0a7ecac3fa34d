"""Functions of s against one another, each by hand: size, sign, power of ten, then poles, zeros and gain."""

import pytest
from flint import fmpq

from grader.marking.fractions import judge_fraction
from grader.marking.judgement import Size
from grader.values.laplace import delayed_by
from grader.values.scalar import rational
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME, constant

LETTERS = ("L", "R", "V", "s")
L, R, V, S = (Symbolic.symbol(name, LETTERS) for name in LETTERS)


def quotient(gain, zeros=(), poles=()):
    """A gain times factors s + z over factors s + p."""
    value = rational(str(gain))
    for one in zeros:
        value = value * (S + rational(str(one)))
    for one in poles:
        value = value / (S + rational(str(one)))
    return value


def judged(given, right):
    return judge_fraction(constant(given), constant(right), 0.02)


LAG = quotient(6, [2], [3, 5])
BESIDE = (S * fmpq(6) + fmpq(12)) / (S * S + S * fmpq(8) + fmpq(15))
POLE = quotient(4, [], [0])
SERIES = V / (S * (R + L * S))
DIVIDER = (S + R) / (S + L)


@pytest.mark.parametrize(
    ("given", "right", "size", "exponent"),
    [
        (LAG, LAG, Size.RIGHT, 0),
        (BESIDE, LAG, Size.RIGHT, 0),
        (quotient(6.1, [2.03], [3.05, 4.95]), LAG, Size.RIGHT, 0),
        (-LAG, LAG, Size.SIGN, 0),
        *[
            (LAG * fmpq(10) ** exponent, LAG, Size.POWER_OF_TEN, exponent)
            for exponent in (-12, -9, -6, -3, -2, -1, 1, 2, 3, 6, 9, 12)
        ],
        (quotient(0), LAG, Size.WRONG, 0),
        (quotient(7, [1], [1.5, 9]), LAG, Size.WRONG, 0),
        # Coefficient by coefficient: s² + 6.1 s + 9 has its roots 18 % from the double one of s² + 6 s + 9.
        (fmpq(1) / (S * S + S * rational("6.1") + fmpq(9)), quotient(1, [], [3, 3]), Size.RIGHT, 0),
        (fmpq(1) / (S * S + S * rational("6.2") + fmpq(9)), quotient(1, [], [3, 3]), Size.PARTS, 0),
        # What rounding leaves where nothing should be: half a per cent, in units of the poles' size (5 per second).
        (quotient(1, [0.02]) / (S * S + S * 6 + 25), quotient(1, [0]) / (S * S + S * 6 + 25), Size.RIGHT, 0),
        (quotient(1, [0.03]) / (S * S + S * 6 + 25), quotient(1, [0]) / (S * S + S * 6 + 25), Size.PARTS, 0),
        (quotient(4, [], [0.004]), POLE, Size.RIGHT, 0),  # 1 per second where nothing has a size
        (quotient(4, [], [0.006]), POLE, Size.PARTS, 0),
        (SERIES, SERIES, Size.RIGHT, 0),
        (-SERIES, SERIES, Size.SIGN, 0),
        (SERIES * 1000, SERIES, Size.POWER_OF_TEN, 3),
        (R * (S + R), SERIES, Size.WRONG, 0),
        (LAG, SERIES, Size.WRONG, 0),
        (quotient(6, [1], [2, 4]), quotient(6, [1, 3], [2]), Size.WRONG, 0),  # a power in another place
        (SERIES, LAG, Size.WRONG, 0),
        # A power too many, left over by rounding: 0.0002 s² beside 6 s + 12, with s in units of 3 per second.
        (LAG + quotient("0.0002") * S * S / ((S + 3) * (S + 5)), LAG, Size.RIGHT, 0),
        (LAG + quotient("0.02") * S * S / ((S + 3) * (S + 5)), LAG, Size.PARTS, 0),
        (quotient("0.001"), quotient(0), Size.PARTS, 0),  # what is nothing has no size to be a share of
    ],
)
def test_as_a_whole(given, right, size, exponent):
    found = judged(given, right)
    assert (found.size, found.exponent) == (size, exponent)


@pytest.mark.parametrize("exponent", [-13, -10, -4, 4, 5, 13])
def test_other_powers_of_ten_are_no_slip(exponent):
    found = judged(LAG * fmpq(10) ** exponent, LAG)
    assert (found.size, tuple(found.comparison[:3])) == (Size.PARTS, (True, True, False))


@pytest.mark.parametrize(
    ("given", "right", "poles", "zeros", "gain"),
    [
        (quotient(7, [2], [3, 5]), LAG, True, True, False),
        (quotient(6, [4], [3, 5]), LAG, True, False, True),
        (quotient(6, [2], [3, 6]), LAG, False, True, True),
        (quotient(6, [], [3, 5]), LAG, True, False, False),
        (quotient(6, [2, 9], [3, 5]), LAG, True, False, False),
        (quotient(6, [4], [3, 6]), LAG, False, False, True),
        (S * R / (S + L), S * R / (S + L * 2), False, True, True),
        (quotient(6, [2], [3]), LAG, False, True, False),
        (quotient(6, [2], [3, 5, 7]), LAG, False, True, False),
        (SERIES * 2, SERIES, True, True, False),
        (V / (S * (R + L * S * 2)), SERIES, False, True, False),
        (V * S / (S * (R + L * S)), SERIES, False, True, False),
        ((S + R * 2) / (S + L), DIVIDER, True, False, True),
        ((S + R) / (S + L * 2), DIVIDER, False, True, True),
        ((S * 3 + R * 3) / (S + L), DIVIDER, True, True, False),
        (fmpq(1) / (S + L), DIVIDER, True, False, False),
        ((S + R) / (S * S + L), DIVIDER, False, True, False),
    ],
)
def test_part_by_part(given, right, poles, zeros, gain):
    found = judged(given, right)
    assert (found.size, tuple(found.comparison[:3])) == (Size.PARTS, (poles, zeros, gain))


T = Symbolic.symbol("T", (*LETTERS, "T"))
EARLY, LATE = constant(LAG), constant(quotient(3, [], [1]))


def pulse(*delays):
    """A part at once, and one after each delay."""
    return sum((LATE * delayed_by(delay) for delay in delays), start=EARLY)


@pytest.mark.parametrize(
    ("given", "right", "size", "parts"),
    [
        (pulse(fmpq(2)), pulse(fmpq(2)), Size.RIGHT, None),
        (pulse(rational("2.03")), pulse(fmpq(2)), Size.RIGHT, None),
        (pulse(rational("2.05")), pulse(fmpq(2)), Size.PARTS, (True, True, True, False)),
        (pulse(fmpq(1)), pulse(fmpq(2)), Size.PARTS, (True, True, True, False)),
        (pulse(fmpq(3)), pulse(fmpq(2)), Size.PARTS, (True, True, True, False)),
        (pulse(fmpq(2)).scaled(fmpq(2)), pulse(fmpq(2)), Size.PARTS, (True, True, False, True)),
        (-pulse(fmpq(2)), pulse(fmpq(2)), Size.SIGN, None),
        # A part too few or too many: nothing agrees in all of them.
        (pulse(), pulse(fmpq(2)), Size.WRONG, None),
        (pulse(fmpq(2)), pulse(), Size.WRONG, None),
        (pulse(fmpq(2), fmpq(4)), pulse(fmpq(2)), Size.WRONG, None),
        (pulse(T), pulse(T), Size.RIGHT, None),
        (pulse(T * 2), pulse(T), Size.PARTS, (True, True, True, False)),
        (pulse(T), pulse(fmpq(2)), Size.PARTS, (True, True, True, False)),
        (pulse(fmpq(2)), pulse(T), Size.PARTS, (True, True, True, False)),
    ],
)
def test_part_by_part_of_what_is_delayed(given, right, size, parts):
    found = judge_fraction(given, right, 0.02)
    assert found.size is size
    assert parts is None or tuple(found.comparison) == parts


def test_what_varies_in_time_is_no_function_of_s():
    assert judge_fraction(TIME, constant(LAG), 0.02).size is Size.WRONG
