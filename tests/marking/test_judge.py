"""One answer against one target: size, sign, power of ten and unit, each by hand."""

import math

import pytest
from flint import fmpq
from msgspec.structs import replace

from grader.marking.judge import _power_of_ten, judge
from grader.marking.judgement import Size, Target, UnitVerdict
from grader.marking.roots import judge_roots
from grader.values.dimension import CURRENT, NUMBER, RESISTANCE, VOLTAGE
from grader.values.functions import exp
from grader.values.laplace import DELTA
from grader.values.scalar import ONE, rational
from grader.values.waveform import TIME, Waveform, constant
from tests.marking.targets import FALL, SIX, STRUCK, falls, struck, value

MILLI, KILO = fmpq(1, 1000), fmpq(1000)


@pytest.mark.parametrize(
    ("given", "unit", "scale", "size", "exponent", "verdict", "meant"),
    [
        ("0.006", CURRENT, ONE, Size.RIGHT, 0, UnitVerdict.RIGHT, ""),
        ("0.00612", CURRENT, ONE, Size.RIGHT, 0, UnitVerdict.RIGHT, ""),
        ("0.00613", CURRENT, ONE, Size.WRONG, 0, UnitVerdict.RIGHT, ""),
        ("-0.006", CURRENT, ONE, Size.SIGN, 0, UnitVerdict.RIGHT, ""),
        ("6", CURRENT, ONE, Size.POWER_OF_TEN, 3, UnitVerdict.RIGHT, ""),
        ("0.000006", CURRENT, ONE, Size.POWER_OF_TEN, -3, UnitVerdict.RIGHT, ""),
        ("0.06", CURRENT, ONE, Size.POWER_OF_TEN, 1, UnitVerdict.RIGHT, ""),
        ("0.6", CURRENT, ONE, Size.POWER_OF_TEN, 2, UnitVerdict.RIGHT, ""),
        ("60", CURRENT, ONE, Size.WRONG, 0, UnitVerdict.RIGHT, ""),  # nobody's slip: 10^4
        ("600", CURRENT, ONE, Size.WRONG, 0, UnitVerdict.RIGHT, ""),
        ("6000", CURRENT, ONE, Size.POWER_OF_TEN, 6, UnitVerdict.RIGHT, ""),
        ("-6", CURRENT, ONE, Size.WRONG, 0, UnitVerdict.RIGHT, ""),  # two slips
        ("6.5", CURRENT, ONE, Size.WRONG, 0, UnitVerdict.RIGHT, ""),
        ("0", CURRENT, ONE, Size.WRONG, 0, UnitVerdict.RIGHT, ""),
        ("0", None, ONE, Size.WRONG, 0, UnitVerdict.RIGHT, ""),  # zero is zero in every unit
        ("0", VOLTAGE, ONE, Size.WRONG, 0, UnitVerdict.OTHER, ""),
        ("0.006", None, ONE, Size.RIGHT, 0, UnitVerdict.MISSING, ""),
        ("6", None, ONE, Size.RIGHT, 0, UnitVerdict.MISSING, "mA"),
        ("-6", None, ONE, Size.SIGN, 0, UnitVerdict.MISSING, "mA"),
        ("60", None, ONE, Size.WRONG, 0, UnitVerdict.MISSING, "mA"),  # without the unit only a prefix is told apart
        ("0.6", None, ONE, Size.WRONG, 0, UnitVerdict.MISSING, ""),  # neither a hundred of A nor a tenth of mA
        ("6000000", None, ONE, Size.POWER_OF_TEN, 9, UnitVerdict.MISSING, ""),
        ("1e400", CURRENT, ONE, Size.WRONG, 0, UnitVerdict.RIGHT, ""),  # no float is as large
        ("6", VOLTAGE, ONE, Size.RIGHT, 0, UnitVerdict.OTHER, "mA"),
        ("0.006", VOLTAGE, MILLI, Size.RIGHT, 0, UnitVerdict.OTHER, ""),
        ("6000", VOLTAGE, KILO, Size.RIGHT, 0, UnitVerdict.OTHER, "mA"),
        ("7", VOLTAGE, ONE, Size.WRONG, 0, UnitVerdict.OTHER, "mA"),
    ],
)
def test_a_value(given, unit, scale, size, exponent, verdict, meant):
    found = judge(value(given), unit, SIX, 0.02, scale)
    assert (found.size, found.exponent, found.unit) == (size, exponent, verdict)
    if size > Size.PARTS:
        assert found.meant_in == meant


