"""The circuit itself misread: its switches, its sources, its dividers."""

from collections.abc import Iterator
from contextlib import suppress
from itertools import combinations

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import DependentSource, IdealTransformer, Signal, Switching
from grader.errors import CircuitError, NotDefined
from grader.mistakes.altered import (
    with_gain_times,
    with_ratio,
    with_source_times,
    with_switch_left,
    with_switches_reversed,
    with_values_exchanged,
)
from grader.mistakes.case import Case
from grader.mistakes.propagate import from_expression, from_states, some
from grader.mistakes.records import Wrong, mistake
from grader.quantities.finding import Find
from grader.quantities.rules import Answer
from grader.values.scalar import ONE, ZERO, Scalar
from grader.values.waveform import Waveform


@mistake
def switch_read_backwards(case: Case) -> Iterator[Wrong]:
    """The circuit with every switch doing the opposite; what the interval before has, and a nothing that is no current or voltage, need no such reading."""
    found = case.answer_on(with_switches_reversed(case.circuit))
    nothing = case.signal is None and isinstance(found, Waveform) and not found.terms
    if not nothing and (case.index < 2 or found != _in_interval_before(case)):
        yield from some(found)


def _in_interval_before(case: Case) -> Answer | None:
    """The same quantity of the interval before a later action."""
    before = replace(case.item, after=case.solved.opening(case.index - 1))
    with suppress(CircuitError, NotDefined):
        answer: Answer = case.question.answer_to(before)
        return answer
    return None


@mistake
def switch_action_missed(case: Case) -> Iterator[Wrong]:
    """The circuit with each acting switch left in turn."""
    acting = [e for e in case.circuit.elements if isinstance(e, Switching) and e.actions]
    if len(acting) < 2:
        return
    for switch in acting:
        yield from some(case.answer_on(with_switch_left(case.circuit, switch.name)), f"{switch.name} left")


@mistake
def interval_before_kept(case: Case) -> Iterator[Wrong]:
    """The signal of the interval before a later action, as an expression or at an instant after it."""
    if case.index < 2 or case.signal is None or case.find not in (Find.EXPRESSION, Find.AT):
        return
    kept = case.solved.waveform(case.signal, case.index - 1)
    yield from some(from_expression(case, kept))


@mistake
def one_source_lost(case: Case) -> Iterator[Wrong]:
    """The circuit with each independent source at zero in turn."""
    yield from each_source_times(case, ZERO, "without {}")


@mistake
def dependent_source_left_out(case: Case) -> Iterator[Wrong]:
    """A signal with each dependent source at zero in turn; a resistance seen without it has a mistake of its own."""
    for element in case.circuit.elements if case.signal is not None else ():
        if isinstance(element, DependentSource):
            yield from some(
                case.answer_on(with_gain_times(case.circuit, element.name, ZERO)), f"without {element.name}"
            )


@mistake
def turns_ratio_upside_down(case: Case) -> Iterator[Wrong]:
    """The circuit with the windings' turns exchanged, transformer by transformer."""
    for element in case.circuit.elements:
        if isinstance(element, IdealTransformer):
            yield from some(case.answer_on(with_ratio(case.circuit, element.name, ONE / element.ratio)), element.name)


@mistake
def source_sense_turned(case: Case) -> Iterator[Wrong]:
    """The circuit with each source reversed in turn."""
    yield from each_source_times(case, -ONE, "{} turned")
    for element in case.circuit.elements:
        if isinstance(element, DependentSource):
            yield from some(case.answer_on(with_gain_times(case.circuit, element.name, -ONE)), f"{element.name} turned")


def each_source_times(case: Case, factor: Scalar, variant: str) -> Iterator[Wrong]:
    """The circuit with each of several sources multiplied in turn."""
    for element in case.sources if len(case.sources) > 1 else ():
        yield from some(
            case.answer_on(with_source_times(case.circuit, element.name, factor)), variant.format(element.name)
        )


MAX_RESISTORS = 5
"""Above this the pairs are too many to say anything."""


@mistake
def divider_upside_down(case: Case) -> Iterator[Wrong]:
    """Two resistors with each other's values, where that leaves what the sources deliver as it was."""
    if (
        case.find not in (Find.JUST_BEFORE, Find.INITIAL, Find.FINAL)
        or case.signal is None
        or len(case.resistors) > MAX_RESISTORS
    ):
        return
    when = case.opens if case.find == Find.FINAL else case.opened_before
    if case.find != Find.FINAL and not case.starts_settled:
        return
    load = delivered(case, case, when)
    for one, other in combinations(case.resistors, 2):
        altered = case.on(with_values_exchanged(case.circuit, one, other))
        if one.value == other.value or delivered(case, altered, when) != load:
            continue
        static = altered.static(when, {})
        variant = f"{one.name} and {other.name}"
        if case.find == Find.INITIAL:
            yield from some(from_states(case, altered.states(static)), variant)
        else:
            yield from some(altered.read(static), variant)


def delivered(case: Case, of: Case, when: fmpq | None) -> tuple[Waveform | None, ...]:
    """The current of every voltage source and the voltage of every current source."""
    static = of.static(when, {})
    kinds = ("current" if source.delivers == "voltage" else "voltage" for source in case.sources)
    return tuple(of.read(static, Signal(kind=kind, of=s.name)) for kind, s in zip(kinds, case.sources, strict=True))
