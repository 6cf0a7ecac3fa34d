"""One answer against one target: size, sign, power of ten and unit, each by hand."""

import math

import pytest
from flint import fmpq
from msgspec.structs import replace

from grader.marking.judge import _power_of_ten, judge
from grader.marking.judgement import Size, Target, UnitVerdict
from grader.marking.roots import judge_roots
from grader.marking.symbolic import compare_symbolic
from grader.values.comparison import EQUAL, Comparison
from grader.values.dimension import CURRENT, NUMBER, RESISTANCE, VOLTAGE
from grader.values.functions import cos, exp, sin, square_root
from grader.values.laplace import DELTA
from grader.values.scalar import ONE, rational
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME, Waveform, constant

MILLI, KILO = fmpq(1, 1000), fmpq(1000)
SIX = Target(answer=constant(rational("0.006")), dimension=CURRENT, varies=False, scale=0.01)


def value(text: str) -> Waveform:
    return constant(rational(text))


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


def falls(first: str, last: str, rate: str) -> Waveform:
    return value(last) + value(first) * exp(TIME.scaled(rational(rate)))


def struck(area: str, first: str) -> Waveform:
    return falls(first, "0", "-500") + constant(DELTA * rational(area))


FALL = Target(answer=falls("24", "6", "-500"), dimension=VOLTAGE, varies=True, scale=30.0)


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


STRUCK = replace(FALL, answer=struck("3", "24"))


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


def test_letters_beside_an_impulse():
    """V0 e^(-500t) + 3 δ(t), and V0 δ(t) + 24 e^(-500t), for 3 δ(t) + 24 e^(-500t), and the other way round."""
    decay = exp(TIME.scaled(fmpq(-500)))
    in_letters = V0 * decay + constant(DELTA * 3)
    letter, impulse = (Symbolic.symbol(name, ("V0", *DELTA.names)) for name in ("V0", *DELTA.names))
    area_in_letters = decay.scaled(fmpq(24)) + constant(letter * impulse)
    for other in (in_letters, area_in_letters):
        for given, right in ((STRUCK.answer, other), (other, STRUCK.answer)):
            assert judge(given, VOLTAGE, replace(STRUCK, answer=right), 0.02).size is Size.PARTS
    squared = decay.scaled(fmpq(24)) + constant(DELTA * DELTA)
    assert judge(squared, VOLTAGE, STRUCK, 0.02).size is Size.WRONG


def test_letters_for_numbers_and_numbers_for_letters_are_wrong():
    assert judge(V0, VOLTAGE, replace(SIX, dimension=VOLTAGE), 0.02).size is Size.WRONG
    assert judge(value("0.006"), VOLTAGE, in_letters(V0, varies=False), 0.02).size is Size.WRONG
    assert judge(V0 * SWING, VOLTAGE, FALL, 0.02).size is Size.PARTS
    assert judge(falls("24", "6", "-500"), VOLTAGE, in_letters(RIGHT), 0.02).size is Size.PARTS


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


NAMES = ("V0", "R", "C")
V0, R, C = (constant(Symbolic.symbol(name, NAMES)) for name in NAMES)


def test_roots_in_letters():
    one, other = (-(constant(ONE) / (R * C)), Waveform()), (-(V0 / R), Waveform())
    assert judge_roots((other, one), (one, other), 0.02).size is Size.RIGHT
    assert judge_roots((one,), (one, other), 0.02)[:2] == judge_roots((one, R_ROOT), (one, other), 0.02)[:2]
    assert judge_roots((one,), (one, other), 0.02).found == (1, 2)
    assert judge_roots((one,), (one, one), 0.02).size is Size.RIGHT
    assert judge_roots((one, other, R_ROOT), (one, other), 0.02).size is Size.WRONG
    assert judge_roots((R_ROOT,), (one, other), 0.02).size is Size.WRONG


R_ROOT = (R, Waveform())


def in_letters(answer: Waveform, varies: bool = True) -> Target:
    return Target(answer=answer, dimension=VOLTAGE, varies=varies, scale=1.0)


