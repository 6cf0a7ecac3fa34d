"""Whether two answers say the same: exactly where forms decide, else within a tolerance, term by term.

The one definition of "within the tolerance", for marking and for the diagnosis of mistakes.

No time is sampled to prove two expressions equal.  Their terms are matched by kind (power of t, exponential,
oscillation), exponents and frequencies are compared one by one, and only then are the coefficients of
matched terms compared, as if the exponents were the same.
"""

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple, TypeAlias

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.values.modes import (
    final_value,
    first_sizes,
    initial_value,
    is_constant,
    largest,
    matched,
    peak,
    slope,
    slope_sizes,
    stays_within,
)
from grader.values.scalar import Scalar, is_symbolic, to_float
from grader.values.term import TermMode
from grader.values.waveform import Waveform

NEGLIGIBLE = 1e-9
"""Share of a signal's size below which a float is rounding noise, not a value."""

WIDER = 1 + NEGLIGIBLE
"""Factor by which every bound is widened, so that what lies on it is within it whatever rounding makes of either."""

TRANSIENT_SHARE = 0.25
"""An end value may never be off by more than this share of the change itself, however large the value: else
``100 + e^-t`` could be answered with ``100``."""

ROUNDING = 0.005
"""Share that rounding to three figures may take from a number."""


def close(given: float, right: float, tolerance: float, scale: float = 0.0) -> bool:
    """Whether a value is right within a tolerance.

    Parameters
    ----------
    given, right : float
        In the same unit.
    tolerance : float
        Share of the right value; where that is zero, share of `scale`.
    scale : float
        Size of the problem: the largest value of the signal.
    """
    if not math.isfinite(given) or not math.isfinite(right):
        return given == right
    return abs(given - right) <= allowance(right, tolerance, scale)


def agree(given: Scalar, right: Scalar, tolerance: float) -> bool:
    """Whether two scalars are the same, where one has letters, else within a tolerance."""
    if is_symbolic(given) or is_symbolic(right):
        return given == right
    return close(to_float(given), to_float(right), tolerance)


def allowance(right: float, tolerance: float, scale: float) -> float:
    """How far off a value may be, in its own unit; see `close`."""
    size = abs(right)
    if size <= NEGLIGIBLE * abs(scale):
        size = abs(scale)
    return tolerance * size * WIDER


class Comparison(Struct, frozen=True):
    """What an expression says, compared with another."""

    exact: bool = False
    """The two are equal in canonical form."""
    initial: bool = False
    """The values at the start of the interval agree."""
    final: bool = False
    """Those for t without bound agree; where neither settles, what lasts does, a ramp's line or a sinusoid."""
    rates: bool = False
    """Every exponent of a term that matters agrees (the time constants), also where the term is of another kind."""
    frequencies: bool = False
    """Every angular frequency agrees, in the same way."""
    form: bool = False
    """The same kinds of terms occur, a constant being one; so they do, but for the constant, where a rise stands
    for a decay or the other way round: start and final value are exchanged, and that is all."""
    coefficients: bool = False
    """With matched exponents, no coefficient is off by more than its share, and the whole difference stays within
    the tolerance of the response's size."""
    slope: bool = False
    """First derivatives at the start agree."""
    missing: tuple[TermMode, ...] = ()
    """Terms without a partner that are too large to be left out."""
    added: tuple[TermMode, ...] = ()
    """Terms without a partner that are too large to be added."""

    @property
    def equal(self) -> bool:
        """Whether everything the expression says agrees."""
        return self.exact or (
            self.initial and self.final and self.rates and self.frequencies and self.form and self.coefficients
        )


class FractionComparison(NamedTuple):
    """What a function of s says, compared with another: whether its poles, its zeros, its gain and its delays agree."""

    poles: bool
    zeros: bool
    gain: bool
    delays: bool = True

    @property
    def equal(self) -> bool:
        """Whether everything agrees."""
        return all(self)


EQUAL = Comparison(
    exact=True, initial=True, final=True, rates=True, frequencies=True, form=True, coefficients=True, slope=True
)


