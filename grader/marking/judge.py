"""One answer held against one target: what is right about it, apart from any points.

Size, sign, power of ten and unit are judged apart, because they are different faults: ``2.4 A`` for 2.4 mA
is a slip with the prefix, ``-2.4 mA`` one with the reference direction.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import IntEnum, StrEnum

from flint import fmpq

from grader.marking.compare import EQUAL, Comparison, close, compare
from grader.values.dimension import Dimension
from grader.values.scalar import ONE, to_float
from grader.values.text import prefixed_unit
from grader.values.waveform import NotAWaveform, Waveform, number_of


class Size(IntEnum):
    """How well the answer itself agrees, best last."""

    WRONG = 0
    PARTS = 1
    POWER_OF_TEN = 2
    SIGN = 3
    RIGHT = 4


class Unit(StrEnum):
    """How its unit came out."""

    RIGHT = "right"
    MISSING = "missing"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """What agrees between an answer and a target.

    Attributes
    ----------
    size : Size
        Of the number or expression, unit and all.
    unit : Unit
        ``OTHER``: a unit of another kind was written.
    thousands : int
        With ``Size.POWER_OF_TEN``: the answer is 1000**thousands times the target.
    meant, meant_in : fmpq, str
        The unit that a number without one was taken to be meant in: its size in the SI unit, and its symbol.
    comparison : Comparison or None
        Of an expression: what it says, part by part.
    undecided : bool
        Neither form nor algebra decides; a person must look.
    """

    size: Size
    unit: Unit = Unit.RIGHT
    thousands: int = 0
    meant: fmpq = ONE
    meant_in: str = ""
    comparison: Comparison | None = None
    undecided: bool = False

    @property
    def sentences(self) -> tuple[str, ...]:
        """What was assumed on the way, for the student."""
        if self.meant == 1 or self.size < Size.POWER_OF_TEN:
            return ()
        return (f"Without a unit, the number was taken to be meant in {self.meant_in}.",)

    @property
    def merit(self) -> tuple[int, int, int]:
        """For choosing the best of several judgements."""
        parts = 0
        if self.comparison is not None:
            c = self.comparison
            parts = sum((c.initial, c.final, c.rates, c.frequencies, c.form, c.slope))
        return self.size, parts, self.unit is Unit.RIGHT


WRONG = Judgement(size=Size.WRONG)

THOUSANDS = (-4, -3, -2, -1, 1, 2, 3, 4)
"""Powers of a thousand tried for a slip of the prefix."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What an answer is held against.

    ``scale`` is the size of the signal (SI base units), ``start`` the beginning of an expression's interval,
    ``varies`` whether it is an expression in t.
    """

    answer: Waveform
    dimension: Dimension
    varies: bool
    scale: float = 0.0
    start: fmpq | None = None


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
        return _compare_symbols(waveform, target) if symbolic else _compare_numbers(waveform, target, tolerance)

    state = Unit.RIGHT if unit == target.dimension else Unit.MISSING if unit is None else Unit.OTHER
    if not any(target.dimension):
        state = Unit.RIGHT if unit is None or unit == target.dimension else Unit.OTHER
    judgement = replace(fits(given), unit=state)
    if judgement.size is Size.RIGHT or state is not Unit.MISSING or target.answer.is_symbolic:
        free = not given.terms and state is Unit.MISSING  # zero is zero in every unit
        return replace(judgement, unit=Unit.RIGHT) if free and judgement.size is Size.RIGHT else judgement
    # Without a unit the number may be meant in the unit an instructor would have written.
    meant, symbol = _customary_unit(target)
    if meant == 1:
        return judgement
    scaled = replace(fits(given.scaled(meant)), unit=state, meant=meant, meant_in=symbol)
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


def _compare_symbols(given: Waveform, target: Target) -> Judgement:
    """Symbols leave no room for rounding: canonical forms decide, part by part."""
    right = target.answer
    if given == right:
        return Judgement(size=Size.RIGHT, comparison=EQUAL if target.varies else None)
    if -given == right:
        return Judgement(size=Size.SIGN)
    if not target.varies:
        return WRONG
    shift = target.start or fmpq(0)
    comparison = Comparison(
        initial=given.at(shift) == right.at(shift),
        final=given.limit() == right.limit(),
        rates=_exponents(given) == _exponents(right),
        frequencies=_frequencies(given) == _frequencies(right),
        form=sorted(t.power for t in given.terms) == sorted(t.power for t in right.terms),
        slope=given.derivative().at(shift) == right.derivative().at(shift),
    )
    return Judgement(size=Size.PARTS, comparison=comparison)


def _exponents(w: Waveform) -> set[str]:
    return {repr(t.rate) for t in w.terms if t.rate != 0}


def _frequencies(w: Waveform) -> set[str]:
    return {repr(t.frequency) for t in w.terms if t.frequency != 0}


def judge_choice(given: object, right: str) -> Judgement:
    """Hold a choice (the option's text as read) against the right one."""
    return Judgement(size=Size.RIGHT) if given == right else WRONG


def judge_roots(
    given: Iterable[tuple[Waveform, Waveform]], right: Iterable[tuple[Waveform, Waveform]], tolerance: float
) -> Judgement:
    """Hold a set of complex roots (real part, imaginary part) against another, in any order."""
    mine = [_complex(root) for root in given]
    theirs = [_complex(root) for root in right]
    if _same_set(mine, theirs, tolerance):
        return Judgement(size=Size.RIGHT)
    if _same_set([-root for root in mine], theirs, tolerance):
        return Judgement(size=Size.SIGN)
    # One root of a conjugate pair, or of a double root, stands for both in much marking practice (common
    # practice, no source), but the set asked for is the whole set.
    found = sum(any(abs(m - t) <= tolerance * abs(t) for m in mine) for t in theirs)
    return Judgement(size=Size.PARTS if found else Size.WRONG)


def _same_set(mine: list[complex], theirs: list[complex], tolerance: float) -> bool:
    if len(set(mine)) < len(mine) or len(mine) < len(theirs):
        mine = [*mine, *mine] if len(mine) == 1 and len({*theirs}) == 1 else mine
    if len(mine) != len(theirs):
        return False
    left = list(theirs)
    for root in mine:
        nearest = min(left, key=lambda r: abs(r - root))
        if abs(nearest - root) > tolerance * abs(nearest) * (1 + 1e-9) + 1e-300:
            return False
        left.remove(nearest)
    return True


def _complex(root: tuple[Waveform, Waveform]) -> complex:
    return complex(to_float(number_of(root[0])), to_float(number_of(root[1])))
