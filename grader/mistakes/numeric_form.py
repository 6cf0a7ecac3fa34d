"""Answers as plain numbers: what is compared when a wrong answer is looked up."""

import math
from collections.abc import Sequence
from typing import NamedTuple, TypeAlias

from flint import fmpq

from grader.quantities.rules import Answer
from grader.values.comparison import ROUNDING, all_roots, allowance, compare_modes
from grader.values.modes import is_constant, largest
from grader.values.scalar import to_float
from grader.values.term import TermMode
from grader.values.waveform import Piecewise, Waveform, number_of

NEGLIGIBLE = 1e-9
"""Share of an answer's size below which a number is rounding noise."""


class Value(NamedTuple):
    """A value, in SI base units."""

    value: float


class ModalForm(NamedTuple):
    """An expression as its terms in local time (the interval starting at 0), largest first, and its size."""

    modes: tuple[TermMode, ...]
    size: float


class Spectrum(NamedTuple):
    """Characteristic roots in a fixed order, as (real, imaginary)."""

    roots: tuple[tuple[float, float], ...]


class Word(NamedTuple):
    """A choice or a damping type, in lower case without blanks and hyphens."""

    text: str


class Form(NamedTuple):
    """An answer with symbols: only equality decides."""

    waveform: Waveform


NumericForm: TypeAlias = Value | ModalForm | Spectrum | Word | Form


def numeric_form(answer: Answer, varies: bool, start: fmpq) -> NumericForm | None:
    """The numbers of an answer (an expression in t, of an interval from ``start`` on in seconds, where it ``varies``); None: it has none."""
    if isinstance(answer, str):
        return Word("".join(c for c in answer.lower() if c.isalnum()))
    if isinstance(answer, tuple):
        if any(part.is_symbolic for root in answer for part in root):
            return None
        return Spectrum(tuple(sorted((to_float(number_of(a)), to_float(number_of(b))) for a, b in answer)))
    if isinstance(answer, Piecewise):
        return None  # its intervals have forms of their own
    if answer.is_symbolic:
        return Form(answer)
    if not varies:
        return Value(to_float(number_of(answer))) if answer.is_constant else None
    modes = answer.delayed(-start).modes()
    size = max((math.hypot(m.cosine, m.sine) for m in modes), default=0.0)
    kept = [m for m in modes if math.hypot(m.cosine, m.sine) > NEGLIGIBLE * size]
    return ModalForm(tuple(sorted(kept, key=lambda m: -math.hypot(m.cosine, m.sine))), size)


def sort_key(found: NumericForm) -> float:
    """The number that wrong answers are sorted by for look-up: a value, or an expression's value at its start."""
    if isinstance(found, Value):
        return found.value
    if isinstance(found, ModalForm):
        return sum(m.cosine for m in found.modes if m.power == 0)
    return 0.0


def reach_of_key(given: NumericForm, tolerance: float, scale: float) -> float:
    """How far the sort key of a match may lie from that of the answer given."""
    if isinstance(given, Value):
        return 2 * tolerance * max(abs(given.value), scale if given.value == 0 else 0.0)
    if isinstance(given, ModalForm):
        return 4 * tolerance * given.size * max(len(given.modes), 1)
    return 0.0


def relative_deviation(given: NumericForm, wrong: NumericForm, tolerance: float, scale: float = 0.0) -> float:
    """How far two answers differ, as a share of what is allowed: 0 equal, up to 1 within the tolerance.

    What lies within it is decided as marking decides it (`grader.values.comparison`).

    Parameters
    ----------
    tolerance : float
        Share of the wrong value; of an expression, share of its size and of each exponent and frequency.
    scale : float
        Size of the signal, from which the tolerance is taken where the wrong value is zero.
    """
    if isinstance(given, Value) and isinstance(wrong, Value):
        return _share(abs(given.value - wrong.value), allowance(wrong.value, tolerance, scale))
    if isinstance(given, ModalForm) and isinstance(wrong, ModalForm):
        alike = _may_agree(given, wrong, tolerance) and compare_modes(given.modes, wrong.modes, tolerance).equal
        return min(_expression_deviation(given, wrong, tolerance), 1.0) if alike else math.inf
    if isinstance(given, Spectrum) and isinstance(wrong, Spectrum):
        mine, theirs = [complex(*root) for root in given.roots], [complex(*root) for root in wrong.roots]
        if not all_roots(mine, theirs, tolerance):
            return math.inf
        pairs = [(root, min(theirs, key=lambda one: abs(one - root))) for root in mine]
        return max((min(_share(abs(a - b), tolerance * abs(b)), 1.0) for a, b in pairs), default=0.0)
    return 0.0 if given == wrong else math.inf


