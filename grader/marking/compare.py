"""Whether two answers say the same: exactly where forms decide, else within a tolerance, term by term.

No time is sampled to prove two expressions equal.  Their terms are matched by kind (power of t, exponential,
oscillation), exponents and frequencies are compared one by one, and only then are the coefficients of
matched terms compared, as if the exponents were the same.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from flint import fmpq

from grader.values.term import Mode, sample
from grader.values.waveform import Waveform

NEGLIGIBLE = 1e-9
"""Share of a signal's size below which a float is rounding noise, not a value."""

TRANSIENT_SHARE = 0.25
"""An end value may never be off by more than this share of the change itself, however large the value: else
``100 + e^-t`` could be answered with ``100``."""


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


def allowance(right: float, tolerance: float, scale: float = 0.0) -> float:
    """How far off a value may be, in its own unit; see `close`."""
    size = abs(right)
    if size <= NEGLIGIBLE * abs(scale):
        size = abs(scale)
    return tolerance * size * (1 + NEGLIGIBLE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What an expression says, held against another.

    Attributes
    ----------
    exact : bool
        The two are equal in canonical form.
    initial, final : bool
        Values at the start of the interval and for t without bound agree (``final`` also where neither settles).
    rates : bool
        Every exponent of a term that matters agrees (the time constants).
    frequencies : bool
        Every angular frequency agrees.
    form : bool
        The same kinds of terms occur.
    coefficients : bool
        With matched exponents, no coefficient is off by more than its share, and the whole difference stays within
        the tolerance of the response's size.
    slope : bool
        First derivatives at the start agree.
    missing, added : tuple of Mode
        Terms without a partner that are too large to be left out or added.
    """

    exact: bool = False
    initial: bool = False
    final: bool = False
    rates: bool = False
    frequencies: bool = False
    form: bool = False
    coefficients: bool = False
    slope: bool = False
    missing: tuple[Mode, ...] = ()
    added: tuple[Mode, ...] = ()

    @property
    def equal(self) -> bool:
        """Whether everything the expression says agrees."""
        return self.exact or (
            self.initial and self.final and self.rates and self.frequencies and self.form and self.coefficients
        )


EQUAL = Comparison(
    exact=True, initial=True, final=True, rates=True, frequencies=True, form=True, coefficients=True, slope=True
)


def compare(given: Waveform, right: Waveform, tolerance: float, start: fmpq | None = None) -> Comparison:
    """Compare two expressions on an interval.

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
    if given == right and given.exact and right.exact:
        return EQUAL
    shift = -(start if start is not None else fmpq(0))
    return compare_modes(given.delayed(shift).modes(), right.delayed(shift).modes(), tolerance)


def compare_modes(given: Sequence[Mode], right: Sequence[Mode], tolerance: float) -> Comparison:
    """`compare` for terms in local time, the interval starting at 0."""
    size = peak(right)
    noise = NEGLIGIBLE * size
    given = [m for m in given if _largest(m) > noise]
    right = [m for m in right if _largest(m) > noise]
    change = peak([m for m in right if not _is_constant(m)])
    reach = tolerance * max(size, change)
    if change > 0:
        reach = min(reach, TRANSIENT_SHARE * change)

    pairs, lonely_right, lonely_given = _matched(given, right)
    missing = tuple(m for m in lonely_right if _largest(m) > reach)
    added = tuple(m for m in lonely_given if _largest(m) > reach)
    form = all(_is_constant(m) for m in (*missing, *added))
    # A pair matters for the exponents where its part of the response does.
    heavy = [(g, r) for g, r in pairs if not _is_constant(r) and max(_largest(r), _largest(g)) > reach]
    difference = [Mode(g.cosine - r.cosine, g.sine - r.sine, r.power, r.rate, r.frequency) for g, r in pairs] + [
        *lonely_given,
        *(Mode(-m.cosine, -m.sine, m.power, m.rate, m.frequency) for m in lonely_right),
    ]
    first, last = sample(right, 0.0), settled(right)
    given_last = settled(given)
    final = (
        (given_last is None)
        if last is None
        else (given_last is not None and abs(given_last - last) <= _end_reach(last, tolerance, change, size))
    )
    return Comparison(
        initial=abs(sample(given, 0.0) - first) <= _end_reach(first, tolerance, change, size),
        final=final,
        rates=form and all(_near(g.rate, r.rate, tolerance) for g, r in heavy),
        frequencies=form and all(_near(g.frequency, r.frequency, tolerance) for g, r in heavy),
        form=form,
        coefficients=_stays_within(difference, reach)
        and all(
            _largest(d) <= max(reach, tolerance * _largest(r)) * (1 + NEGLIGIBLE)
            for d, (_, r) in zip(difference, pairs, strict=False)
        ),
        slope=_near(_slope(given), _slope(right), tolerance),
        missing=missing,
        added=added,
    )


def _near(given: float, right: float, tolerance: float) -> bool:
    return abs(given - right) <= tolerance * abs(right) * (1 + NEGLIGIBLE)


def _end_reach(value: float, tolerance: float, change: float, size: float) -> float:
    reach = tolerance * max(abs(value), change)
    if change > 0:
        reach = min(reach, TRANSIENT_SHARE * change)
    return max(reach, NEGLIGIBLE * size) * (1 + NEGLIGIBLE)


def _is_constant(m: Mode) -> bool:
    return m.power == 0 and m.rate == 0 and m.frequency == 0


def _kind(m: Mode) -> tuple[int, bool, bool]:
    """What sort of term it is: power of t, exponential or not, oscillating or not.

    An exponential that grows where one decays is of the same form with a wrong exponent.
    """
    return m.power, m.rate != 0, m.frequency != 0


def _matched(given: Sequence[Mode], right: Sequence[Mode]) -> tuple[list[tuple[Mode, Mode]], list[Mode], list[Mode]]:
    """Pair terms of the same kind, nearest exponents first."""
    candidates = sorted(
        (abs(g.rate - r.rate) + abs(g.frequency - r.frequency), i, j)
        for i, g in enumerate(given)
        for j, r in enumerate(right)
        if _kind(g) == _kind(r)
    )
    taken_given: set[int] = set()
    taken_right: set[int] = set()
    pairs = []
    for _, i, j in candidates:
        if i not in taken_given and j not in taken_right:
            taken_given.add(i)
            taken_right.add(j)
            pairs.append((given[i], right[j]))
    return (
        pairs,
        [m for j, m in enumerate(right) if j not in taken_right],
        [m for i, m in enumerate(given) if i not in taken_given],
    )


def _largest(m: Mode) -> float:
    """Upper bound of a term's size for t >= 0 (infinite where it grows)."""
    amplitude = math.hypot(m.cosine, m.sine)
    if m.rate > 0 or (m.rate == 0 and m.power):
        return math.inf if amplitude else 0.0
    if m.power == 0:
        return amplitude
    # t^k e^(-st) is largest at t = k/s.
    return amplitude * (m.power / (math.e * -m.rate)) ** m.power


def settled(modes: Sequence[Mode]) -> float | None:
    """The value for t without bound; None where it grows or never settles."""
    if any(m.rate > 0 or (m.rate == 0 and (m.power or m.frequency)) for m in modes):
        return None
    return sum(m.cosine for m in modes if _is_constant(m))


def _slope(modes: Sequence[Mode]) -> float:
    return sum(
        (m.cosine if m.power == 1 else 0.0) + (m.cosine * m.rate + m.sine * m.frequency if m.power == 0 else 0.0)
        for m in modes
    )


def peak(modes: Sequence[Mode]) -> float:
    """The largest size of a response for t >= 0 (over ten time constants or periods where it grows)."""
    if (
        len(modes) <= 2
        and sum(not _is_constant(m) for m in modes) <= 1
        and all(m.power == 0 and m.frequency == 0 and m.rate <= 0 for m in modes)
    ):
        # A constant and one decaying exponential: the response lies between its two ends.
        return max(abs(sample(modes, 0.0)), abs(sum(m.cosine for m in modes if _is_constant(m))))
    return max((abs(sample(modes, t)) for t in _times(modes)), default=0.0)


def _stays_within(modes: Sequence[Mode], reach: float) -> bool:
    """Whether a difference of matched terms stays small: by the sum of its bounds, else by its peak."""
    if sum(_largest(m) for m in modes) <= reach:
        return True
    return not any(math.isinf(_largest(m)) for m in modes) and peak(modes) <= reach * (1 + NEGLIGIBLE)


POINTS_PER_SCALE = 40


def _times(modes: Sequence[Mode]) -> list[float]:
    """Instants dense on the scale of every time constant and period, geometrically spread between them."""
    scales = sorted(
        {1 / abs(m.rate) for m in modes if m.rate} | {2 * math.pi / m.frequency for m in modes if m.frequency}
    )
    if not scales:
        return [0.0, 1.0] if any(m.power for m in modes) else [0.0]
    times = [0.0]
    for scale in scales:
        times.extend(scale * k * 10 / POINTS_PER_SCALE for k in range(1, POINTS_PER_SCALE + 1))
    if len(scales) > 1:
        steps = 4 * POINTS_PER_SCALE
        ratio = (10 * scales[-1] / (0.05 * scales[0])) ** (1 / steps)
        times.extend(0.05 * scales[0] * ratio**k for k in range(steps + 1))
    fastest = next((2 * math.pi / m.frequency for m in modes if m.frequency), 0.0)
    slowest = max((1 / abs(m.rate) for m in modes if m.rate), default=0.0)
    if fastest and slowest > fastest:
        # An oscillation under a slow envelope: follow each of its first hundred periods.
        periods = min(slowest * 5 / fastest, 100.0)
        times.extend(fastest * k / 16 for k in range(int(16 * periods)))
    return times
