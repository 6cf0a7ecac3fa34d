"""Largest and smallest values and overshoots: where the derivative is zero, and what the signal is there."""

import math
from collections.abc import Sequence

from grader.quantities.crossing import Piece
from grader.quantities.extremes import Extreme, beyond, extreme
from grader.quantities.question import Question
from grader.quantities.stretches import pieces_of
from grader.reports.item_lines.derivation import Derivation, put_in
from grader.reports.item_lines.times import derivative_line
from grader.solution import BoardLine
from grader.solution.formula import Formula, added, amount, function, name, number, whole
from grader.solution.words import ANGULAR, instant_text, value_line
from grader.values.dimension import RATE, TIME
from grader.values.scalar import to_float
from grader.values.term import TermMode
from grader.values.waveform import Waveform, number_of

PI = name("π")


def extreme_value(question: Question, *, way: int) -> Derivation | None:
    """The largest value (``way`` is 1), or the smallest (−1)."""
    pieces = pieces_of(question)
    found = extreme(pieces, way)
    left = name(f"{question.signal.symbol[0]}_{'max' if way > 0 else 'min'}")
    if (turned := _turning_point(question, pieces, found)) is not None:
        *before, last = turned
        return Derivation((left, *last.sides), found.value.value(), tuple(before))
    return Derivation((left, _at_an_end(question, found)), found.value.value())


def time_of_extreme(question: Question, *, way: int) -> Derivation | None:
    """Where it is largest, or smallest."""
    pieces = pieces_of(question)
    found = extreme(pieces, way)
    assert found.time is not None
    if (turned := _turning_point(question, pieces, found)) is not None:
        slope, instant, _ = turned
        return Derivation(instant.sides, found.time.value(), (slope,))
    ends = value_line(_at_an_end(question, found), value=found.value, dimension=question.signal.dimension)
    return Derivation((name("t"),), found.time.value(), (ends,))


def _at_an_end(question: Question, found: Extreme) -> Formula:
    """The value at an end of the time asked, or what is tended to."""
    stem = question.signal.symbol
    if found.time is None:
        return name(f"{stem}(∞)")
    time = number_of(found.time)
    side = "+" if time == question.start else ""
    return name(f"{stem}({instant_text(time, side)})")


def _turning_point(question: Question, pieces: Sequence[Piece], found: Extreme) -> tuple[BoardLine, ...] | None:
    """The derivative, the instant at which it is zero, the signal there; None where the signal does not turn there."""
    if found.time is None:
        return None
    time = number_of(found.time)
    for waveform, start, end in pieces:
        if start < time and (end is None or time < end):
            slope, index = waveform.derivative(), question.index_at(time)
            opened = question.solved.opening(index)
            instant = _zero(slope.delayed(-opened), to_float(time - opened))
            if instant is not None and opened:
                instant = amount(opened, TIME) + instant
            sides = [name("t_m")] if instant is None else [name("t_m"), instant]
            label = "derivative 0, by trial" if instant is None else "derivative 0"
            return (
                derivative_line(question, index),
                value_line(*sides, value=found.time, dimension=TIME, label=label),
                put_in(question, time, index),
            )
    return None


def _zero(slope: Waveform, time: float) -> Formula | None:
    """Where a derivative of second order is zero, time counted from its own start; None where no formula gives that."""
    modes = sorted(slope.modes(), key=lambda mode: (mode.power, mode.rate))
    found = _of_two_exponentials(modes) or _of_equal_roots(modes) or _of_a_wave(modes, time)
    return found[0] if found is not None and math.isclose(found[1], time, rel_tol=1e-6) else None


def _of_two_exponentials(modes: Sequence[TermMode]) -> tuple[Formula, float] | None:
    """``a e^(s1 t) = b e^(s2 t)``: the logarithm of b/a over s1 − s2."""
    if len(modes) != 2 or any(mode.frequency or mode.power or not mode.rate for mode in modes):
        return None
    fast, slow = modes
    ratio, apart = -fast.cosine / slow.cosine, slow.rate - fast.rate
    if ratio <= 0:
        return None
    sizes = number(abs(fast.cosine)) / number(abs(slow.cosine))
    return function("ln", sizes) / amount(apart, RATE), math.log(ratio) / apart


def _of_equal_roots(modes: Sequence[TermMode]) -> tuple[Formula, float] | None:
    """``(a + b t) e^(s t)``: −a/b."""
    if len(modes) != 2 or modes[0].rate != modes[1].rate or [mode.power for mode in modes] != [0, 1]:
        return None
    plain, ramp = modes
    if plain.frequency or ramp.frequency or plain.cosine * ramp.cosine >= 0:
        return None
    return number(abs(plain.cosine)) / amount(abs(ramp.cosine), RATE), -plain.cosine / ramp.cosine


def _of_a_wave(modes: Sequence[TermMode], time: float) -> tuple[Formula, float] | None:
    """``a cos ωt + b sin ωt``, damped or not: tan ωt = −a/b, the turn that is meant."""
    if len(modes) != 1 or not modes[0].frequency or modes[0].power:
        return None
    (wave,) = modes
    omega = amount(wave.frequency, RATE, ANGULAR)
    if abs(wave.cosine) <= 1e-12 * abs(wave.sine):
        half_turns = round(wave.frequency * time / math.pi)
        return (PI if half_turns == 1 else whole(half_turns) * PI) / omega, half_turns * math.pi / wave.frequency
    angle = math.atan2(abs(wave.cosine), abs(wave.sine))
    opposite = wave.cosine * wave.sine > 0
    first = function("arctan", number(abs(wave.cosine)) / number(abs(wave.sine)))
    turned = -angle if opposite else angle
    half_turns = round((wave.frequency * time - turned) / math.pi)
    sides = [-first if opposite else first]
    if half_turns:
        sides.insert(0, PI if half_turns == 1 else whole(half_turns) * PI)
    return added(sides) / omega, (turned + half_turns * math.pi) / wave.frequency


def overshoot(question: Question) -> Derivation | None:
    """The farthest value past the final one, less that; as a share of the whole change where asked."""
    solved, signal, index = question.solved, question.signal, question.index
    initial, final = solved.just_after(signal, index), solved.final(signal, index)
    pieces = pieces_of(question)
    peak = beyond(pieces, initial, final)
    turned = _turning_point(question, pieces, peak)
    if turned is None:
        return None
    stem, dimension = signal.symbol, signal.dimension
    top, rest, begins = name(f"{stem}(t_m)"), name(f"{stem}(∞)"), name(f"{stem}({instant_text(question.start, '+')})")
    over, change = peak.value - final, final - initial
    reached, settled, started = (amount(value, dimension) for value in (peak.value, final, initial))
    if question.item.find == "percent overshoot":
        sides = ((top - rest) / (rest - begins), (reached - settled) / (settled - started))
        return Derivation(sides, (over / change).value(), turned)
    sides = (top - rest, reached - settled) if change.value() > 0 else (rest - top, settled - reached)
    return Derivation(sides, abs(over.value()), turned)


def peak_time(question: Question) -> Derivation | None:
    """The instant of the farthest value past the final one."""
    solved, signal, index = question.solved, question.signal, question.index
    pieces = pieces_of(question)
    peak = beyond(pieces, solved.just_after(signal, index), solved.final(signal, index))
    turned = _turning_point(question, pieces, peak)
    if turned is None or peak.time is None:
        return None
    slope, instant, _ = turned
    return Derivation(instant.sides, peak.time.value(), (slope,))
