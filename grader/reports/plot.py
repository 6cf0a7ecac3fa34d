"""A response drawn over time, as SVG: axes with engineering units, marked values told apart by shape and by words."""

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from msgspec import Struct, structs
from msgspec.structs import replace

from grader.reports.drawing.canvas import Box
from grader.reports.drawing.measure import text_width
from grader.reports.pages import page
from grader.values.dimension import TIME, Dimension
from grader.values.term import TermMode, sample
from grader.values.text import number_text, prefixed_unit

WIDTH, HEIGHT = 640, 360
LEFT, RIGHT, TOP, BOTTOM = 70, 24, 24, 48
"""Room around the axes, in pixels: tick labels to the left, the unit of time below."""

SAMPLES = 240
"""Points per piece; at 640 pixels no corner shows."""

HEADROOM = 0.06
"""Share of the range kept free beyond the largest and the smallest value, for labels."""

SIZE = 13


class CurvePiece(Struct, frozen=True, kw_only=True):
    """One interval of a response: its waveform in global t (seconds), from ``start`` to ``end``."""

    start: float
    end: float
    modes: tuple[TermMode, ...]


class LabelledInstant(Struct, frozen=True, kw_only=True):
    """A value to point out: its time (s), its value (SI), and what to call it.

    ``shape`` is ``"circle"``, ``"diamond"`` (a point read off, with lines to it from the axis and from ``since``) or
    ``"line"`` (a level approached, drawn dashed).
    """

    time: float
    value: float
    label: str
    shape: str
    since: float = 0.0


class _Axis(NamedTuple):
    """Low and high end in SI units, the size and symbol of the unit shown, and the ticks in SI units."""

    low: float
    high: float
    scale: float
    unit: str
    ticks: tuple[float, ...]


def plot(
    pieces: Sequence[CurvePiece],
    marks: Sequence[LabelledInstant],
    *,
    quantity: str,
    dimension: Dimension,
    title: str,
    id: str,
) -> str:
    """Draw a response.

    Parameters
    ----------
    pieces : sequence of CurvePiece
        In order of time; where one ends at another value than the next begins, the jump is drawn dotted.
    marks : sequence of LabelledInstant
        Values pointed out.
    quantity : str
        What is drawn, for the axis: ``"i_L1"``; what follows the underscore becomes an index.
    dimension : Dimension
        Of the values.
    title, id : str
        Read aloud first; the id keeps several plots on a page apart.
    """
    curves = [_sampled(piece) for piece in pieces]
    times = _axis(min(p.start for p in pieces), max(p.end for p in pieces), TIME, 8, snug=True)
    values = [value for curve in curves for _, value in curve] + [mark.value for mark in marks]
    low, high = min(*values, 0.0), max(*values, 0.0)
    room = HEADROOM * (high - low)
    level = _axis(low - room if low < 0 else low, high + room if high > 0 else high, dimension, 6, snug=False)
    frame = _Frame(times, level)
    envelopes = [curve for piece in pieces for curve in _envelopes(piece, level)]
    jumps = [(a[-1], b[0]) for a, b in itertools.pairwise(curves) if not math.isclose(a[-1][1], b[0][1])]
    said = "; ".join(mark.label for mark in marks)
    stem, _, index = quantity.partition("_")
    return page(
        "plot.svg", id=id, title=title, wide=WIDTH, tall=HEIGHT, size=SIZE, area=frame.area, zero=frame.y(0.0),
        said=f"{quantity.replace('_', ' ')} against time from {_spoken(times.low, times)} to {_spoken(times.high, times)}. {said}.",
        begin=frame.x(0.0) if times.low <= 0 <= times.high else None,
        level_from=frame.x(max(times.low, 0.0)),
        across=[(frame.x(t), _tick(t / times.scale)) for t in times.ticks],
        up=[(frame.y(v), _tick(v / level.scale)) for v in level.ticks],
        marks=[
            {"shape": mark.shape, "x": frame.x(mark.time), "y": frame.y(mark.value), "since": frame.x(mark.since)}
            for mark in marks
        ],
        envelopes=map(frame.points, envelopes),
        curves=map(frame.points, curves),
        jumps=map(frame.points, jumps),
        labels=list(_mark_labels(frame, marks, curves)),
        time_unit=times.unit, stem=stem, index=index, unit=level.unit,
    )  # fmt: skip


