"""Where a signal is largest and smallest: turning points, ends, and what it tends to."""

import math
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from flint import fmpq

from grader.errors import NotDefined
from grader.quantities.crossing import Piece, crossings, last_crossing
from grader.values.scalar import ZERO, rational, to_float
from grader.values.waveform import Waveform, constant

MAX_TURNS = 5_000
"""Most turning points looked at; one that is not among them is smaller than all before it, or a sinusoid's like them."""

NEGLIGIBLE = 1e-12
"""A transient this small (as a share of what it was) is over."""


class Extreme(NamedTuple):
    """A largest or smallest value and the instant it is taken at; None: it is approached and never taken."""

    value: Waveform
    time: Waveform | None


def extreme(pieces: Sequence[Piece], way: int) -> Extreme:
    """The largest (``way`` 1) or smallest (-1) value of a signal.

    Parameters
    ----------
    pieces : sequence of (Waveform, fmpq, fmpq or None)
        The signal in global t (seconds) and the intervals on which its waveforms hold; ends count, from inside.
    way : int
        1 or -1.

    Raises
    ------
    NotDefined
        If it grows without bound, or holds symbols.
    """
    _need_numbers(*(waveform for waveform, _, _ in pieces))
    found = [candidate for waveform, start, end in pieces for candidate in _candidates(waveform, start, end, way)]
    best = max(found, key=lambda one: way * one.value.value())
    # What is only approached does not beat an equal value that is taken.
    size = abs(best.value.value())
    taken = [
        one for one in found if one.time is not None and abs(one.value.value() - best.value.value()) <= 1e-14 * size
    ]
    return min(taken, key=lambda one: one.time.value() if one.time else 0.0) if taken else best


def _candidates(waveform: Waveform, start: fmpq, end: fmpq | None, way: int) -> Iterator[Extreme]:
    yield Extreme(waveform.at(start), constant(start))
    if waveform.is_constant:
        return
    local = waveform.delayed(-start)
    span = end - start if end is not None else None
    if span is None:
        span = _over(local, way)
        limit = local.limit()
        if limit is not None:
            yield Extreme(limit, None)
    else:
        yield Extreme(waveform.at(end), constant(end))
    slope = local.derivative()
    best = -math.inf
    for turn in islice(crossings(slope, span), MAX_TURNS) if slope.terms else ():
        time = constant(turn.time, exact=False)
        value = constant(rational(repr(local.at(turn.time).value())), exact=False)
        yield Extreme(value, time + constant(start))
        best = max(best, way * value.value())
        if _bound(local, to_float(turn.time), way) < best:
            return


def _bound(local: Waveform, time: float, way: int) -> float:
    """What a signal cannot exceed from a time on: its constant, and the envelopes of all else; infinite where one still grows."""
    total = 0.0
    for mode in local.modes():
        if not (mode.rate or mode.frequency or mode.power):
            total += way * mode.cosine
        elif mode.power and mode.rate * time > -mode.power:
            return math.inf
        else:
            total += math.hypot(mode.cosine, mode.sine) * time**mode.power * math.exp(mode.rate * time)
    return total if all(mode.rate <= 0 for mode in local.modes()) else math.inf


def _over(local: Waveform, way: int) -> fmpq:
    """How far to look: until transients are over and what is left has gone through its periods."""
    modes = local.modes()
    growing = [m for m in modes if m.rate > 0 or (m.rate == 0 and m.power)]
    if any(m.frequency or way * m.cosine > 0 for m in growing):
        raise NotDefined("the signal grows without bound, so it has no such value; bound the time with 'until'")
    slowest = max((1 / abs(m.rate) for m in modes if m.rate), default=0.0)
    period = max((2 * math.pi / m.frequency for m in modes if m.frequency and not m.rate), default=0.0)
    most = max((m.power for m in modes), default=0)
    return rational(repr(slowest * (-math.log(NEGLIGIBLE) + 10 * most) + 2.5 * period or 1.0))


def _need_numbers(*waveforms: Waveform) -> None:
    if any(waveform.is_symbolic for waveform in waveforms):
        raise NotDefined("with symbols it depends on their values where the signal is largest; give numbers")


def beyond(pieces: Sequence[Piece], initial: Waveform, final: Waveform) -> Extreme:
    """The extreme on the side of the final value that a response goes past, and when.

    Raises
    ------
    NotDefined
        If the signal starts at its final value, so that no side is the far one, or holds symbols.
    """
    _need_numbers(initial, final)
    change = final.value() - initial.value()
    if change == 0:
        raise NotDefined("the signal starts at its final value, so there is no step that it could overshoot")
    return extreme(pieces, 1 if change > 0 else -1)


def last_outside(piece: Piece, final: Waveform, band: fmpq) -> Waveform:
    """The last instant at which a signal enters a band about its final value for good, in seconds."""
    waveform, start, end = piece
    local = (waveform - final).delayed(-start)
    span = None if end is None else to_float(end - start)
    size = constant(band)
    entered = [last_crossing(local - edge) for edge in (size, -size)]
    last = max((time for time in entered if time is not None), default=ZERO)
    if span is not None and to_float(last) > span:
        raise NotDefined("the signal has not settled when the circuit changes again")
    return constant(start) + constant(last, exact=False)
