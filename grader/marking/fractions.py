"""Functions of s: equal in lowest terms, else compared by coefficients, or by poles, zeros and gain, within the tolerance."""

import math
from collections.abc import Sequence
from itertools import zip_longest

from flint import fmpq

from grader.marking.judgement import POWERS_OF_TEN, WRONG, Judgement, Size
from grader.values.comparison import FractionComparison, agree, all_roots, close
from grader.values.laplace import Delayed, Fraction, delayed_parts
from grader.values.scalar import Scalar, to_float
from grader.values.waveform import Waveform

Parts = Sequence[Delayed]


def judge_fraction(given: Waveform, right: Waveform, tolerance: float) -> Judgement:
    """Hold a function of s against another, delay by delay; common factors, order and partial fractions are free."""
    try:
        mine, theirs = delayed_parts(given), delayed_parts(right)
    except ValueError:  # what is held against it may follow from a function of t in place of one of s
        return WRONG
    if _all_equal(mine, theirs, tolerance):
        return Judgement(size=Size.RIGHT)
    if _all_equal(delayed_parts(-given), theirs, tolerance):
        return Judgement(size=Size.SIGN)
    for exponent in POWERS_OF_TEN:
        if _all_equal(delayed_parts(given.scaled(fmpq(10) ** -exponent)), theirs, tolerance):
            return Judgement(size=Size.POWER_OF_TEN, exponent=exponent)
    comparison = _all_compared(mine, theirs, tolerance)
    return Judgement(size=Size.PARTS, comparison=comparison) if any(comparison[:3]) else WRONG


def _same_delays(given: Parts, right: Parts, tolerance: float) -> bool:
    return len(given) == len(right) and all(
        agree(mine.delay, theirs.delay, tolerance) for mine, theirs in zip(given, right, strict=True)
    )


def _all_equal(given: Parts, right: Parts, tolerance: float) -> bool:
    """Whether the delays agree and what each multiplies."""
    return _same_delays(given, right, tolerance) and all(
        _equal(mine.fraction, theirs.fraction, tolerance) for mine, theirs in zip(given, right, strict=True)
    )


def _all_compared(given: Parts, right: Parts, tolerance: float) -> FractionComparison:
    """What agrees in all parts; nothing where there are fewer or more parts than there should be."""
    pairs = zip(given, right, strict=False)
    found = [_compared(mine.fraction, theirs.fraction, tolerance) for mine, theirs in pairs]
    whole = len(given) == len(right)
    poles, zeros, gain = (whole and all(one[place] for one in found) for place in range(3))
    return FractionComparison(poles=poles, zeros=zeros, gain=gain, delays=_same_delays(given, right, tolerance))


def _equal(given: Fraction, right: Fraction, tolerance: float) -> bool:
    """Whether two functions are the same, or agree coefficient by coefficient, or in poles, zeros and gain."""
    if given == right:
        return True
    if not (given.is_numeric and right.is_numeric):
        return False
    unit = _rate(right)
    top, bottom = (_agree(*pair, unit, tolerance) for pair in zip(given, right, strict=True))
    return (top and bottom) or all(_compared(given, right, tolerance))


def _rate(right: Fraction) -> float:
    """The size of the poles and zeros, in 1/s: the unit in which coefficients of all powers are comparable."""
    sizes = [abs(root) for root in (*right.poles, *right.zeros) if root]
    return math.exp(sum(map(math.log, sizes)) / len(sizes)) if sizes else 1.0


NOTHING = 0.005
"""Share of the largest coefficient up to which one that should be nothing may be left over by rounding."""


def _agree(given: tuple[Scalar, ...], right: tuple[Scalar, ...], unit: float, tolerance: float) -> bool:
    """Whether polynomials agree, each coefficient within its own share."""
    mine, theirs = ([to_float(value) * unit**power for power, value in enumerate(side)] for side in (given, right))
    size = max(map(abs, theirs), default=0.0)
    return all(
        close(x, y, tolerance) if y else abs(x) <= NOTHING * size for x, y in zip_longest(mine, theirs, fillvalue=0.0)
    )


def _compared(given: Fraction, right: Fraction, tolerance: float) -> FractionComparison:
    """Poles, zeros and gain, each by itself; the gain is the ratio of the leading coefficients."""
    if given.is_numeric and right.is_numeric:
        poles, zeros = (
            all_roots(mine, theirs, tolerance)
            for mine, theirs in ((given.poles, right.poles), (given.zeros, right.zeros))
        )
    else:
        poles, zeros = given.bottom == right.bottom, _monic(given.top) == _monic(right.top)
    shapes = [*map(len, given)] == [*map(len, right)]
    leading = zip(given.top[-1:], right.top[-1:], strict=shapes)
    return FractionComparison(
        poles=poles, zeros=zeros, gain=shapes and all(agree(*pair, tolerance) for pair in leading)
    )


def _monic(coefficients: tuple[Scalar, ...]) -> tuple[Scalar, ...]:
    return tuple(value / coefficients[-1] for value in coefficients)
