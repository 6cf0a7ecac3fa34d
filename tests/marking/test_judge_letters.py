"""One answer in letters against one target, part by part."""

import pytest
from flint import fmpq
from msgspec.structs import replace

from grader.marking.judge import judge
from grader.marking.judgement import Size, Target, UnitVerdict
from grader.marking.roots import judge_roots
from grader.marking.symbolic import compare_symbolic
from grader.values.comparison import EQUAL, Comparison
from grader.values.dimension import VOLTAGE
from grader.values.functions import cos, exp, sin, square_root
from grader.values.laplace import DELTA
from grader.values.scalar import ONE, rational
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME, Waveform, constant
from tests.marking.targets import FALL, SIX, STRUCK, falls, value


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
