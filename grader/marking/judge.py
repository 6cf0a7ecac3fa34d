"""One answer compared with one target: what is right about it, apart from any points.

Size, sign, power of ten and unit are judged apart, because they are different faults: ``2.4 A`` for 2.4 mA
is a slip with the prefix, ``-2.4 mA`` one with the reference direction.
"""

import math
from collections.abc import Iterator, Sequence

from flint import fmpq
from msgspec.structs import replace

from grader.errors import NotDefined
from grader.marking.judgement import POWERS_OF_TEN, WRONG, Judgement, Size, Target, UnitVerdict
from grader.marking.symbolic import compare_symbolic
from grader.reading.words import APART
from grader.values.comparison import EQUAL, Comparison, agree, close, compare_modes, identical, local_modes
from grader.values.dimension import Dimension
from grader.values.laplace import has_impulse, without_impulse
from grader.values.scalar import ONE, to_float
from grader.values.term import TermMode
from grader.values.text import prefixed_unit
from grader.values.waveform import NotAWaveform, Waveform, number_of

PERCENT = fmpq(1, 100)

EQUAL_SHARE = 1e-6
"""Share of the last place within which two numbers are the same."""


def judge(given: Waveform, unit: Dimension | None, target: Target, tolerance: float, scale: fmpq = ONE) -> Judgement:
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
    scale : fmpq
        Of the unit written, in the SI unit of its own kind.

    Returns
    -------
    Judgement
        The best over the sizes that a missing unit, or one of another kind, may stand for.
    """
    symbolic = given.is_symbolic or target.answer.is_symbolic
    struck = symbolic and (has_impulse(given) or has_impulse(target.answer))

    def fits(waveform: Waveform) -> Judgement:
        if struck:
            return _beside_impulse(waveform, target, tolerance)
        return (
            compare_symbolic(waveform, target, tolerance) if symbolic else _compare_numbers(waveform, target, tolerance)
        )

    zero = not given.terms and unit is None  # zero is zero in every unit
    state = UnitVerdict.RIGHT if zero else _unit_verdict(unit, target.dimension)
    judgement = fits(given)
    if state is not UnitVerdict.RIGHT:
        # Only a prefix is told from another value: 100 for 10 ms may be 100 per second.
        judgement = prefix_at_most(judgement._replace(unit=state))
    if target.percent and unit is None and judgement.size is not Size.RIGHT:
        hundredth = fits(given.scaled(PERCENT))
        if hundredth.size is Size.RIGHT:
            return hundredth._replace(unit=UnitVerdict.MISSING, meant=PERCENT, meant_in="percent")
        if judgement.size is Size.WRONG and not symbolic and _first(given) > 10 * _first(target.answer):
            return judgement._replace(meant=PERCENT)  # 1.5 is nearer to 1.6 % than to 0.016
    if judgement.size is Size.RIGHT or state is UnitVerdict.RIGHT or target.answer.is_symbolic:
        return judgement
    # The number alone may be meant in a unit that an instructor would have written.
    found = [judgement]
    for customary, symbol in _customary_units(target):
        meant = customary / (ONE if state is UnitVerdict.MISSING else scale)
        found.append(prefix_at_most(fits(given.scaled(meant))._replace(unit=state, meant=meant, meant_in=symbol)))
    return max(found, key=lambda j: j.merit)


def _first(waveform: Waveform) -> float:
    """The size of a value; of what varies that of its start."""
    return abs(to_float(number_of(waveform.at(fmpq(0)))))


def _unit_verdict(unit: Dimension | None, asked: Dimension) -> UnitVerdict:
    """Whether the unit written is of the kind asked; a plain number needs none."""
    if unit == asked or (unit is None and not any(asked)):
        return UnitVerdict.RIGHT
    return UnitVerdict.MISSING if unit is None else UnitVerdict.OTHER


def _beside_impulse(given: Waveform, target: Target, tolerance: float) -> Judgement:
    """An expression and the impulse beside it, each by itself; where the impulse is another, the form is lost."""
    try:
        (mine, rest), (theirs, right) = without_impulse(given), without_impulse(target.answer)
    except ValueError:
        return WRONG
    target = replace(target, answer=right)
    compared = compare_symbolic if rest.is_symbolic or right.is_symbolic else _compare_numbers
    found = compared(rest, target, tolerance)
    slip = {Size.SIGN: -ONE, Size.POWER_OF_TEN: fmpq(10) ** -found.exponent}.get(found.size, ONE)
    area = mine * slip
    if agree(area, theirs, tolerance):
        return found
    comparison = (
        replace(found.comparison, exact=False, form=False) if isinstance(found.comparison, Comparison) else None
    )
    return Judgement(size=Size.PARTS, comparison=comparison)


def prefix_at_most(judgement: Judgement) -> Judgement:
    """A judgement in which no power of ten that a prefix has not is a slip: ``0.2*10 = 2 s`` for 20 ms is another value."""
    if judgement.exponent % 3 == 0:
        return judgement
    size = Size.WRONG if judgement.comparison is None else Size.PARTS
    return judgement._replace(size=size, exponent=0)


def _customary_units(target: Target) -> Iterator[tuple[fmpq, str]]:
    """The units in which an instructor would write the target, ``833 μA`` or ``0.833 mA``: their sizes and symbols."""
    size = target.scale if target.varies else abs(target.answer.value())
    for scale, symbol in dict.fromkeys(prefixed_unit(near, target.dimension) for near in (size, 10 * size)):
        yield fmpq(10) ** round(math.log10(scale)), symbol


def _compare_numbers(given: Waveform, target: Target, tolerance: float) -> Judgement:
    if target.varies:
        return _compare_expressions(given, target, tolerance)
    if (
        not given.is_constant or not target.answer.is_constant
    ):  # what follows from a function in the row of a value varies
        return WRONG
    try:
        value, right = to_float(number_of(given)), to_float(number_of(target.answer))
    except (NotAWaveform, NotDefined):  # letters in one of them alone, or a number beyond all bounds
        return WRONG

    def rounded_to(size: float) -> int | None:
        """0 within the tolerance, else the figures to which it is rounded; None where it is another value."""
        if target.requirement is not None:
            return 0 if target.requirement.holds(size, tolerance) else None
        if close(size, right, tolerance, target.scale):
            return 0
        return next((figures for figures in target.figures if _rounded(size, right, figures)), None)

    exponent = _power_of_ten(value, right)
    kinds = [(value, Size.RIGHT, 0), (-value, Size.SIGN, 0)]
    if exponent:
        kinds.append((value / 10.0**exponent, Size.POWER_OF_TEN, exponent))
    for meant, size, power in kinds:
        if (figures := rounded_to(meant)) is not None:
            return Judgement(size=size, exponent=power, rounded_to=figures)
    return WRONG


def _rounded(value: float, right: float, figures: int) -> bool:
    """Whether a value is the right one rounded to so many figures, in any unit that is a power of ten of the SI unit."""
    if not right or not (math.isfinite(value) and math.isfinite(right)):
        return False
    last = 10.0 ** (math.floor(math.log10(abs(right))) - figures + 1)
    whole = abs(value / last - round(value / last)) <= EQUAL_SHARE
    return whole and abs(value - right) <= last * (0.5 + EQUAL_SHARE)


def _power_of_ten(given: float, right: float) -> int | None:
    """The power of ten between two sizes; None where there is none that a slip explains."""
    if not (given and right and math.isfinite(given) and math.isfinite(right)):
        return None
    exponent = round(math.log10(abs(given)) - math.log10(abs(right)))
    return exponent if exponent in POWERS_OF_TEN else None


def _compare_expressions(given: Waveform, target: Target, tolerance: float) -> Judgement:
    right, start = target.answer, target.start
    if identical(given, right):
        return Judgement(size=Size.RIGHT, comparison=EQUAL)
    mine, theirs = local_modes(given, start), local_modes(right, start)
    comparison = compare_modes(mine, theirs, tolerance)
    if comparison.equal:
        return Judgement(size=Size.RIGHT, comparison=comparison)

    def equal_times(factor: float) -> bool:
        scaled = [replace(m, cosine=m.cosine * factor, sine=m.sine * factor) for m in mine]
        return compare_modes(scaled, theirs, tolerance).equal

    if comparison.rates and comparison.frequencies and equal_times(-1.0):  # a sign leaves exponents as they are
        return Judgement(size=Size.SIGN, comparison=comparison)
    exponent = _power_of_ten(_size(mine), _size(theirs))
    if exponent and equal_times(10.0**-exponent):
        return Judgement(size=Size.POWER_OF_TEN, exponent=exponent, comparison=comparison)
    return Judgement(size=Size.PARTS, comparison=comparison)


def _size(modes: Sequence[TermMode]) -> float:
    """That of the coefficients, all taken together."""
    return math.hypot(*(value for m in modes for value in (m.cosine, m.sine)))


def judge_choice(given: object, right: str) -> Judgement:
    """Hold a choice (the option's text as read) against the right one."""
    return Judgement(size=Size.RIGHT) if given == right else WRONG


def judge_choices(given: str, right: str) -> Judgement:
    """Hold all options named against those that hold; a wrong one takes off what a right one earns."""
    mine, theirs = ({*text.split(APART)} - {""} for text in (given, right))
    if mine == theirs:
        return Judgement(size=Size.RIGHT)
    found = len(mine & theirs) - len(mine - theirs)
    if found <= 0:
        return WRONG
    return Judgement(
        size=Size.PARTS,
        found=(found, len(theirs)),
        found_said=(
            "It is right in part: not all that is chosen holds, or not all that holds is chosen; a wrong one takes off what a "
            "right one earns."
        ),
    )
