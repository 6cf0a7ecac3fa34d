"""How one answer is derived, and the pieces that several derivations share."""

from typing import NamedTuple

from flint import fmpq

from grader.circuit.elements import Signal
from grader.quantities.question import Question
from grader.solution import BoardLine
from grader.solution.formula import Formula, amount, name
from grader.solution.words import at_instant, instant_text, value_line
from grader.values.dimension import TIME
from grader.values.scalar import ONE, ZERO, Scalar, sign
from grader.values.waveform import Waveform

TAU = name("τ")


class Derivation(NamedTuple):
    """Formulas of an answer, in letters and with figures; the value that these give (SI); lines that lead there."""

    sides: tuple[Formula, ...]
    value: float | Waveform
    before: tuple[BoardLine, ...] = ()


class Decay(NamedTuple):
    """A signal of one interval that goes from one value to another in a single exponential; SI units."""

    start: fmpq
    first: Waveform
    final: Waveform
    tau: Scalar


def decay(question: Question, signal: Signal) -> Decay | None:
    """None where the response is of another form."""
    solved, index = question.solved, question.index
    moving = {(t.rate, t.frequency, t.power) for t in solved.waveform(signal, index).terms} - {(ZERO, ZERO, 0)}
    if len(moving) != 1:
        return None
    ((rate, frequency, power),) = moving
    if frequency or power or sign(rate) >= 0:
        return None
    first, final = solved.just_after(signal, index), solved.final(signal, index)
    return Decay(question.start, first, final, -ONE / rate)


def just_after(question: Question) -> str:
    """The opening instant, as it stands in brackets."""
    return instant_text(question.start, "+")


def expression_line(question: Question, signal: Signal, index: int, *sides: Formula) -> BoardLine:
    """A signal as an expression in t on an interval."""
    return BoardLine(
        sides=(name(f"{signal.symbol}(t)"), *sides),
        value=question.solved.waveform(signal, index),
        dimension=signal.dimension,
        start=question.solved.intervals[index].start,
    )


def put_in(question: Question, time: fmpq, index: int | None = None, left: str = "", order: int = 0) -> BoardLine:
    """An instant (s) put into the expression of the signal asked, or into its derivative of an ``order``."""
    signal, index = question.signal, question.index_at(time) if index is None else index
    whole, opened = question.solved.waveform(signal, index), question.solved.intervals[index].start
    stem, dimension = signal.symbol, signal.dimension
    if order:
        square = "²" if order == 2 else ""
        stem = f"d{square}{stem}/dt{square}"
    for _ in range(order):
        whole, dimension = whole.derivative(), dimension.over(TIME)
    when = instant_text(time, "+" if order and time == opened else "")
    sides = [name(left)] if left else []
    sides.append(name(f"{stem}({when})"))
    if not whole.is_constant:
        sides.append(at_instant(whole, dimension, fmpq(0) if opened is None else opened, time))
    value = whole.at(time)
    return value_line(*sides, value=value, dimension=dimension)


def by_trial(question: Question, time: fmpq, level: Waveform) -> BoardLine:
    """An instant found numerically, put into the expression: it gives the level."""
    line = put_in(question, time, question.index)
    return BoardLine(label="by trial", sides=(*line.sides, amount(level, line.dimension)))
