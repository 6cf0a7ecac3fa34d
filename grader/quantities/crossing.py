"""The instants at which a waveform has a given value, found by isolating the roots of an exponential polynomial.

Every root up to an instant is enclosed in an interval of its own by ball arithmetic: an interval on which the enclosure
of the function excludes zero holds none, one on which that of its derivative does holds at most one, and any other is
halved.  How far to look follows from the term that outgrows all others: past the instant where it does there is no root
left, or, where it oscillates about zero, always a next one.

References
----------
R. E. Moore, Interval Analysis, Prentice-Hall 1966, chapter 7: enclosures, the mean value form (from memory).
"""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import flint
from flint import arb, fmpq
from msgspec import structs

from grader.errors import NotDefined
from grader.problem import Item
from grader.quantities.question import time_text
from grader.values.functions import log
from grader.values.scalar import ONE, ZERO, Scalar, approximate, is_symbolic, sign, to_arb, to_float, working_precision
from grader.values.waveform import NotAWaveform, Waveform, constant

RISING, FALLING = "rising", "falling"

NARROW = 2.0**-40
"""An interval this narrow (as a share of where it lies) is halved no further: the function touches zero there, or not."""

TOUCHES = 1e-9
"""A turning point this near the level (as a share of the sum of the terms' sizes there) touches it."""

MAX_INTERVALS = 60_000
"""Most intervals looked at; a response that turns some thousand times on the way needs as many."""

Piece = tuple[Waveform, fmpq, fmpq | None]
"""A waveform in global t and the interval (seconds) on which it holds."""


class Crossing(NamedTuple):
    """A root, in seconds from the start, and which way the waveform passes it: 1 upwards, -1 downwards, 0 touching."""

    time: fmpq
    way: int


def counted(item: Item) -> tuple[int, str]:
    """Which crossing an item means, and whether only rising or falling ones count."""
    settings = dict(item.settings)
    return int(settings.get("crossing", "1")), settings.get("direction", "")


def first_crossing(
    waveform: Waveform, level: Scalar, start: fmpq, end: fmpq | None, *, number: int = 1, direction: str = ""
) -> Waveform:
    """The first (or a later) instant after ``start`` at which a waveform equals a level; see `crossing`."""
    return crossing([(waveform, start, end)], level, number=number, direction=direction)


def crossing(pieces: Sequence[Piece], level: Scalar, *, number: int = 1, direction: str = "") -> Waveform:
    """The first (or a later) instant at which a signal equals a level.

    Parameters
    ----------
    pieces : sequence of (Waveform, fmpq, fmpq or None)
        The signal in global t (seconds), and the interval on which each waveform holds.  The opening instant does not
        count: having the value there is not reaching it, and neither is a jump past it.
    level : Scalar
        In the waveform's unit.
    number : int
        Which of the crossings, from 1.
    direction : str
        `RISING` or `FALLING`: count those only; "": every one, and touching the level too.

    Returns
    -------
    Waveform
        A number, in seconds, on the same clock, to 50 digits.

    Raises
    ------
    NotDefined
        If it never has that value (so often), has it all the time, or holds symbols.
    """
    if is_symbolic(level) or any(waveform.is_symbolic for waveform, _, _ in pieces):
        return _in_letters(pieces, level)
    wanted = {RISING: (1,), FALLING: (-1,), "": (1, -1, 0)}[direction]
    differing = [(waveform - constant(level), start, end) for waveform, start, end in pieces]
    if not any(difference.terms for difference, _, _ in differing):
        raise NotDefined("the signal has that value all the time")
    left = number
    for difference, start, end in differing:
        local = difference.delayed(-start)
        span = None if end is None else end - start
        for instant, way in _passed(local, span) if difference.terms else ():
            left -= way in wanted
            if left == 0:
                return instant + constant(start)
    raise NotDefined(_missed(number, direction, pieces[-1][2]))


def _in_letters(pieces: Sequence[Piece], level: Scalar) -> Waveform:
    """The crossing of one exponential in symbols, where their ratio leaves a number: ``R C ln 2``."""
    waveform, start, end = pieces[0]
    local = (waveform - constant(level)).delayed(-start)
    flat = Waveform(tuple(term for term in local.terms if term.rate == 0), local.exact)
    falling = [term for term in local.terms if term.rate != 0]
    if len(falling) == 1 and end is None and all(term.power == 0 and term.frequency == 0 for term in local.terms):
        ratio = -(flat / Waveform((structs.replace(falling[0], rate=ZERO),), local.exact))
        if ratio.is_number and not ratio.is_symbolic:
            if not (ratio.value() > 0 and (ratio.value() - 1) * sign(falling[0].rate) > 0):
                raise NotDefined("the signal never reaches that value")
            return log(ratio).scaled(ONE / falling[0].rate) + constant(start)
    raise NotDefined(
        "with these letters the instant has no closed form here; let the level be a share of the whole change"
    )


