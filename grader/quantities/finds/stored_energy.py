"""The energy that capacitors and inductors store at an instant; without ``at``, after a long time."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.circuit.elements import Capacitor, CoupledInductors, Inductor, Signal
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.links import EXPRESSION, FINAL, INITIAL, JUST_BEFORE, is_signal, own_signal
from grader.quantities.question import Question, time_text
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.values.dimension import ENERGY, Dimension
from grader.values.scalar import HALF
from grader.values.waveform import Waveform, constant


def dimension(problem: Problem, item: Item) -> Dimension:  # noqa: ARG001 - one signature for every entry
    """An energy."""
    return ENERGY


def reference(question: Question) -> Waveform:
    """``L i^2/2`` or ``C v^2/2``, added up over the elements named."""
    total = Waveform()
    for name in question.item.of:
        signal = Signal(kind="energy", of=name)
        if question.item.at is None:
            total = total + question.solved.final(signal, question.index)
        else:
            waveform = question.solved.waveform(signal, question.index_at(question.item.at))
            total = total + waveform.at(question.item.at)
    return total


def rules(question: Question) -> Iterator[Rule]:
    """From the own current or voltage: asked at that instant, or by the own expression."""
    if len(question.item.of) != 1:
        return
    element = question.circuit.element(question.item.of[0])
    if not isinstance(element, (Capacitor, Inductor)):
        return
    own = own_signal(element)
    symbol = "C" if isinstance(element, Capacitor) else "L"
    for item, find in _states(question):
        if is_signal(question.circuit, item, own):
            at = question.item.at
            yield Rule(
                formula=f"(1/2)*{symbol}*x^2",
                uses=(("x", item.id),),
                given=((symbol, constant(element.value)), ("k", constant(element.value * HALF))),
                says=f"This follows from your own {own.kind} of {element.name}.",
                step=partial(steps.weighted_square, time=at) if find == EXPRESSION else None,
            )
            return


def _states(question: Question) -> Iterator[tuple[Item, str]]:
    """Earlier items that give a state at the instant asked, best first."""
    at = question.item.at
    if at is None:
        yield from ((item, FINAL) for item in question.earlier_here(FINAL))
    else:
        yield from ((item, "value at") for item in question.earlier("value at") if item.at == at)
        for find in (INITIAL, JUST_BEFORE):
            for item in question.earlier(find):
                if question.solved.intervals[question.index_of(item)].start == at:
                    yield item, find
    for item in question.earlier(EXPRESSION):
        if question.index_of(item) == (question.index if at is None else question.index_at(at)):
            yield item, EXPRESSION


def faults(problem: Problem, item: Item) -> tuple[str, ...]:
    """Only storage elements store energy."""
    if problem.circuit is None:
        return ()
    storing = [e.name for e in problem.circuit.elements if isinstance(e, (Capacitor, Inductor, CoupledInductors))]
    known = [element.name for element in problem.circuit.elements]
    return tuple(
        f"'of': {name} stores no energy; name a capacitor or an inductor"
        for name in item.of
        if name in known and name not in storing
    )


def text(problem: Problem, item: Item) -> str:  # noqa: ARG001 - one signature for every entry
    """As on the answer sheet."""
    when = "after a long time" if item.at is None else f"at t = {time_text(item.at)}"
    return f"Energy stored in {' and '.join(item.of)} {when}"


ENTRY = Asked(
    name="stored energy",
    needs=("of",),
    allows=("at", "after"),
    dimension=dimension,
    reference=reference,
    rules=rules,
    text=text,
    faults=faults,
    sample=Sample(circuit="relay", item='of = "L1"\nat = "0 s"', answer="9/4"),
)