@pytest.mark.parametrize(
    ("right", "given", "meant"),
    [
        ("0.000833", "833", "μA"),  # 833 μA is also written 0.833 mA
        ("0.000833", "0.833", "mA"),
        ("0.000095", "95", "μA"),
        ("0.000095", "0.095", None),  # nobody writes 0.095 mA
        ("0.000101", "0.101", "mA"),
    ],
)
def test_a_bare_number_stands_for_a_unit_in_which_the_value_is_written(right, given, meant):
    target = Target(answer=value(right), dimension=CURRENT, varies=False, scale=float(right))
    found = judge(value(given), None, target, 0.001)
    assert (found.meant_in if found.size is Size.RIGHT else None) == meant


@pytest.mark.parametrize("varies", [False, True])
@pytest.mark.parametrize("exponent", range(-15, 16))
def test_a_digit_or_two_or_a_prefix_are_a_slip(exponent, varies):
    right = exp(-TIME).scaled(rational("6")) if varies else value("6")
    target = Target(answer=right, dimension=CURRENT, varies=varies, scale=6.0)
    found = judge(right.scaled(fmpq(10) ** exponent), CURRENT, target, 0.02)
    if abs(exponent) in {1, 2, 3, 6, 9, 12}:
        assert (found.size, found.exponent) == (Size.POWER_OF_TEN, exponent)
    else:
        assert found.size is (Size.RIGHT if not exponent else Size.PARTS if varies else Size.WRONG)


@pytest.mark.parametrize("varies", [False, True])
def test_the_prefix_is_that_of_the_value_or_of_the_expressions_signal(varies):
    """6 mA, and an expression that starts at nothing and rises to 6 mA."""
    right = value("0.006") - exp(-TIME).scaled(rational("0.006")) if varies else value("0.006")
    target = Target(answer=right, dimension=CURRENT, varies=varies, scale=0.006 if varies else 3000.0)
    assert judge(right.scaled(KILO), None, target, 1e-6).meant_in == "mA"


@pytest.mark.parametrize(("given", "right"), [("1e-300", "1e300"), ("1e300", "1e-300"), ("1", "1e400"), ("1e400", "1")])
def test_sizes_whose_ratio_no_float_holds_are_no_slip(given, right):
    target = Target(answer=value(right), dimension=CURRENT, varies=False, scale=float(right))
    assert judge(value(given), CURRENT, target, 0.02).size is Size.WRONG


def test_a_number_beyond_all_bounds_is_wrong():
    """e^5000 is worked out to no float and to no rational."""
    target = Target(answer=value("1"), dimension=CURRENT, varies=False, scale=1.0)
    assert judge(exp(value("5000")), CURRENT, target, 0.02).size is Size.WRONG
    assert judge(value("1"), CURRENT, replace(target, answer=exp(value("5000"))), 0.02).size is Size.WRONG


@pytest.mark.parametrize(
    ("given", "right", "exponent"),
    [
        (5e3, -5.0, 3),
        (4.0, 5e9, -9),
        (5.0, 5.0, None),
        (5e4, 5.0, None),
        *[
            (given, right, None)
            for one in (0.0, math.inf, math.nan)
            for given, right in ((one, 5.0), (5.0, one), (one, one))
        ],
    ],
)
def test_the_power_of_ten_between_two_sizes(given, right, exponent):
    assert _power_of_ten(given, right) == exponent


