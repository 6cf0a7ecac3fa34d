"""The storage element given a source's whole value at the start."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Signal, Storage
from grader.mistakes.case import BEFORE, Case
from grader.mistakes.propagate import from_states, some
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.quantities.links import own_signal
from grader.values.scalar import ONE, sign
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """Each capacitor at a voltage source's value, each inductor at a current source's or at V/R of one resistor."""
    if case.index != 1 or len(case.storage) != 1:
        return
    (element,) = case.storage
    right = case.solvers(BEFORE, own_signal(element))
    direction = -ONE if right is not None and right.is_number and sign(right.number) < 0 else ONE
    for value, variant in starts(case, element):
        start = value.scaled(direction if value.is_number and sign(value.number) > 0 else -direction)
        if case.find == BEFORE:
            if case.signal == own_signal(element):
                yield Wrong(start, variant)
        else:
            yield from some(from_states(case, {element.name: start}), variant)


def starts(case: Case, element: Storage) -> Iterator[tuple[Waveform, str]]:
    """The values of sources that the element may be given."""
    static = case.static(case.opened_before, {})
    for source_element in case.sources:
        kind = source_element.delivers
        value = case.read(static, Signal(kind=kind, of=source_element.name))
        if value is None or not value.terms:
            continue
        if kind == own_signal(element).kind:
            yield value, f"that of {source_element.name}"
        elif kind == "voltage":
            for resistor in case.resistors:
                yield value.scaled(ONE / resistor.value), f"{source_element.name}/{resistor.name}"


ENTRY = Mistake(
    id="source-value-taken-directly",
    title="Source value taken over directly",
    idea="The element was given the source's whole voltage or current, as if nothing on the way divided it.",
    nudge="Follow the path from the source to the element: does anything share the voltage or the current?",
    remark="The storage element was given a source's value (or one source over one resistor) as its start value.",
    source=NO_SOURCE,
    prior=SUPPOSED,
    wrong=wrong,
)