RATE = Symbolic.symbol("R", NAMES) * Symbolic.symbol("C", NAMES)
DECAY, SLOWER, FASTER = (exp(TIME.scaled(factor / RATE)) for factor in (fmpq(-2), fmpq(-1), fmpq(-3)))
HALF = V0.scaled(fmpq(1, 2))
RIGHT = HALF + HALF * DECAY


@pytest.mark.parametrize(
    ("given", "held"),
    [
        (HALF + HALF * SLOWER, {"initial", "final", "frequencies", "form", "coefficients"}),
        (V0 * DECAY, {"initial", "rates", "frequencies"}),
        (V0 - HALF * DECAY, {"rates", "frequencies", "form"}),  # start and final value exchanged
        (HALF, {"final", "frequencies"}),
        (HALF + V0 * DECAY, {"final", "rates", "frequencies", "form"}),
        (V0 + V0 * DECAY, {"rates", "frequencies", "form"}),
        (HALF + HALF * DECAY + V0 * FASTER, {"final", "frequencies"}),
        (HALF + HALF * DECAY * cos(TIME.scaled(ONE / RATE)), {"initial", "final", "rates", "slope"}),
        (HALF + HALF.scaled(fmpq(2)) * SLOWER, {"final", "frequencies", "form", "slope"}),
    ],
)
def test_an_expression_in_letters_part_by_part(given, held):
    """v = V0/2 + V0/2 e^(-2t/(RC)): slope -V0/(RC)."""
    found = compare_symbolic(given, in_letters(RIGHT), 0.02).comparison
    parts = {"initial", "final", "rates", "frequencies", "form", "coefficients", "slope"}
    assert {part for part in parts if getattr(found, part)} == held


SWING = cos(TIME.scaled(ONE / RATE))


@pytest.mark.parametrize(
    ("given", "right", "form"),
    [
        (V0 * DECAY, V0 - V0 * DECAY, True),
        (V0 - V0 * DECAY, V0 * DECAY, True),
        (V0 * SLOWER, V0 - V0 * DECAY, True),  # the time constant is another matter
        (HALF * DECAY, V0 - V0 * DECAY, False),  # it starts at no value of the circuit
        (V0 + HALF * DECAY, V0 - V0 * DECAY, True),  # the same kinds of terms
        (V0 * DECAY * SWING, V0 - V0 * DECAY, False),  # what moves is of another kind
        (V0 * DECAY, V0 - V0 * DECAY * SWING, False),
    ],
)
def test_a_form_turned_over_exchanges_start_and_end_and_that_is_all(given, right, form):
    assert compare_symbolic(given, in_letters(right), 0.02).comparison.form is form


@pytest.mark.parametrize(
    ("given", "right", "agree"),
    [
        (V0.scaled(fmpq(2)) * SWING, V0 * SWING, True),
        (V0 * SWING + HALF, V0 * SWING, True),
        (V0, V0 * SWING, False),
        (V0 * cos(TIME.scaled(fmpq(2) / RATE)), V0 * SWING, False),
        (V0 * SWING + V0 * cos(TIME.scaled(fmpq(2) / RATE)), V0 * SWING, False),
        (V0 * DECAY, HALF * DECAY * SWING, False),
        (V0 * SWING, HALF * DECAY, False),
    ],
)
def test_frequencies_in_letters_are_all_those_there_are(given, right, agree):
    assert compare_symbolic(given, in_letters(right), 0.02).comparison.frequencies is agree


def test_an_expression_is_compared_part_by_part_and_a_value_is_not():
    """A root of two and of letters among them: 1.414 for the root is within the tolerance, 1.2 is not."""
    rooted = square_root(constant(fmpq(2))) * V0 * square_root(R * C)
    near = (V0 * square_root(R * C)).scaled(rational("1.414"))
    far = near.scaled(rational("1.2"))
    for shape, varies in ((constant(ONE), False), (DECAY, True), (DECAY * SWING, True)):
        target = in_letters(rooted * shape, varies)
        equal = EQUAL if varies else None
        for given in (rooted * shape, near * shape):
            found = compare_symbolic(given, target, 0.02)
            assert (found.size, found.comparison, found.undecided) == (Size.RIGHT, equal, False)
        found = compare_symbolic(-rooted * shape, target, 0.02)
        assert (found.size, found.comparison) == (Size.SIGN, Comparison() if varies else None)
        assert compare_symbolic(far * shape, target, 0.02).size is (Size.PARTS if varies else Size.WRONG)


