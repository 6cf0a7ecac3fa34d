"""Sets of roots, and equations by their coefficients: in any order, and some of them earn their share."""

from __future__ import annotations

from itertools import pairwise

import pytest
from flint import fmpq

from grader.marking.judgement import Judgement, Size, UnitVerdict
from grader.marking.roots import judge_equation, judge_roots
from grader.values.comparison import Comparison, FractionComparison
from grader.values.scalar import rational
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME, Waveform, constant

R, C = (constant(Symbolic.symbol(name, ("R", "C"))) for name in ("R", "C"))


def roots(*values):
    return tuple(
        (value if isinstance(value, Waveform) else constant(rational(str(value))), Waveform()) for value in values
    )


@pytest.mark.parametrize(
    ("given", "right", "size", "found"),
    [
        (roots(-5), roots(-5, -5), Size.RIGHT, None),  # a double root written once
        (roots(-5, -5), roots(-5, -5), Size.RIGHT, None),
        (roots(-5, -5, -5), roots(-5, -5), Size.WRONG, None),
        (roots(-5, -6), roots(-5, -5), Size.PARTS, (1, 2)),
        (roots("-10.05"), roots(-10, "-10.1"), Size.PARTS, (1, 2)),  # two that are near are no double one
        (roots(-10), roots(-10), Size.RIGHT, None),
        (roots(10), roots(-10), Size.SIGN, (0, 1)),
        (roots(10), roots(-10, -20), Size.WRONG, None),
        (roots(10, 20, 30), roots(-10, -20), Size.WRONG, None),
        (roots(10, 30), roots(-10, -20), Size.WRONG, None),
        (roots(-10, -20, -30), roots(-10, -20), Size.WRONG, None),
        # In letters by their forms.
        (roots(-R), roots(-R, -R), Size.RIGHT, None),
        (roots(-R, -R), roots(-R, -R), Size.RIGHT, None),
        (roots(-R, -C), roots(-C, -R), Size.RIGHT, None),
        (roots(-R), roots(-R, -C), Size.PARTS, (1, 2)),
        (roots(-R, R), roots(-R, -C), Size.PARTS, (1, 2)),
        (roots(-R, -R), roots(-R, -C), Size.PARTS, (1, 2)),
        (roots(-R, -C, R), roots(-R, -C), Size.WRONG, None),
        (roots(-R, -C, -R), roots(-R, -C, C), Size.PARTS, (2, 3)),
        (roots(C), roots(-R, -C), Size.WRONG, None),
        (roots(-5), roots(-R), Size.WRONG, None),
        (roots(-R), roots(-5), Size.WRONG, None),
    ],
)
def test_roots(given, right, size, found):
    judged = judge_roots(given, right, 0.02)
    assert (judged.size, judged.found) == (size, found)


def polynomial(*numbers):
    """Coefficients, lowest power first."""
    total = Waveform()
    for number in reversed(numbers):
        total = total * TIME + (number if isinstance(number, Waveform) else constant(rational(str(number))))
    return total


RIGHT = (2500, 60, 1)  # s² + 60 s + 2500


@pytest.mark.parametrize(
    ("given", "right", "size", "found"),
    [
        (RIGHT, RIGHT, Size.RIGHT, None),
        ((2520, 61, 1), RIGHT, Size.RIGHT, None),
        ((2560, 60, 1), RIGHT, Size.PARTS, (1, 2)),
        ((2500, 62, 1), RIGHT, Size.PARTS, (1, 2)),
        ((2500, 0, 1), RIGHT, Size.PARTS, (1, 2)),
        ((0, 60, 1), RIGHT, Size.PARTS, (1, 2)),
        ((2400, 50, 1), RIGHT, Size.WRONG, None),
        ((2500, 0, 1), (2500, 0, 1), Size.RIGHT, None),
        ((2500, 60, 1), (2500, 0, 1), Size.PARTS, (1, 2)),  # one too many
        ((2500, 60, 0, 1), RIGHT, Size.WRONG, None),
        ((60, 1), RIGHT, Size.WRONG, None),
        ((2500, R, 1), (2500, R, 1), Size.RIGHT, None),
        ((2500, C, 1), (2500, R, 1), Size.PARTS, (1, 2)),
        ((2500, 60, 1), (2500, R, 1), Size.PARTS, (1, 2)),
        ((2500, R, 1), RIGHT, Size.PARTS, (1, 2)),
    ],
)
def test_equations_coefficient_by_coefficient(given, right, size, found):
    judged = judge_equation(polynomial(*given), polynomial(*right), 0.02)
    assert (judged.size, judged.found) == (size, found)
    assert found is None or judged.found_of == "coefficients besides the leading one"


ORDERED = [
    Judgement(size=Size.WRONG),
    Judgement(size=Size.PARTS),
    *[
        Judgement(size=Size.PARTS, comparison=Comparison(**dict.fromkeys(held, True)))
        for held in ({"form"}, {"form", "slope"}, {"initial", "final", "rates", "frequencies"})
    ],
    Judgement(size=Size.POWER_OF_TEN, exponent=3),
    Judgement(size=Size.SIGN),
    Judgement(size=Size.RIGHT, unit=UnitVerdict.MISSING),
    Judgement(size=Size.RIGHT),
]


def test_judgements_in_order():
    """By size, then by what agrees, then by the unit."""
    assert all(one.merit < better.merit for one, better in pairwise(ORDERED))
    fractions = [
        Judgement(size=Size.PARTS, comparison=FractionComparison(poles=held > 0, zeros=held > 1, gain=held > 2, delays=held > 3))
        for held in range(5)
    ]  # fmt: skip
    assert [one.merit[1] for one in fractions] == [0, 1, 2, 3, 4]
    assert Judgement(size=Size.PARTS).merit[1] == 0
    assert Judgement(size=Size.PARTS, comparison=Comparison(coefficients=True, exact=True)).merit[1] == 0
    assert fmpq(1) == Judgement(size=Size.RIGHT).meant