LARGE = Target(answer=value("4700"), dimension=RESISTANCE, varies=False, scale=4700.0)


@pytest.mark.parametrize(
    ("given", "unit", "target", "says"),
    [
        ("0.006", None, SIX, ""),
        ("6", None, SIX, "Without a unit, the number was taken to be meant in mA."),
        ("-6", None, SIX, "Without a unit, the number was taken to be meant in mA."),
        ("6e12", None, SIX, "Without a unit, the number was taken to be meant in mA."),  # and a slip of 10^12
        ("6", VOLTAGE, SIX, "The number was taken to be meant in mA."),
        ("4.7", None, LARGE, "Without a unit, the number was taken to be meant in kΩ."),
        ("4700", None, LARGE, ""),
        ("8", None, SIX, ""),  # what is wrong anyway is meant in no unit
    ],
)
def test_the_unit_that_a_number_was_taken_in_is_told(given, unit, target, says):
    assert " ".join(judge(value(given), unit, target, 0.02).sentences) == says


def test_zero_needs_no_unit():
    nothing = Target(answer=Waveform(), dimension=CURRENT, varies=False, scale=0.01)
    assert judge(Waveform(), None, nothing, 0.02)[:2] == (Size.RIGHT, UnitVerdict.RIGHT)
    assert judge(Waveform(), VOLTAGE, nothing, 0.02)[:2] == (Size.RIGHT, UnitVerdict.OTHER)
    assert judge(value("0.0001"), None, nothing, 0.02)[:2] == (Size.RIGHT, UnitVerdict.MISSING)
    assert judge(value("0.0003"), CURRENT, nothing, 0.02).size is Size.WRONG


def test_a_plain_number_has_no_unit():
    ratio = Target(answer=value("0.6"), dimension=NUMBER, varies=False, scale=1.0)
    assert judge(value("0.6"), None, ratio, 0.02).unit is UnitVerdict.RIGHT
    assert judge(value("0.6"), NUMBER, ratio, 0.02).unit is UnitVerdict.RIGHT
    assert judge(value("0.6"), VOLTAGE, ratio, 0.02).unit is UnitVerdict.OTHER


def test_percent_left_out():
    share = Target(answer=value("0.163"), dimension=NUMBER, varies=False, scale=1.0, percent=True)
    found = judge(value("16.3"), None, share, 0.02)
    assert (found.size, found.unit, found.meant, found.meant_in) == (
        Size.RIGHT, UnitVerdict.MISSING, fmpq(1, 100), "percent",
    )  # fmt: skip
    assert judge(value("0.163"), None, share, 0.02)[:2] == (Size.RIGHT, UnitVerdict.RIGHT)
    assert judge(value("0.163"), None, share, 0.02).meant == 1
    assert judge(value("17"), None, share, 0.02).size is Size.WRONG
    assert judge(value("16.3"), None, replace(share, percent=False), 0.02).size is not Size.RIGHT


@pytest.mark.parametrize(
    ("given", "size", "exponent"),
    [
        (falls("24", "6", "-500"), Size.RIGHT, 0),
        (falls("-24", "-6", "-500"), Size.SIGN, 0),
        (falls("0.024", "0.006", "-500"), Size.POWER_OF_TEN, -3),
        (falls("240", "60", "-500"), Size.POWER_OF_TEN, 1),
        (falls("240000", "60000", "-500"), Size.PARTS, 0),
        (falls("-24", "-6", "-400"), Size.PARTS, 0),
        (falls("24", "7", "-500"), Size.PARTS, 0),
        (value("6"), Size.PARTS, 0),
        (Waveform(), Size.PARTS, 0),
    ],
)
def test_an_expression(given, size, exponent):
    found = judge(given, VOLTAGE, FALL, 0.02)
    assert (found.size, found.exponent) == (size, exponent)
    assert found.comparison is not None
    assert (
        judge(falls("24", "6", "-500"), VOLTAGE, replace(FALL, varies=False, answer=value("6")), 0.02).size
        is Size.WRONG
    )


