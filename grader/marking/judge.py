"""One answer held against one target: what is right about it, apart from any points.

Size, sign, power of ten and unit are judged apart, because they are different faults: ``2.4 A`` for 2.4 mA
is a slip with the prefix, ``-2.4 mA`` one with the reference direction.
"""

from __future__ import annotations

import math

from flint import fmpq

from grader.marking.compare import close, compare
from grader.marking.judgement import WRONG, Judgement, Size, Target, UnitVerdict
from grader.marking.symbolic import compare_symbolic
from grader.values.dimension import Dimension
from grader.values.scalar import to_float
from grader.values.text import prefixed_unit
from grader.values.waveform import NotAWaveform, Waveform, number_of

PERCENT = fmpq(1, 100)

THOUSANDS = (-4, -3, -2, -1, 1, 2, 3, 4)
"""Powers of a thousand tried for a slip of the prefix."""


def judge(given: Waveform, unit: Dimension | None, target: Target, tolerance: float) -> Judgement:
    """Hold a value or an expression against a target.

    Parameters
    ----------
    given : Waveform
        As read, in SI base units of the unit written.
    unit : Dimension or None
        Of the unit written; None: no unit was written.
    target : Target
    tolerance : float
        Share of the value.

    Returns
    -------
    Judgement
        The best over the sizes a missing unit may stand for.
    """
    symbolic = given.is_symbolic or target.answer.is_symbolic

    def fits(waveform: Waveform) -> Judgement:
        return (
            compare_symbolic(waveform, target, tolerance) if symbolic else _compare_numbers(waveform, target, tolerance)
        )

    state = (
        UnitVerdict.RIGHT if unit == target.dimension else UnitVerdict.MISSING if unit is None else UnitVerdict.OTHER
    )
    if not any(target.dimension):
        state = UnitVerdict.RIGHT if unit is None or unit == target.dimension else UnitVerdict.OTHER
    judgement = fits(given)._replace(unit=state)
    if target.percent and unit is None and judgement.size is not Size.RIGHT:
        hundredth = fits(given.scaled(PERCENT))
        if hundredth.size is Size.RIGHT:
            return hundredth._replace(unit=UnitVerdict.MISSING, meant=PERCENT, meant_in="percent")
    if judgement.size is Size.RIGHT or state is not UnitVerdict.MISSING or target.answer.is_symbolic:
        free = not given.terms and state is UnitVerdict.MISSING  # zero is zero in every unit
        return judgement._replace(unit=UnitVerdict.RIGHT) if free and judgement.size is Size.RIGHT else judgement
    # Without a unit the number may be meant in the unit an instructor would have written.
    meant, symbol = _customary_unit(target)
    if meant == 1:
        return judgement
    scaled = fits(given.scaled(meant))._replace(unit=state, meant=meant, meant_in=symbol)
    return max(judgement, scaled, key=lambda j: j.merit)


def _customary_unit(target: Target) -> tuple[fmpq, str]:
    """The unit, prefix and all, in which an instructor would write the target: its size and its symbol."""
    size = abs(target.answer.value(to_float(target.start or fmpq(0)))) if not target.varies else target.scale
    scale, symbol = prefixed_unit(size, target.dimension)
    return fmpq(10) ** round(math.log10(scale)), symbol


def _compare_numbers(given: Waveform, target: Target, tolerance: float) -> Judgement:
    if target.varies:
        return _compare_expressions(given, target, tolerance)
    if not given.is_constant:
        return WRONG
    try:
        value, right = to_float(number_of(given)), to_float(number_of(target.answer))
    except (NotAWaveform, OverflowError):
        return WRONG
    if close(value, right, tolerance, target.scale):
        return Judgement(size=Size.RIGHT)
    if close(-value, right, tolerance, target.scale):
        return Judgement(size=Size.SIGN)
    for thousands in THOUSANDS:
        if close(value / 1000.0**thousands, right, tolerance):
            return Judgement(size=Size.POWER_OF_TEN, thousands=thousands)
    return WRONG


def _compare_expressions(given: Waveform, target: Target, tolerance: float) -> Judgement:
    comparison = compare(given, target.answer, tolerance, target.start)
    if comparison.equal:
        return Judgement(size=Size.RIGHT, comparison=comparison)
    if compare(-given, target.answer, tolerance, target.start).equal:
        return Judgement(size=Size.SIGN, comparison=comparison)
    if comparison.rates and comparison.form:
        for thousands in THOUSANDS:
            if compare(given.scaled(fmpq(1000) ** -thousands), target.answer, tolerance, target.start).equal:
                return Judgement(size=Size.POWER_OF_TEN, thousands=thousands, comparison=comparison)
    return Judgement(size=Size.PARTS, comparison=comparison)


def judge_choice(given: object, right: str) -> Judgement:
    """Hold a choice (the option's text as read) against the right one."""
    return Judgement(size=Size.RIGHT) if given == right else WRONG