class _Frame:
    def __init__(self, times: _Axis, values: _Axis) -> None:
        self.times, self.values = times, values

    def x(self, time: float) -> float:
        share = (time - self.times.low) / (self.times.high - self.times.low)
        return LEFT + share * (WIDTH - LEFT - RIGHT)

    def y(self, value: float) -> float:
        share = (value - self.values.low) / (self.values.high - self.values.low)
        return HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM)

    def points(self, curve: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        return [(self.x(t), self.y(v)) for t, v in curve]

    @property
    def area(self) -> Box:
        """Within the axes."""
        return Box(LEFT, TOP, WIDTH - RIGHT, HEIGHT - BOTTOM)


def _sampled(piece: CurvePiece) -> list[tuple[float, float]]:
    step = (piece.end - piece.start) / SAMPLES
    return [(t, sample(piece.modes, t)) for t in (piece.start + k * step for k in range(SAMPLES + 1))]


def _envelopes(piece: CurvePiece, level: _Axis) -> list[list[tuple[float, float]]]:
    """Between which a decaying oscillation stays, as far as the axis reaches: the size of its turning term about the others."""
    turning = [mode for mode in piece.modes if mode.frequency]
    if len(turning) != 1 or turning[0].rate >= 0:
        return []
    (one,), others = turning, tuple(mode for mode in piece.modes if not mode.frequency)
    size = math.hypot(one.cosine, one.sine)
    bounds = (structs.replace(one, cosine=way * size, sine=0.0, frequency=0.0) for way in (1, -1))
    curves = (_sampled(replace(piece, modes=(*others, bound))) for bound in bounds)
    inside = ([(time, value) for time, value in curve if level.low <= value <= level.high] for curve in curves)
    return [curve for curve in inside if len(curve) > 1]


def _axis(low: float, high: float, dimension: Dimension, ticks: int, *, snug: bool) -> _Axis:
    """An axis with about that many ticks at 1, 2 or 5 times a power of ten; snug: not lengthened to whole ticks."""
    if high <= low:
        high = low + (abs(low) or 1.0)
    rough = (high - low) / ticks
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in (1, 2, 5, 10) if factor * power >= rough * 0.999)
    if not snug:
        low = math.floor(low / step + 1e-9) * step
        high = math.ceil(high / step - 1e-9) * step
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    scale, unit = prefixed_unit(max(abs(low), abs(high)), dimension)
    return _Axis(low, high, scale, unit, tuple(k * step for k in range(first, last + 1)))


def _mark_labels(
    frame: _Frame, marks: Sequence[LabelledInstant], curves: Sequence[Sequence[tuple[float, float]]]
) -> Iterator[tuple[float, float, str]]:
    """Labels beside what they mean, each where it covers neither a curve nor another label, as far as possible."""
    taken = [Box(x - 4, y - 4, x + 4, y + 4) for curve in curves for x, y in frame.points(curve)]
    for mark in marks:
        x, y, zero = frame.x(mark.time), frame.y(mark.value), frame.y(0.0)
        if mark.shape == "line":
            taken += [Box(k, y - 2, k + 8, y + 2) for k in range(LEFT, WIDTH - RIGHT, 8)]
        elif mark.shape == "diamond":
            taken += [Box(x - 2, k, x + 2, k + 8) for k in range(int(min(y, zero)), int(max(y, zero)), 8)]
    area = Box(LEFT, TOP - 4, WIDTH - 4, HEIGHT - BOTTOM)
    for mark in marks:
        width = text_width(mark.label, SIZE)
        x, y = frame.x(mark.time), frame.y(mark.value)
        places = [(dx, dy) for dy in (-10, 20, -26, 36, -42, 52) for dx in (10, 26, 44, 70, -10 - width)]
        if mark.shape == "line":
            x = WIDTH - RIGHT
            places = [(-width - 4, dy) for dy in (-9, 19, -25, 35)] + [(-width - 160, dy) for dy in (-9, 19)]
        boxes = [Box(x + dx, y + dy - SIZE, x + dx + width, y + dy + 4) for dx, dy in places]
        best = min(
            range(len(boxes)),
            key=lambda k: (sum(boxes[k].overlaps(box) for box in taken) + _outside(boxes[k], area), k),
        )
        taken.append(boxes[best])
        yield boxes[best].left, y + places[best][1], mark.label


def _outside(box: Box, area: Box) -> float:
    """How far a label sticks out of the drawing, in pixels."""
    return (
        max(area.left - box.left, 0)
        + max(box.right - area.right, 0)
        + max(area.top - box.top, 0)
        + max(box.bottom - area.bottom, 0)
    )


def _tick(number: float) -> str:
    return number_text(number).replace("-", "−")


def _spoken(value: float, axis: _Axis) -> str:
    return f"{number_text(value / axis.scale)} {axis.unit}".strip()
