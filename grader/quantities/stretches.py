"""Quantities of a stretch of time: the signal's pieces on it, and how they follow from the student's own expression."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from grader.quantities.crossing import Piece
from grader.quantities.links import EXPRESSION
from grader.quantities.question import Question
from grader.quantities.rules import Rule


def pieces_of(question: Question, *, lasting: bool = False) -> list[Piece]:
    """The signal's waveforms on the stretch of time asked, and the intervals on which they hold."""
    return [
        (question.solved.waveform(question.signal, index), start, end)
        for index, start, end in question.parts_of(*question.stretch(lasting=lasting))
    ]


def from_own_expression(question: Question, step: Any, *, lasting: bool = False) -> Iterator[Rule]:
    """What an earlier expression of the signal says, where one interval holds all of the stretch.

    ``step`` takes the named values, and ``start`` and ``end`` of the stretch.
    """
    start, end = question.stretch(lasting=lasting)
    parts = list(question.parts_of(start, end))
    if len(parts) != 1:
        return
    for item in question.earlier(EXPRESSION):
        if question.about(item) == 1 and question.index_of(item) == parts[0][0]:
            yield Rule(
                formula="x",
                uses=(("x", item.id),),
                says="This follows from your own expression.",
                step=partial(step, start=start, end=end),
            )
            return
