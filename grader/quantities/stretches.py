"""Quantities of a stretch of time: the signal's pieces on it, and how they follow from the student's own expression."""

from collections.abc import Callable, Collection, Iterator, Sequence
from functools import partial
from typing import Any

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import Circuit, CoupledInductors, Signal, Source, Storage
from grader.circuit.signals import Impulse
from grader.problem import Item
from grader.quantities.crossing import Piece
from grader.quantities.finding import Find
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
    """What earlier expressions of the signal say in the stretch, the solver's before the first of them.

    Behind an own one the solver's would begin where that does not end: how it goes on from there, `by_way_of_unasked` tells.
    ``step`` takes the named values, and the ``spans`` of the stretch.
    """
    written = [one for one in question.earlier(Find.EXPRESSION) if question.about(one) == 1]
    spans: list[tuple[str, fmpq, fmpq | None]] = []
    uses: list[tuple[str, str]] = []
    given: list[tuple[str, Waveform]] = []
    for piece, (index, start, end) in zip(
        pieces_of(question, lasting=lasting), question.parts_of(*question.stretch(lasting=lasting)), strict=True
    ):
        name = f"x{index}"
        spans.append((name, start, end))
        own = next((one for one in written if question.index_of(one) == index), None)
        if own is not None:
            uses.append((name, own.id))
        elif uses:
            return
        else:
            given.append((name, piece[0]))
    if uses:
        says = "This follows from your own expression."
        in_time = partial(step, spans=tuple(spans))
        yield Rule(formula="x", uses=tuple(uses), given=tuple(given), says=says, step=in_time)


def parts_asked(question: Question) -> Iterator[Item]:
    """What is summed over a stretch, asked for each of its parts between the actions; nothing where it has one alone."""
    parts = list(question.parts_of(*question.stretch(lasting=True)))
    for index, start, end in parts if len(parts) > 1 else ():
        opening = question.solved.intervals[index].start
        if opening is not None:
            begins = None if start == opening else start
            yield replace(question.item, id=f"x{index}", after=opening, start=begins, until=end, key=None)


def from_its_parts(question: Question) -> Iterator[Rule]:
    """What is summed over a stretch, from the own answers for its parts between the actions; the solver's where none was asked."""
    uses: list[tuple[str, str]] = []
    given: list[tuple[str, Waveform]] = []
    for part in parts_asked(question):
        counted = replace(question, item=part).stretch(lasting=True)
        for one in question.earlier(part.find):
            alike = (one.of, one.signal) == (part.of, part.signal)
            if alike and replace(question, item=one).stretch(lasting=True) == counted:
                uses.append((part.id, one.id))
                break
        else:
            given.append((part.id, question.answer_to(part)))
    if uses:
        says = "This follows from your own answers for the intervals that it spans."
        formula = "+".join(name for name, _ in (*uses, *given))
        yield Rule(formula=formula, uses=tuple(uses), given=tuple(given), says=says)


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
