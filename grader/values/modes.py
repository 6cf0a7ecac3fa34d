"""What the terms of a response say as floats: its ends, its slope, its size; and which terms of two responses belong together.

Terms are in local time, the interval starting at 0.
"""

import math
from collections.abc import Sequence

from grader.values.term import TermMode, sample

POINTS_PER_SCALE = 12
"""Samples over a time constant or a period, where a peak has no formula: the top of a sinusoid is met within 4 %."""

SCALES, MAX_PERIODS = 10, 100
"""Time constants after which nothing of a term is left; periods of an oscillation that are followed at most."""


def is_constant(m: TermMode) -> bool:
    """Whether a term does not vary."""
    return not (m.rate or m.frequency or m.power)


def initial_value(modes: Sequence[TermMode]) -> float:
    """The value at the start."""
    total = 0.0
    for m in modes:
        if not m.power:
            total += m.cosine
    return total


def first_sizes(modes: Sequence[TermMode]) -> float:
    """What the terms at the start add up to at most: the size that rounding their coefficients and phases works on."""
    return sum([math.hypot(m.cosine, m.sine) for m in modes if not m.power])


def final_value(modes: Sequence[TermMode]) -> float | None:
    """The value for t without bound; None where it grows or never settles."""
    total = 0.0
    for m in modes:
        if m.rate >= 0 and not is_constant(m):
            return None
        if not m.rate:
            total += m.cosine
    return total


def slope(modes: Sequence[TermMode]) -> float:
    """The first derivative at the start."""
    total = 0.0
    for m in modes:
        if not m.power:
            total += m.cosine * m.rate + m.sine * m.frequency
        elif m.power == 1:
            total += m.cosine
    return total


def slope_sizes(modes: Sequence[TermMode]) -> float:
    """What the terms add to the first derivative at the start, signs aside: `first_sizes` for `slope`."""
    return sum([abs(m.cosine * m.rate) + abs(m.sine * m.frequency) for m in modes if not m.power]) + sum(
        [abs(m.cosine) for m in modes if m.power == 1]
    )


def largest(m: TermMode) -> float:
    """Upper bound of a term's size for t >= 0 (infinite where it grows)."""
    amplitude = math.hypot(m.cosine, m.sine) if m.sine else abs(m.cosine)
    if not m.power and not m.rate:
        return amplitude
    if m.rate >= 0:
        return math.inf if amplitude else 0.0
    # t^k e^(-st) is largest at t = k/s; where k is nothing 0^0 is one.
    return amplitude * (m.power / (math.e * -m.rate)) ** m.power


def peak(modes: Sequence[TermMode]) -> float:
    """The largest size of a response for t >= 0 (over ten time constants or periods where it grows)."""
    steady = sum([m.cosine for m in modes if is_constant(m)])
    moving = [m for m in modes if not is_constant(m)]
    turning = turning_times(moving)
    if turning is None:
        return max([abs(sample(modes, t)) for t in _times(modes)])
    # Between its ends a response is largest where it turns.
    sizes = [abs(steady + sample(moving, max(t, 0.0))) for t in turning]
    return max(abs(initial_value(modes)), abs(steady), *sizes)


def turning_times(modes: Sequence[TermMode]) -> tuple[float, ...] | None:
    """Instants (s, also negative ones) between which the largest and the smallest value lie, where a formula gives them.

    One exponential has none, t^k e^(-st) has one, two exponentials or a + b t beside one have one; a damped or steady
    oscillation is largest and smallest at the first two of its turns.  None for anything else, and where it grows.
    """
    if any(m.rate >= 0 and (m.rate or m.power) for m in modes):
        return None
    match modes:
        case []:
            return ()
        case [m]:
            return _turns_of_one(m)
        case [m, n] if not m.frequency and not n.frequency:
            return _turn_of_two(m, n)
    return None


def _turns_of_one(m: TermMode) -> tuple[float, ...] | None:
    if not m.frequency:
        return (-m.power / m.rate,) if m.power else ()
    if not m.power:
        along, across = m.cosine * m.rate + m.sine * m.frequency, m.cosine * m.frequency - m.sine * m.rate
        angle = math.atan2(along, across) % math.pi  # x' = e^(rt) (along cos wt - across sin wt)
        return angle / m.frequency, (angle + math.pi) / m.frequency
    return None


def _turn_of_two(m: TermMode, n: TermMode) -> tuple[float, ...] | None:
    """Of two terms that do not oscillate."""
    if not m.power and not n.power:
        rise, fall = m.cosine * m.rate, -n.cosine * n.rate
        return (math.log(fall / rise) / (m.rate - n.rate),) if rise * fall > 0 and m.rate != n.rate else ()
    flat, ramp = (m, n) if n.power else (n, m)
    if flat.power or ramp.power != 1 or flat.rate != ramp.rate or not ramp.cosine:
        return None
    return (-1 / ramp.rate - flat.cosine / ramp.cosine,)


def stays_within(modes: Sequence[TermMode], absolute_tolerance: float) -> bool:
    """Whether a response stays within a size: by the sum of its terms' bounds, else by its peak."""
    total = sum(map(largest, modes))
    return total <= absolute_tolerance or (not math.isinf(total) and peak(modes) <= absolute_tolerance)


def matched(
    given: Sequence[TermMode], right: Sequence[TermMode]
) -> tuple[list[tuple[TermMode, TermMode]], list[TermMode], list[TermMode]]:
    """Pair terms of the same kind, nearest exponents first.

    Returns
    -------
    pairs : list of (TermMode, TermMode)
        Given and right.
    missing, added : list of TermMode
        Those of `right` and of `given` without a partner.
    """
    kinds = [_kind(r) for r in right]
    candidates = []
    for i, g in enumerate(given):
        own = _kind(g)
        for j, r in enumerate(right):
            if own == kinds[j]:
                candidates.append((abs(g.rate - r.rate) + abs(g.frequency - r.frequency), i, j))
    candidates.sort()
    pairs: list[tuple[TermMode, TermMode]] = []
    added, missing = dict(enumerate(given)), dict(enumerate(right))
    for _, i, j in candidates:
        if i in added and j in missing:
            pairs.append((added.pop(i), missing.pop(j)))
    return pairs, list(missing.values()), list(added.values())


def _kind(m: TermMode) -> tuple[int, bool, bool]:
    """What sort of term it is: power of t, exponential or not, oscillating or not.

    An exponential that grows where one decays is of the same form with a wrong exponent.
    """
    return m.power, bool(m.rate), bool(m.frequency)


def _times(modes: Sequence[TermMode]) -> list[float]:
    """Instants dense on the scale of every time constant, and of every period for as long as the response lasts."""
    constants = {1 / abs(m.rate) for m in modes if m.rate}
    periods = {2 * math.pi / m.frequency for m in modes if m.frequency}
    if not constants and not periods:
        # a polynomial is as large as what it starts with, up to where it has changed by that
        start = abs(initial_value(modes))
        return [0.0, *((start / abs(m.cosine)) ** (1 / m.power) for m in modes if m.power and m.cosine)]
    lasts = SCALES * max(constants, default=0.0)
    scales = {scale: float(SCALES) for scale in constants}
    scales |= {period: min(max(lasts / period, SCALES), MAX_PERIODS) for period in periods}
    step = 1 / POINTS_PER_SCALE
    return [scale * step * k for scale, number in scales.items() for k in range(int(number * POINTS_PER_SCALE) + 1)]