def _missed(number: int, direction: str, end: fmpq | None) -> str:
    often = f" {number} times" if number > 1 else ""
    way = f" {direction}" if direction else ""
    if end is not None:
        return f"the signal does not reach that value{way}{often} before t = {time_text(end)}"
    return f"the signal does not reach that value{way}{often}" if often else f"the signal never reaches that value{way}"


def _passed(local: Waveform, span: fmpq | None) -> Iterator[tuple[Waveform, int]]:
    """The roots of a waveform after t = 0 and which way it passes them: by the logarithm where it has one shape alone."""
    single = _single_exponential(local)
    if single is None:
        yield from ((constant(found.time, exact=False), found.way) for found in crossings(local, span))
    elif single.terms and (time := single.value()) > 0 and (span is None or time <= to_float(span)):
        yield single, -1 if local.at(ZERO).value() > 0 else 1


def _single_exponential(local: Waveform) -> Waveform | None:
    """The root of ``b + a e^(s t)``, from the logarithm; None where the waveform has another shape."""
    flat = [t for t in local.terms if t.rate == 0]
    falling = [t for t in local.terms if t.rate != 0]
    if len(falling) == 1 and all(t.power == 0 and t.frequency == 0 for t in local.terms):
        term = falling[0]
        ratio = Waveform(tuple(flat), local.exact) / Waveform((structs.replace(term, rate=ZERO),), local.exact)
        try:
            return log(-ratio).scaled(ONE / term.rate)
        except NotAWaveform:
            return constant(ZERO)  # it keeps its sign
    return None


def crossings(local: Waveform, span: fmpq | None) -> Iterator[Crossing]:
    """Every root of a waveform for 0 < t <= span (for all later t where that is None), in order of time.

    Raises
    ------
    NotDefined
        If it turns so often that none could be found within `MAX_INTERVALS`.
    """
    with working_precision():
        isolated = _Isolated(local)
        last = min(math.inf if span is None else to_float(span), isolated.horizon())
    for low, high in isolated.stretches(last):
        with working_precision():  # not around the yield: what the caller does is none of its business
            found = list(isolated.between(low, high))
        yield from found


def last_crossing(local: Waveform) -> fmpq | None:
    """When a waveform that tends to another value than zero is zero for the last time; None where it never is."""
    with working_precision():
        isolated = _Isolated(local)
        for low, high in reversed(list(isolated.stretches(isolated.horizon()))):
            for found in isolated.between(low, high, backwards=True):
                return found.time
    return None


class _Term(NamedTuple):
    """A term in balls: ``t**power e^(rate t) (cosine cos + sine sin)(frequency t)``."""

    cosine: arb
    sine: arb
    power: int
    rate: arb
    frequency: arb


