"""The wrong resistor on top of a divider's fraction."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from flint import fmpq

from grader.circuit.elements import Signal, VoltageSource
from grader.mistakes.altered import with_resistors_exchanged
from grader.mistakes.case import BEFORE, FINAL, INITIAL, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_states, some
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.waveform import Waveform

MAX_RESISTORS = 5
"""Above this the pairs are too many to say anything."""


def wrong(case: Case) -> Iterator[Wrong]:
    """Two resistors with each other's values, where that leaves what the sources deliver as it was."""
    if case.find not in (BEFORE, INITIAL, FINAL) or case.signal is None or len(case.resistors) > MAX_RESISTORS:
        return
    when = case.opens if case.find == FINAL else case.opened_before
    if case.find != FINAL and (case.index != 1 or any(element.initial is not None for element in case.storage)):
        return
    load = delivered(case, case, when)
    for one, other in combinations(case.resistors, 2):
        altered = case.on(with_resistors_exchanged(case.circuit, one.name, other.name))
        if one.value == other.value or delivered(case, altered, when) != load:
            continue
        static = altered.static(when, {})
        variant = f"{one.name} and {other.name}"
        if case.find == INITIAL:
            yield from some(from_states(case, altered.states(static)), variant)
        else:
            yield from some(altered.read(static), variant)


def delivered(case: Case, of: Case, when: fmpq | None) -> tuple[Waveform | None, ...]:
    """The current of every voltage source and the voltage of every current source."""
    static = of.static(when, {})
    return tuple(
        of.read(static, Signal(kind="current" if isinstance(s, VoltageSource) else "voltage", of=s.name))
        for s in case.sources
    )


ENTRY = Mistake(
    id="divider-upside-down",
    title="Divider upside down",
    idea=(
        "In a voltage divider the larger resistance has the larger voltage; in a current divider it has the "
        "smaller current. The wrong resistor stands on top of the fraction."
    ),
    nudge="Which branch should get more, the one with the larger or the one with the smaller resistance?",
    remark="Two resistors of a divider changed places.",
    source=source.REVIEW_STORAGE,
    prior=REPORTED,
    wrong=wrong,
)