def compare(given: Waveform, right: Waveform, tolerance: float, start: fmpq | None = None) -> Comparison:
    """Compare two expressions on an interval.

    What does not vary, where the right expression does, has no slope that could agree; and zero says nothing of it.

    Parameters
    ----------
    given, right : Waveform
        In global t (seconds), without symbols.
    tolerance : float
        Share of each value, exponent and frequency; coefficients within this share of the response's size.
    start : fmpq or None
        Start of the interval; None means t = 0.

    Returns
    -------
    Comparison
    """
    if identical(given, right):
        return EQUAL
    return compare_modes(local_modes(given, start), local_modes(right, start), tolerance)


def identical(given: Waveform, right: Waveform) -> bool:
    """Whether two expressions are equal in canonical form, nothing in them being rounded."""
    return given == right and given.exact and right.exact


def local_modes(expression: Waveform, start: fmpq | None) -> tuple[TermMode, ...]:
    """Its terms as floats, in time counted from the start of the interval."""
    return (expression.delayed(-start) if start else expression).modes()


class _Asked(NamedTuple):
    """What comparing takes of the right expression alone, with which a whole class is compared."""

    modes: tuple[TermMode, ...]
    size: float
    """Of the response."""
    change: float
    """Of what varies in it."""
    start: float
    first_sizes: float
    end: float | None


@lru_cache(maxsize=2048)
def _asked(right: tuple[TermMode, ...]) -> _Asked:
    grows = any(m.rate > 0 for m in right)  # beside what it grows to, every value at its start would be none
    largest_of = first_sizes if grows else peak
    size = largest_of(right) or peak(right)
    modes = _larger(right, NEGLIGIBLE * size)
    moving = [m for m in modes if not is_constant(m)]
    change = largest_of(moving) or peak(moving)
    return _Asked(modes, size, change, initial_value(modes), first_sizes(modes), final_value(modes))


def compare_modes(given: Sequence[TermMode], right: Sequence[TermMode], tolerance: float) -> Comparison:
    """`compare` for terms in local time, the interval starting at 0."""
    right, size, change, start, sizes, end = _asked(tuple(right))
    given = _larger(given, NEGLIGIBLE * size)
    absolute_tolerance = _of_change(tolerance * max(size, change), change)
    pairs, lonely_right, lonely_given = matched(given, right)
    missing, added = _larger(lonely_right, absolute_tolerance), _larger(lonely_given, absolute_tolerance)
    own_start, own_end = initial_value(given), final_value(given)

    def starts_at(value: float | None) -> bool:
        allowed = _end_tolerance(start, sizes, tolerance, change, size)
        return value is not None and _within(value - start, allowed)

    def ends_at(value: float | None) -> bool:
        return _ends_agree(value, end, tolerance, change, size)

    def turned_over() -> bool:
        """Whether it is a decay for a rise, to its start or to nothing, all else being constant."""
        ends_turned = ends_at(own_start) and (starts_at(own_end) or own_end == 0)
        return ends_turned and not _varies((*missing, *added))

    same = not missing and not added
    varying = _varying(pairs, absolute_tolerance)

    def agree(name: str) -> bool:
        # Beside a term of another kind an exponent may still be right: the damping where the oscillation is lost.
        if not all(_near(getattr(g, name), getattr(r, name), tolerance) for g, r in varying):
            return False
        return same or (_among(missing, given, name, tolerance) and _among(added, right, name, tolerance))

    rates, frequencies = agree("rate"), agree("frequency")
    says = bool(given) or not right
    # Where every coefficient is right by itself, what they add up to is right.
    each = same and _coefficients_agree(pairs, tolerance)
    coefficients = each or _differ_little(pairs, lonely_given, lonely_right, absolute_tolerance, tolerance)
    return Comparison(
        initial=each or (says and starts_at(own_start)),
        final=says
        and (ends_at(own_end) if end is not None else (same and coefficients) or _last_alike(given, right, tolerance)),
        rates=rates,
        frequencies=frequencies,
        form=same or turned_over(),
        coefficients=coefficients,
        slope=(each and rates and frequencies)
        or ((_varies(given) or not change) and _slopes_agree(given, right, tolerance)),
        missing=missing,
        added=added,
    )


Pairs: TypeAlias = Sequence[tuple[TermMode, TermMode]]
"""Terms that belong together, given and right."""


def _varying(pairs: Pairs, size: float) -> Pairs:
    """The pairs of terms that vary and are larger than a size."""
    return [(g, r) for g, r in pairs if max(largest(r), largest(g)) > size and not is_constant(r)]


def _varies(modes: Sequence[TermMode]) -> bool:
    return not all(map(is_constant, modes))