class _Isolated:
    """A waveform, its derivative and its second one as ball functions of the time since the start."""

    def __init__(self, local: Waveform) -> None:
        self.waveform = local
        self.modes = local.modes()
        scales = [max(abs(m.rate), m.frequency) for m in self.modes]
        self.shortest = 1 / max(scales) if any(scales) else 1.0
        self.value, self.slope, self.curve = (
            _balls(w) for w in (local, local.derivative(), local.derivative().derivative())
        )
        self.looked_at = 0
        self.touched = -math.inf

    def horizon(self) -> float:
        """An instant past which there is no root; infinity where there is always a next one.

        Raises
        ------
        NotDefined
            If the largest term oscillates so that this stays open.
        """
        top = max((m.rate, m.power) for m in self.modes)
        leading = [m for m in self.modes if (m.rate, m.power) == top]
        steady = abs(sum(m.cosine for m in leading if not m.frequency))
        swing = sum(math.hypot(m.cosine, m.sine) for m in leading if m.frequency)
        margin = steady - swing
        if margin <= TOUCHES * (steady + swing):
            return math.inf
        others = [m for m in self.modes if m not in leading]
        time = self.shortest
        while True:  # each ratio to the leading term falls once t > power / rate of the ratio
            falls = all(m.power - top[1] <= (top[0] - m.rate) * time for m in others)
            ratio = sum(_ratio(m.power - top[1], m.rate - top[0], time) * math.hypot(m.cosine, m.sine) for m in others)
            if falls and ratio < margin / 2:
                return time
            time *= 2

    def leaving_zero(self) -> float:
        """0, or, where the waveform is zero at the start, an instant up to which it has no further root."""
        derivative = self.waveform
        size = sum(math.hypot(m.cosine, m.sine) for m in self.modes)
        at_start = derivative.at(ZERO)
        if at_start.terms and abs(at_start.value()) > 1e-12 * size:
            return 0.0
        while not (slope := derivative.at(ZERO)).terms or abs(slope.value()) <= 1e-12 * size:
            derivative, size = derivative.derivative(), size / self.shortest
            if not derivative.terms or not 0 < size < math.inf:
                return 0.0  # nothing but rounding
        balls, time = _balls(derivative), self.shortest
        while _excludes_zero(balls, 0.0, time) is False:
            time /= 2
        return time

    def stretches(self, last: float) -> Iterator[tuple[float, float]]:
        """The time up to an instant in intervals, each twice as long as the one before."""
        with working_precision():
            low = self.leaving_zero()
        width = low or self.shortest / 8
        while low < last:
            high = min(low + width, last)
            yield low, high
            low, width = high, width * 2

    def between(self, low: float, high: float, *, backwards: bool = False) -> Iterator[Crossing]:
        """The roots of an interval in order, the first or the last one first, by halving."""
        waiting = [(low, high)]
        while waiting:
            a, b = waiting.pop()
            self.looked_at += 1
            if self.looked_at > MAX_INTERVALS:
                raise NotDefined(
                    f"the signal turns too often before t = {a:.4g} s; whether it reaches that value is open"
                )
            if self._empty(a, b):
                continue
            if _excludes_zero(self.slope, a, b):
                if (way := self._way(a, b)) != 0:
                    yield Crossing(self._refined(a, b), way)
                continue
            middle = (a + b) / 2
            if (b - a) <= NARROW * b or middle in (a, b):
                turn = self._turning(middle)
                if abs(turn - self.touched) > self.shortest * 1e-3 and self._touches(turn):
                    self.touched = turn
                    yield Crossing(approximate(arb(turn)), 0)
                continue
            waiting += [(a, middle), (middle, b)] if backwards else [(middle, b), (a, middle)]

    def _empty(self, a: float, b: float) -> bool:
        """Whether the waveform has no root on an interval: by its enclosure, or by its mean value form."""
        if _excludes_zero(self.value, a, b):
            return True
        middle, half = (a + b) / 2, (b - a) / 2
        spread = _enclosed(self.slope, arb(middle, half)) * arb(0, half)
        return not (_enclosed(self.value, arb(middle)) + spread).contains(0)

    def _way(self, a: float, b: float) -> int:
        """1 where a monotonic waveform passes zero upwards in (a, b], -1 downwards, 0 not at all."""
        before, after = (_sign(_enclosed(self.value, arb(t))) for t in (a, b))
        if before in {0, after}:  # a root at the lower end was found in the interval before
            return 0
        return -before

    def _refined(self, a: float, b: float) -> fmpq:
        """The one root between two instants of opposite sign: halving, then Newton's steps to all digits carried."""
        before = _sign(_enclosed(self.value, arb(a)))
        for _ in range(60):
            middle = (a + b) / 2
            if middle in (a, b):
                break
            a, b = (middle, b) if _sign(_enclosed(self.value, arb(middle))) == before else (a, middle)
        time = arb((a + b) / 2)
        for _ in range(4):
            step = _enclosed(self.value, time) / _enclosed(self.slope, time)
            if not step.is_finite() or abs(float(step.mid())) > (b - a) + 1e-12 * abs(b):
                break
            time = (time - step).mid()
        return approximate(time)

    def _turning(self, time: float) -> float:
        """The turning point nearest an instant, by Newton's steps on the slope."""
        for _ in range(4):
            at = arb(time)
            step = _enclosed(self.slope, at) / _enclosed(self.curve, at)
            if not step.is_finite() or abs(float(step.mid())) > self.shortest * 1e-2:
                break
            time -= float(step.mid())
        return time

    def _touches(self, time: float) -> bool:
        """Whether a turning point is so near zero that the difference is nothing but rounding."""
        size = sum(math.hypot(m.cosine, m.sine) * _ratio(m.power, m.rate, time) for m in self.modes)
        return abs(self.waveform.value(time)) <= TOUCHES * size


def _ratio(power: int, rate: float, time: float) -> float:
    """``t^power e^(rate t)``, without overflow."""
    try:
        return math.exp(rate * time + (power * math.log(time) if power else 0.0))
    except OverflowError:
        return math.inf


def _balls(waveform: Waveform) -> tuple[_Term, ...]:
    terms = []
    for t in waveform.terms:
        sine, cosine = to_arb(t.phase).sin_cos()
        size = to_arb(t.offset).exp()
        a, b = to_arb(t.cosine) * size, to_arb(t.sine) * size
        turned = a * cosine + b * sine, b * cosine - a * sine
        terms.append(_Term(*turned, t.power, to_arb(t.rate), to_arb(t.frequency)))
    return tuple(terms)


def _enclosed(terms: Sequence[_Term], time: arb) -> arb:
    """A ball that holds every value of a function on a ball of instants."""
    total = arb(0)
    for term in terms:
        sine, cosine = (term.frequency * time).sin_cos()
        for _ in range(term.power):  # a power of a ball that holds zero is undefined, a product is not
            cosine, sine = cosine * time, sine * time
        total += (term.rate * time).exp() * (term.cosine * cosine + term.sine * sine)
    return total


def _excludes_zero(terms: Sequence[_Term], a: float, b: float) -> bool:
    found = _enclosed(terms, arb((a + b) / 2, (b - a) / 2))
    return bool(found.is_finite()) and not found.contains(0)


def _sign(ball: flint.arb) -> int:
    return 1 if ball > 0 else -1 if ball < 0 else 0
