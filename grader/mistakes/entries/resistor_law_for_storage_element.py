"""Ohm's law used for an inductor's voltage or a capacitor's current."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Capacitor, Signal, Storage
from grader.mistakes.case import AT, EXPRESSION, FINAL, INITIAL, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.records import OBSERVED, Mistake, Wrong
from grader.quantities.links import asked_value, own_signal
from grader.values.scalar import ONE
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """R times the inductor's current, or the capacitor's voltage over R, for the resistance seen and each resistor."""
    other = counterpart(case)
    if other is None:
        return
    element, state = other
    resistances = [
        ("the resistance seen", case.resistance(case.index, {})),
        *((r.name, r.value) for r in case.resistors),
    ]
    for name, ohms in resistances:
        if ohms is not None and ohms != 0:
            yield Wrong(state.scaled(ONE / ohms if isinstance(element, Capacitor) else ohms), f"with {name}")


def counterpart(case: Case) -> tuple[Storage, Waveform] | None:
    """For an inductor's voltage its current, for a capacitor's current its voltage: the right answer to the same find."""
    if case.signal is None or case.find not in (INITIAL, FINAL, EXPRESSION, AT):
        return None
    for element in case.storage:
        kind = "current" if isinstance(element, Capacitor) else "voltage"
        if case.signal == Signal(kind=kind, of=element.name):
            state = asked_value(case.question, own_signal(element))
            return None if state is None else (element, state)
    return None


ENTRY = Mistake(
    id="resistor-law-for-storage-element",
    title="Ohm's law used on a storage element",
    idea="A coil's voltage is L di/dt and a capacitor's current C dv/dt. Ohm's law belongs to resistors.",
    nudge="Which law belongs to the part whose voltage or current you want?",
    remark="The storage element's quantity was found by Ohm's law.",
    source=source.RESISTOR_LAW,
    prior=OBSERVED,
    wrong=wrong,
)