def test_a_later_start():
    late = replace(FALL, answer=FALL.answer.delayed(rational("0.01")), start=rational("0.01"))
    assert judge(late.answer, VOLTAGE, late, 0.02).size is Size.RIGHT
    found = judge(falls("24", "6", "-500"), VOLTAGE, late, 0.02)
    assert (found.size, found.comparison.final, found.comparison.initial) == (Size.PARTS, True, False)


@pytest.mark.parametrize(
    ("given", "size", "exponent", "form"),
    [
        (struck("3", "24"), Size.RIGHT, 0, True),
        (struck("3.05", "24.3"), Size.RIGHT, 0, True),
        (struck("-3", "-24"), Size.SIGN, 0, True),
        (struck("3000", "24000"), Size.POWER_OF_TEN, 3, True),
        (struck("0.03", "0.24"), Size.POWER_OF_TEN, -2, True),
        (struck("3", "24000"), Size.PARTS, 0, False),
        (struck("3", "-24"), Size.PARTS, 0, False),
        (struck("3.1", "24"), Size.PARTS, 0, False),
        (struck("-3", "24"), Size.PARTS, 0, False),
        (falls("24", "0", "-500"), Size.PARTS, 0, False),
    ],
)
def test_an_impulse_goes_with_the_expression_beside_it(given, size, exponent, form):
    """3 δ(t) + 24 e^(-500t): a slip over the whole is one over both; an impulse of another area is another form."""
    found = judge(given, VOLTAGE, STRUCK, 0.02)
    assert (found.size, found.exponent, found.comparison.form) == (size, exponent, form)
    assert form or not found.comparison.equal


def test_beside_an_impulse_numbers_are_compared_within_the_tolerance():
    """A rate of 505 for 500 per second is 1 % off, wherever the impulse is missing."""
    near = falls("24", "0", "-505")
    found = judge(near, VOLTAGE, STRUCK, 0.02).comparison
    assert (found.rates, found.initial, found.form) == (True, True, False)
    found = judge(near + constant(DELTA), VOLTAGE, replace(FALL, answer=falls("24", "0", "-500")), 0.02).comparison
    assert (found.rates, found.initial, found.form) == (True, True, False)


def pair(real: str, imaginary: str = "0") -> tuple[Waveform, Waveform]:
    return value(real), value(imaginary)


RINGS = (pair("-80", "60"), pair("-80", "-60"))
TWICE = (pair("-5"), pair("-5"))


@pytest.mark.parametrize(
    ("given", "right", "size", "found"),
    [
        (RINGS[::-1], RINGS, Size.RIGHT, None),
        (RINGS[:1], RINGS, Size.PARTS, (1, 2)),
        ((pair("-80", "60"), pair("-70")), RINGS, Size.PARTS, (1, 2)),
        ((pair("80", "60"), pair("80", "-60")), RINGS, Size.SIGN, (0, 2)),
        ((*RINGS, pair("-1")), RINGS, Size.WRONG, None),
        ((pair("1"), pair("2")), RINGS, Size.WRONG, None),
        (TWICE[:1], TWICE, Size.RIGHT, None),
        ((pair("5"),), TWICE, Size.SIGN, (0, 2)),
        (TWICE, RINGS, Size.WRONG, None),
    ],
)
def test_roots(given, right, size, found):
    judged = judge_roots(given, right, 0.02)
    assert (judged.size, judged.found) == (size, found)


def test_a_value_is_wrong_where_what_follows_varies():
    """An expression written in place of an earlier value makes what follows from it vary; no value agrees with that."""
    varying = Target(answer=exp(-TIME), dimension=CURRENT, varies=False, scale=1.0)
    assert judge(value("0.006"), CURRENT, varying, 0.02).size is Size.WRONG
