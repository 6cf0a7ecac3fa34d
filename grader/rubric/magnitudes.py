"""How large a signal gets, and whether two answers are the same to the last digits a float holds."""

import math
from collections.abc import Sequence

from flint import fmpq

from grader.circuit.elements import CoupledInductors, IdealOpAmp, Signal
from grader.circuit.response import Solved
from grader.errors import CircuitError, NotDefined
from grader.quantities import Answer
from grader.quantities.question import Question
from grader.values.comparison import compare_modes
from grader.values.dimension import TIME, Dimension
from grader.values.scalar import to_float
from grader.values.term import TermMode, sample
from grader.values.waveform import Waveform, number_of

AGREES = 1e-9
"""Relative difference below which two numeric results are the same: what is left of a float after a few hundred steps."""

POINTS = 400
"""Instants sampled per interval; a coursework response turns at most a few dozen times before it settles."""

TIME_CONSTANTS = 8.0
"""How far to look, in the slowest time constant: e^-8 is 0.03 %."""


def scale_of(question: Question, answer: Answer, dimension: Dimension | None) -> float:
    """The size of an item's signal, in the unit of its answer: of the signal, its slope, its duration or its integral; else of the answer."""
    signal = question.item.signal
    if question.response is not None and signal is not None:
        if dimension == signal.dimension:
            return signal_size(question.solved, signal)
        if dimension == signal.dimension.over(TIME):
            return peak(question.waveform.derivative(), question.start, question.end)
        if dimension == TIME:
            return slowest(question.waveform)
        if dimension == signal.dimension.times(TIME):
            start, end = question.stretch(lasting=True)
            lasts = slowest(question.waveform) if end is None else to_float(end - start)
            return signal_size(question.solved, signal) * lasts
    if isinstance(answer, Waveform) and not answer.is_symbolic and answer.is_constant:
        return abs(float(number_of(answer)))
    return 0.0


def signal_size(solved: Solved, signal: Signal) -> float:
    """The largest absolute value of a signal over all intervals; of its kind, where it is zero throughout.

    0 where symbols leave it open.
    """
    size = _largest(solved, signal)
    if size == 0.0 and signal.kind in ("current", "voltage"):
        others = [e.name for e in solved.circuit.elements if not isinstance(e, (IdealOpAmp, CoupledInductors))]
        return max((_largest(solved, Signal(kind=signal.kind, of=name)) for name in others), default=0.0)
    return size


def _largest(solved: Solved, signal: Signal) -> float:
    size = 0.0
    for index, interval in enumerate(solved.intervals):
        try:
            waveform = solved.waveform(signal, index)
        except (NotDefined, CircuitError):
            continue
        start = interval.start if interval.start is not None else interval.end
        assert start is not None
        size = max(size, peak(waveform, start, interval.end if index else None))
    return size


def peak(waveform: Waveform, start: fmpq, end: fmpq | None) -> float:
    """The largest absolute value of a waveform on an interval; over a few time constants and periods where it grows.

    0 where it holds symbols.
    """
    if waveform.is_symbolic:
        return 0.0
    modes = waveform.delayed(-start).modes()
    reach = _reach(modes, math.inf if end is None else to_float(end - start))
    moving = [mode for mode in modes if mode.rate or mode.frequency or mode.power]
    points = 1 if len(moving) <= 1 and not any(mode.frequency or mode.power for mode in moving) else POINTS
    # Denser where the fast modes are; of one exponential the ends.
    sampled = max(abs(sample(modes, reach * (k / points) ** 2)) for k in range(points + 1))
    if end is None and all(m.rate <= 0 for m in modes):
        settled = abs(sum(m.cosine for m in modes if m.rate == 0 and m.frequency == 0 and m.power == 0))
        return max(sampled, settled)
    return sampled


def _reach(modes: Sequence[TermMode], span: float) -> float:
    """A few time constants and periods, in seconds, as far as they lie within a span of time."""
    reach = max((1 / abs(m.rate) for m in modes if m.rate), default=0.0) * TIME_CONSTANTS
    reach = max(reach, *(2 * math.pi / m.frequency for m in modes if m.frequency), 0.0)
    return min(reach, span) if reach else min(span, 1.0)


def slowest(waveform: Waveform) -> float:
    """The longest time constant or period in a waveform, in seconds; 0 where there is none, or symbols."""
    if waveform.is_symbolic:
        return 0.0
    modes = waveform.modes()
    return max(
        (0.0, *(1 / abs(m.rate) for m in modes if m.rate), *(2 * math.pi / m.frequency for m in modes if m.frequency))
    )


def same(one: Answer, other: Answer) -> bool:
    """Whether two answers agree: by form, or in every float of it."""
    if isinstance(one, Waveform) and isinstance(other, Waveform):
        if one == other or one.is_symbolic or other.is_symbolic:
            return one == other
        return compare_modes(one.modes(), other.modes(), AGREES).equal
    if isinstance(one, tuple) and isinstance(other, tuple):
        if any(part.is_symbolic for root in (*one, *other) for part in root):
            return len(one) == len(other) and all(one.count(root) == other.count(root) for root in one)
        left, right = sorted(map(_key, one)), sorted(map(_key, other))
        scale = max((abs(x) for pair in right for x in pair), default=0.0)
        return len(left) == len(right) and all(
            abs(x - y) <= AGREES * scale for a, b in zip(left, right, strict=True) for x, y in zip(a, b, strict=True)
        )
    return one == other


def _key(root: tuple[Waveform, Waveform]) -> tuple[float, float]:
    real, imaginary = root
    return real.value(), imaginary.value()
