"""The first instant at which a waveform has a given value."""

from __future__ import annotations

import math

from flint import fmpq

from grader.errors import NotDefined
from grader.values.functions import log
from grader.values.scalar import ONE, ZERO, rational, to_float
from grader.values.term import TermMode, sample
from grader.values.waveform import NotAWaveform, Waveform, constant

POINTS = 64
"""Instants looked at per time constant and per period; a smooth sum of modes turns at most a few times in each."""

TIME_CONSTANTS = 40
"""How far to look: e^-40 is below 10^-17, past which a response has settled for every purpose."""

TOUCHES = 1e-9
"""A turning point this near the level (as a share of the response's size) touches it."""


def first_crossing(waveform: Waveform, level: fmpq, start: fmpq, end: fmpq | None) -> Waveform:
    """The first instant from ``start`` on at which a waveform equals a level.

    Parameters
    ----------
    waveform : Waveform
        In global t (seconds).
    level : fmpq
        In the waveform's unit.
    start, end : fmpq and fmpq or None
        The interval on which it holds.

    Returns
    -------
    Waveform
        A number, in seconds, on the same clock.  To 50 digits for a single exponential (the logarithm), else to
        float precision.

    Raises
    ------
    NotDefined
        If it never has that value, has it all the time, or holds symbols.
    """
    if waveform.is_symbolic:
        raise NotDefined("with symbols, the instant at which a level is reached has no closed form here")
    difference = waveform - constant(level)
    if not difference.terms:
        raise NotDefined("the signal has that value all the time")
    if difference.is_constant:
        raise NotDefined(_NEVER)
    local = difference.delayed(-start)
    span = None if end is None else to_float(end - start)
    exact = _single_exponential(local)
    if exact is not None:
        instant = exact
        if to_float(instant.number if instant.is_number else ZERO) < 0:
            raise NotDefined(_NEVER)
    else:
        instant = constant(rational(repr(_searched(local.modes(), span))), exact=False)
    if span is not None and instant.value() > span:
        raise NotDefined("the signal does not reach that value before the next switching")
    return instant + constant(start)


_NEVER = "the signal never reaches that value"


def _single_exponential(local: Waveform) -> Waveform | None:
    """The root of ``b + a e^(s t)``, from the logarithm; None where the waveform has another shape."""
    flat = [t for t in local.terms if t.rate == 0]
    falling = [t for t in local.terms if t.rate != 0]
    if len(falling) == 1 and all(t.power == 0 and t.frequency == 0 for t in local.terms):
        term = falling[0]
        ratio = Waveform(tuple(flat), local.exact) / Waveform((term._replace(rate=ZERO),), local.exact)
        try:
            return log(-ratio).scaled(ONE / term.rate)
        except NotAWaveform:
            raise NotDefined(_NEVER) from None
    return None


def _searched(modes: tuple[TermMode, ...], span: float | None) -> float:
    """The first root of a sum of modes for t >= 0, by bracketing and halving."""
    times = _instants(modes, span)
    size = max(abs(sample(modes, t)) for t in times)
    before = sample(modes, 0.0)
    if abs(before) <= TOUCHES * size:
        return 0.0
    for k in range(1, len(times)):
        here = sample(modes, times[k])
        if here == 0 or (here > 0) != (before > 0):
            return _halved(modes, times[k - 1], times[k])
        if k + 1 < len(times):
            touch = _touching(modes, times[k - 1], times[k + 1], here)
            if touch is not None and abs(sample(modes, touch)) <= TOUCHES * size:
                return touch
        before = here
    raise NotDefined(_NEVER)


def _instants(modes: tuple[TermMode, ...], span: float | None) -> list[float]:
    slow = min((abs(m.rate) for m in modes if m.rate), default=0.0)
    quick = max((max(abs(m.rate), m.frequency) for m in modes), default=0.0)
    if quick == 0:
        quick = slow = 1.0
    reach = TIME_CONSTANTS / slow if slow else 2 * 2 * math.pi / min(m.frequency for m in modes if m.frequency)
    reach = reach if span is None else min(reach, span)
    step = 1 / (quick * POINTS / (2 * math.pi))
    linear = min(int(reach / step) + 1, 200_000)
    times = [k * step for k in range(linear)]
    while times[-1] < reach:
        times.append(max(times[-1] * (1 + 1 / POINTS), step))
    return [*times[:-1], reach] if times[-1] > reach else times


def _halved(modes: tuple[TermMode, ...], low: float, high: float) -> float:
    """The root between two instants of opposite sign."""
    sign_low = sample(modes, low) > 0
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if (sample(modes, middle) > 0) == sign_low:
            low = middle
        else:
            high = middle
    return high


def _touching(modes: tuple[TermMode, ...], low: float, high: float, here: float) -> float | None:
    """The instant of a turning point towards zero between two instants; None where there is none."""
    if not (abs(here) <= abs(sample(modes, low)) and abs(here) <= abs(sample(modes, high))):
        return None
    ratio = (math.sqrt(5) - 1) / 2
    for _ in range(80):
        left, right = high - ratio * (high - low), low + ratio * (high - low)
        if abs(sample(modes, left)) < abs(sample(modes, right)):
            high = right
        else:
            low = left
    return (low + high) / 2