def _may_agree(given: ModalForm, wrong: ModalForm, tolerance: float) -> bool:
    """Whether the term that moves most has a partner: rules most pairs out before they are compared."""
    moving = [mode for mode in wrong.modes if not is_constant(mode)]
    if not 0 < len(moving) <= MAX_MOVING:
        return True
    most = max(moving, key=largest)
    rate, frequency = (2 * tolerance * abs(value) for value in (most.rate, most.frequency))
    return any(
        abs(mode.rate - most.rate) <= rate and abs(mode.frequency - most.frequency) <= frequency for mode in given.modes
    )


MAX_MOVING = 3
"""Terms up to which the largest is more than `grader.values.comparison.TRANSIENT_SHARE` of the change, so that it counts."""


def _share(difference: float, allowed: float) -> float:
    if difference == 0:
        return 0.0
    return difference / allowed if allowed > 0 else math.inf


def _expression_deviation(given: ModalForm, wrong: ModalForm, tolerance: float) -> float:
    """The largest difference between terms, as a share of what is allowed."""
    allowed = tolerance * max(given.size, wrong.size)
    worst = 0.0
    left = list(given.modes)
    for mode in wrong.modes:
        missing = _share(math.hypot(mode.cosine, mode.sine), allowed)
        partner = _nearest(left, mode)
        if partner is not None and (off := _mode_deviation(partner, mode, tolerance, allowed)) <= max(missing, 1):
            left.remove(partner)
            worst = max(worst, off)
        else:
            worst = max(worst, missing)
    return max([worst, *(_share(math.hypot(mode.cosine, mode.sine), allowed) for mode in left)])


def _nearest(modes: Sequence[TermMode], to: TermMode) -> TermMode | None:
    """The term of the same power of t whose exponent and frequency are nearest."""
    alike = (mode for mode in modes if mode.power == to.power)
    return min(alike, key=lambda m: abs(m.rate - to.rate) + abs(m.frequency - to.frequency), default=None)


def _mode_deviation(given: TermMode, wrong: TermMode, tolerance: float, allowed: float) -> float:
    return max(
        _share(abs(given.rate - wrong.rate), tolerance * abs(wrong.rate)),
        _share(abs(given.frequency - wrong.frequency), tolerance * abs(wrong.frequency)),
        _share(abs(given.cosine - wrong.cosine), allowed),
        _share(abs(given.sine - wrong.sine), allowed),
    )


# -- digits ----------------------------------------------------------------------------------------

ASSUMED_DIGITS = 3
"""Digits that an expression's numbers are taken to have, where they are not counted."""


ROUNDED, CUT_OFF, WITHIN_TOLERANCE = 0, 1, 2
"""How well an answer fits the digits written."""


def digit_rank(given: NumericForm, wrong: NumericForm, digits: int | None, fit: float, tolerance: float) -> int:
    """How well a match fits the digits written: `ROUNDED` to them, `CUT_OFF` after them, or `WITHIN_TOLERANCE` only.

    ``digits`` None: the answer was no plain decimal number; a value is then taken as exact.  A word has no digits: of
    few words one is soon met by chance.
    """
    if isinstance(given, (Word, Form)):
        return ROUNDED if isinstance(given, Form) else WITHIN_TOLERANCE
    if isinstance(given, Value) and isinstance(wrong, Value):
        step = last_place(given.value, digits)
        off = abs(given.value - wrong.value)
        if off <= 0.5 * step * (1 + 1e-6):
            return ROUNDED
        return CUT_OFF if off <= step * (1 + 1e-6) else WITHIN_TOLERANCE
    return ROUNDED if fit * tolerance <= 0.5 * 10.0 ** (1 - ASSUMED_DIGITS) else WITHIN_TOLERANCE


def hits(given: NumericForm, wrong: NumericForm, digits: int | None) -> bool:
    """Whether a value is another to the digits written, or to what rounding on the way takes from it; a zero is hit by a zero alone."""
    if not isinstance(given, Value) or not isinstance(wrong, Value):
        return True
    reach = max(last_place(given.value, digits), ROUNDING * abs(wrong.value))
    return abs(given.value - wrong.value) <= reach * (1 + 1e-6)


def last_place(value: float, digits: int | None) -> float:
    """The weight of the last digit written of a value."""
    if value == 0:
        return 0.0
    if digits is None:
        return NEGLIGIBLE * abs(value)
    return 10.0 ** (math.floor(math.log10(abs(value)) + NEGLIGIBLE) - digits + 1)
