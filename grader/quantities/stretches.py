"""Quantities of a stretch of time: the signal's pieces on it, and how they follow from the student's own expression."""

from collections.abc import Callable, Collection, Iterator, Sequence
from functools import partial
from typing import Any

from grader.circuit.elements import Circuit, CoupledInductors, Signal, Source, Storage
from grader.circuit.signals import Impulse
from grader.quantities.crossing import Piece
from grader.quantities.links import from_expression
from grader.quantities.question import Question
from grader.quantities.rules import Rule
from grader.quantities.steps import integral
from grader.values.waveform import Waveform


def pieces_of(question: Question, *, lasting: bool = False) -> list[Piece]:
    """The signal's waveforms on the stretch of time asked, and the intervals on which they hold."""
    return [
        (question.solved.waveform(question.signal, index), start, end)
        for index, start, end in question.parts_of(*question.stretch(lasting=lasting))
    ]


def ends_of(question: Question) -> tuple[Waveform, Waveform]:
    """The signal's value just after the switching, and what it tends to."""
    initial = question.solved.just_after(question.signal, question.index)
    final = question.solved.final(question.signal, question.index)
    return initial, final


def energy_taken(question: Question, names: Sequence[str], *, lasting: bool = True) -> Waveform:
    """The energy that elements take up in the stretch of time asked, from the switching on for good unless bounded."""
    begin, until = question.stretch(lasting=lasting)
    total = Waveform()
    for index, start, end in question.parts_of(begin, until):
        for name in names:
            total = total + integral(question.solved.waveform(Signal(kind="power", of=name), index), start, end)
    for impulse in question.solved.impulses:
        if impulse.element in names and begin <= impulse.time and (until is None or impulse.time < until):
            total = total + taken_at_once(question, impulse)
    return total


def taken_at_once(question: Question, impulse: Impulse) -> Waveform:
    """The energy that an element takes up by an impulse of current or voltage."""
    element, index = question.circuit.element(impulse.element), question.index_at(impulse.time)
    if isinstance(element, Source):
        level = question.solved.just_after(Signal(kind=element.delivers, of=element.name), index)
        return level * impulse.amount
    if isinstance(element, Storage):
        energy = Signal(kind="energy", of=element.name)
        return question.solved.just_after(energy, index) - question.solved.just_before(energy, index)
    return Waveform()


def from_own_expression(question: Question, step: Any, *, lasting: bool = False) -> Iterator[Rule]:
    """What an earlier expression of the signal says, where one interval holds all of the stretch.

    ``step`` takes the named values, and ``start`` and ``end`` of the stretch.
    """
    start, end = question.stretch(lasting=lasting)
    intervals = [index for index, _, _ in question.parts_of(start, end)]
    if len(intervals) == 1:
        says = "This follows from your own expression."
        yield from from_expression(question, partial(step, start=start, end=end), says, index=intervals[0])


def stored(circuit: Circuit, names: Collection[str], value: Callable[[Signal], Waveform]) -> Waveform:
    """``L i^2/2`` and ``C v^2/2`` of elements, and ``M i1 i2`` of coils named together; ``value`` is a signal's at some instant."""
    total = Waveform()
    for element in circuit.elements:
        if isinstance(element, CoupledInductors) and set(element.inductors) <= set(names):
            one, two = (value(Signal(kind="current", of=name)) for name in element.inductors)
            total = total + (one * two).scaled(element.mutual)
        elif element.name in names:
            total = total + value(Signal(kind="energy", of=element.name))
    return total
