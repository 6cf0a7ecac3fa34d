"""Circuits that repeat: a switch thrown whenever a capacitor's voltage or a coil's current reaches one of two levels.

Lamp flashers, relays with hysteresis and comparators' oscillators are of that kind.  In the first phase the switch stands as
before its first action, in the second as after it; in each the stored quantity runs from one level to the other.
"""

from collections.abc import Iterator
from itertools import islice
from typing import NamedTuple

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import ChangeoverSwitch, Circuit, Element, Storage, Switch, Switching
from grader.circuit.network import instants
from grader.circuit.response import solve
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.crossing import first_crossing
from grader.quantities.links import passives
from grader.quantities.names import element_values
from grader.quantities.quantities import quantity
from grader.quantities.question import Question
from grader.quantities.records import Asked
from grader.quantities.rules import Rule
from grader.quantities.words import phrase
from grader.values.dimension import NUMBER, TIME
from grader.values.scalar import Scalar, to_float
from grader.values.text import value_text
from grader.values.waveform import Waveform, number_of

LEVELS = ("low", "high")


class Phase(NamedTuple):
    """How long the switch stands one way (seconds), and the signal meanwhile: t counted anew, from and to which level."""

    lasting: Waveform
    waveform: Waveform
    first: Scalar
    last: Scalar


class Phases(NamedTuple):
    """The switch as before its first action, and as after it."""

    before: Phase
    after: Phase


def phases(question: Question) -> Phases:
    """Both phases of the cycle.

    Raises
    ------
    NotDefined
        If a level is not reached in one of them, or the circuit holds more than the one storage element asked.
    """
    circuit, item = question.circuit, question.item
    element = next((e for e in passives(circuit, question.signal) if e.stores == question.signal.kind), None)
    stored = [one for one in circuit.elements if isinstance(one, Storage)]
    if element is None or stored != [element]:
        raise NotDefined(
            "a circuit that repeats must hold one storage element, and its own voltage or current is watched"
        )
    low, high = levels(question.problem, item)
    if not to_float(low) < to_float(high):
        raise NotDefined("'low' must lie below 'high'")
    switch = circuit.element(item.by or "")
    before, after = (_phase(_held(circuit, switch, first), question, low, high) for first in (True, False))
    if before.first == after.first:
        raise NotDefined(f"the {phrase(item.signal)} runs the same way in both positions of {item.by}: nothing repeats")
    return Phases(before, after)


def _held(circuit: Circuit, switch: Element, first: bool) -> Circuit:
    """The circuit with the switch left where it stands before, or after, its first action."""
    if not isinstance(switch, Switching):
        raise NotDefined(f"'by' must name the switch that acts; {switch.name} is none")
    left = switch.standing(switch.before if first else switch.actions[0][1])
    held = circuit.altered(lambda one: left if one is switch else one)
    if any(time != 0 for time in instants(held)):
        raise NotDefined("something else acts in between; let the switch alone act")
    return held


def _phase(circuit: Circuit, question: Question, low: Scalar, high: Scalar) -> Phase:
    for first, last in ((low, high), (high, low)):
        started = tuple(replace(e, initial=first) if isinstance(e, Storage) else e for e in circuit.elements)
        solved = solve(Circuit(elements=started, ground=circuit.ground))
        waveform = solved.waveform(question.signal, len(solved.intervals) - 1)
        try:
            return Phase(first_crossing(waveform, last, fmpq(0), None), waveform, first, last)
        except NotDefined:
            continue
    raise NotDefined(f"in one position of {question.item.by} the {phrase(question.item.signal)} goes to neither level")


def levels(problem: Problem, item: Item) -> tuple[Scalar, Scalar]:
    """The two levels in SI base units.

    Raises
    ------
    ValueError
        With one sentence (without full stop) that says what is wrong.
    """
    assert item.signal is not None
    named = list(element_values(problem.circuit))
    values = {one.name: one.value for one in named}
    measures = {one.name: one.dimension for one in named}
    settings = dict(item.settings)
    found = [
        quantity(settings.get(key, ""), item.signal.dimension, values, measures=measures).waveform for key in LEVELS
    ]
    return number_of(found[0]), number_of(found[1])


def _levels_text(problem: Problem, item: Item) -> str:
    assert item.signal is not None
    dimension = item.signal.dimension
    low, high = (value_text(to_float(level), dimension).replace("-", "−") for level in levels(problem, item))
    return f"where {item.by} acts whenever the {phrase(item.signal)} reaches {low} or {high}"


class Period(Asked):
    """How long a circuit takes to repeat whose switch acts whenever a capacitor's voltage or coil's current reaches a level."""

    name = "period"
    measures = TIME

    def reference(self, question: Question) -> Waveform:
        before, after = phases(question)
        return before.lasting + after.lasting

    def text(self, problem: Problem, item: Item) -> str:
        return f"Period of the repeating circuit, {_levels_text(problem, item)}"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        if item.signal is None or problem.circuit is None:
            return ()
        try:
            levels(problem, item)
        except ValueError as error:
            return (f"'low' and 'high': {error}",)
        return ()


class DutyCycle(Period):
    """The share of the period in which the switch stands as after its first action: closed, where that closes it."""

    name = "duty cycle"
    measures = NUMBER

    def reference(self, question: Question) -> Waveform:
        before, after = phases(question)
        return after.lasting / (before.lasting + after.lasting)

    def rules(self, question: Question) -> Iterator[Rule]:
        for item in islice(question.earlier(Period.name), 1):
            says = "This follows from your own period."
            yield Rule(formula="w/x", uses=(("x", item.id),), given=(("w", phases(question).after.lasting),), says=says)

    def text(self, problem: Problem, item: Item) -> str:
        switch = problem.circuit.element(item.by or "") if problem.circuit is not None else None
        stands = ""
        if isinstance(switch, Switch):
            stands = "closed" if switch.actions[0][1] else "open"
        if isinstance(switch, ChangeoverSwitch):
            stands = f"at {switch.actions[0][1]}"
        return f"Share of the period in which {item.by} is {stands}, in per cent, {_levels_text(problem, item)}"