def test_a_term_too_small_to_matter_may_be_there_or_not_and_a_person_looks():
    """e^(-9) is 0.01 %."""
    small = V0 * exp(constant(fmpq(-9)))
    for given, right in ((V0, V0 + small), (V0 + small, V0)):
        found = compare_symbolic(given.scaled(rational("1.001")), in_letters(right, varies=False), 0.02)
        assert (found.size, found.undecided) == (Size.RIGHT, True)


MANY = tuple(f"R{n}" for n in range(13))


@pytest.mark.parametrize(
    "given",
    [
        square_root(constant(Symbolic.symbol("V0", NAMES) - 1000)),  # of a negative number
        constant(ONE / (Symbolic.symbol("V0", NAMES) * 7 - 11)),  # 11/7 is put in for the first letter
        constant(Symbolic.symbol("R12", MANY)),  # more letters than there are numbers to put in
    ],
)
def test_where_no_number_comes_out_nothing_is_shown(given):
    assert compare_symbolic(given, in_letters(R, varies=False), 0.02).size is Size.WRONG


def test_letters_agree_by_their_forms_or_are_looked_at():
    assert compare_symbolic(RIGHT, in_letters(RIGHT), 0.02)[:2] == (Size.RIGHT, UnitVerdict.RIGHT)
    assert compare_symbolic(-RIGHT, in_letters(RIGHT), 0.02).size is Size.SIGN
    third = V0.scaled(fmpq(1, 3))
    rounded = compare_symbolic(V0.scaled(rational("0.333")), in_letters(third, varies=False), 0.02)
    assert (rounded.size, rounded.undecided) == (Size.RIGHT, False)
    sums = compare_symbolic(V0.scaled(rational("0.333")) + R, in_letters(third + R, varies=False), 0.02)
    assert (sums.size, sums.undecided) == (Size.RIGHT, True)
    assert not compare_symbolic(third, in_letters(third, varies=False), 0.02).undecided
    assert compare_symbolic(V0.scaled(rational("0.4")), in_letters(third, varies=False), 0.02).size is Size.WRONG
    assert compare_symbolic(R, in_letters(third, varies=False), 0.02).size is Size.WRONG
    assert compare_symbolic(third * DECAY, in_letters(third, varies=False), 0.02).size is Size.WRONG
    late = replace(in_letters(RIGHT), answer=RIGHT.delayed(ONE), start=ONE)
    slower = compare_symbolic((HALF + HALF * SLOWER).delayed(ONE), late, 0.02).comparison
    assert (slower.initial, slower.coefficients, slower.slope) == (True, True, False)
    early = compare_symbolic(HALF + HALF * SLOWER, late, 0.02).comparison
    assert (early.initial, early.coefficients, early.slope) == (False, False, False)
    assert compare_symbolic((V0 - HALF * DECAY).delayed(ONE), late, 0.02).comparison.rates


def test_letters_with_a_phase_are_those_with_cosine_and_sine():
    """3 cos + 4 sin is 5 cos(. - 53.13°)."""
    angle = TIME.scaled(fmpq(600))
    right = (cos(angle).scaled(fmpq(3)) + sin(angle).scaled(fmpq(4))) * V0 * DECAY
    turned = cos(angle - value("0.9273")).scaled(fmpq(5)) * V0 * DECAY
    wrong = cos(angle + value("0.9273")).scaled(fmpq(5)) * V0 * DECAY
    judged = compare_symbolic(turned, in_letters(right), 0.02)
    assert (judged.size, judged.undecided) == (Size.RIGHT, False)
    assert compare_symbolic(wrong, in_letters(right), 0.02).size is not Size.RIGHT


def test_a_value_is_wrong_where_what_follows_varies():
    """An expression written in place of an earlier value makes what follows from it vary; no value agrees with that."""
    varying = Target(answer=exp(-TIME), dimension=CURRENT, varies=False, scale=1.0)
    assert judge(value("0.006"), CURRENT, varying, 0.02).size is Size.WRONG