def _larger(modes: Sequence[TermMode], size: float) -> tuple[TermMode, ...]:
    return tuple([m for m in modes if largest(m) > size])


def _of_change(allowed: float, change: float) -> float:
    """What is allowed, and no more than a share of what changes, where anything does."""
    return min(allowed, TRANSIENT_SHARE * change) if change else allowed


def _within(off: float, allowed: float) -> bool:
    """Whether a difference is within what is allowed."""
    return abs(off) <= allowed * WIDER


def _coefficients_agree(pairs: Pairs, tolerance: float) -> bool:
    """Whether every coefficient of every pair is within its own tolerance."""
    return all(_near(g.cosine, r.cosine, tolerance) and _near(g.sine, r.sine, tolerance) for g, r in pairs)


def _differ_little(
    pairs: Pairs,
    added: Sequence[TermMode],
    missing: Sequence[TermMode],
    absolute_tolerance: float,
    tolerance: float,
) -> bool:
    """Whether no coefficient is off by more than its share, and all differences together stay within the tolerance."""
    difference = [*added, *(replace(m, cosine=-m.cosine, sine=-m.sine) for m in missing)]
    for g, r in pairs:
        off = replace(r, cosine=g.cosine - r.cosine, sine=g.sine - r.sine)
        difference.append(off)
        if not _within(largest(off), max(absolute_tolerance, tolerance * largest(r))):
            return False
    return stays_within(difference, absolute_tolerance * WIDER)


def _slopes_agree(given: Sequence[TermMode], right: Sequence[TermMode], tolerance: float) -> bool:
    turn, sizes = slope(right), slope_sizes(right)
    return _within(slope(given) - turn, _value_tolerance(turn, sizes, tolerance, sizes))


def _ends_agree(given: float | None, right: float | None, tolerance: float, change: float, size: float) -> bool:
    """Whether final values agree."""
    if given is None or right is None:
        return False
    return _within(given - right, _end_tolerance(right, abs(right), tolerance, change, size))


def _last_alike(given: Sequence[TermMode], right: Sequence[TermMode], tolerance: float) -> bool:
    """Whether what does not decay agrees, term by term."""
    pairs, missing, added = matched(*([m for m in modes if m.rate >= 0] for modes in (given, right)))
    return (
        not missing
        and not added
        and all(
            _near(g.rate, r.rate, tolerance)
            and _near(g.frequency, r.frequency, tolerance)
            and _within(math.hypot(g.cosine - r.cosine, g.sine - r.sine), tolerance * math.hypot(r.cosine, r.sine))
            for g, r in pairs
        )
    )


def _among(terms: Sequence[TermMode], others: Sequence[TermMode], name: str, tolerance: float) -> bool:
    """Whether the exponents (or frequencies) of some terms occur among those of others."""
    present = [getattr(other, name) for other in others]
    return all(any(_near(value, one, tolerance) for one in present) for m in terms if (value := getattr(m, name)))


def same_roots(given: Sequence[complex], right: Sequence[complex], tolerance: float) -> int:
    """How many of the right roots are there, each within a share of its own size, in any order."""
    left = list(right)
    for root in given:
        near = [one for one in left if _within(abs(one - root), tolerance * abs(one))]
        if near:
            left.remove(min(near, key=lambda one: abs(one - root)))
    return len(right) - len(left)


def all_roots(given: Sequence[complex], right: Sequence[complex], tolerance: float) -> bool:
    """Whether all the right roots are there and no others; see `same_roots`."""
    return same_roots(given, right, tolerance) == max(len(given), len(right))


def _near(given: float, right: float, tolerance: float) -> bool:
    return _within(given - right, tolerance * abs(right))


def _value_tolerance(value: float, terms: float, tolerance: float, size: float) -> float:
    """How far off a value may be: its share of itself, or what rounding takes from the ``terms`` that add up to it.

    Near zero it is a share of the ``size`` around it.
    """
    if abs(value) <= ROUNDING * size:
        return tolerance * size
    return max(tolerance * abs(value), min(tolerance, ROUNDING) * terms)


def _end_tolerance(value: float, terms: float, tolerance: float, change: float, size: float) -> float:
    """How far off an end may be in a response of that ``size``, never more than a share of the change itself."""
    allowed = _value_tolerance(value, terms, tolerance, max(size, change))
    return max(_of_change(allowed, change), NEGLIGIBLE * size)
