"""What holds when: unit steps and expressions by ranges of t.

An answer is worked out for one instant on; what changes later is noted, and worked out from there.
"""

from typing import Any, Protocol

from flint import fmpq

from grader.reading.tree import Pieces, Step, WaveformPiece
from grader.reading.value.worth import Worth, numeric
from grader.values.scalar import ONE, ZERO
from grader.values.waveform import NotAWaveform, number_of


class Clock(Protocol):
    """The walk over a tree, as far as instants matter.

    ``start`` is the instant (seconds) asked from, ``silent`` is set where no range holds there, ``instants`` gathers those at
    which something changes, and ``time_scale`` is how many units of the answer's t make a second (None: t counts in
    seconds).
    """

    start: fmpq
    instants: set[fmpq]
    time_scale: fmpq | None
    silent: bool

    def of(self, node: Any) -> Worth:
        """What a node is worth."""


def step(work: Clock, node: Step) -> Worth:
    """A unit step: 1 where it has happened, 0 before; it needs an argument that is linear in t."""
    value, _ = work.of(node.argument)
    argument = numeric(value)
    slope = argument.derivative()
    if not slope.is_number:
        raise NotAWaveform("a unit step needs a number times t plus a number")
    if not slope.terms:
        return (ONE if number_of(argument) >= 0 else ZERO), None
    instant = -number_of(argument.at(ZERO)) / number_of(slope)
    work.instants.add(instant)
    rising = number_of(slope) > 0
    return (ONE if (work.start >= instant) == rising else ZERO), None


def pieces(work: Clock, node: Pieces) -> Worth:
    """The piece that holds from the instant asked on; a single range is taken as said of the interval asked."""
    if len(node.pieces) == 1:
        work.silent = not _holds(work, node.pieces[0])
        return work.of(node.pieces[0].operand)
    for piece in node.pieces:
        begin, end = (_instant(work, bound) for bound in (piece.start, piece.end))
        work.instants.update(instant for instant in (begin, end) if instant is not None)
    for piece in node.pieces:
        if _holds(work, piece):
            return work.of(piece.operand)
    work.silent = True
    return ZERO, None


def _holds(work: Clock, piece: WaveformPiece) -> bool:
    begin, end = _instant(work, piece.start), _instant(work, piece.end)
    return (begin is None or begin <= work.start) and (end is None or work.start < end)


def _instant(work: Clock, node: Any | None) -> fmpq | None:
    """An end of a range, in seconds."""
    if node is None:
        return None
    value, dimension = work.of(node)
    instant = number_of(numeric(value))
    return instant / work.time_scale if dimension is None and work.time_scale is not None else instant
