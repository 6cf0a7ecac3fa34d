"""The circuit itself misread: its switches, its sources, its dividers."""

from collections.abc import Iterator
from itertools import combinations

from flint import fmpq

from grader.circuit.elements import ChangeoverSwitch, Signal, Switch
from grader.mistakes.altered import (
    with_resistors_exchanged,
    with_source_times,
    with_switch_left,
    with_switches_reversed,
)
from grader.mistakes.case import AT, BEFORE, EXPRESSION, FINAL, INITIAL, Case
from grader.mistakes.propagate import from_expression, from_states, some
from grader.mistakes.records import REVIEW_STORAGE, SUPPOSED, Citation, Wrong, mistake
from grader.values.scalar import ONE, ZERO, Scalar
from grader.values.waveform import Waveform


@mistake(
    title="Switch read backwards",
    idea='"Opens" was read as "closes", so that the circuits before and after changed places. Two small sketches, one '
    "for each side of the switching, settle it.",
    nudge="Draw two small sketches, one for each side of the switching: do they agree with the text?",
    remark="The circuits before and after switching were exchanged.",
    source=Citation("Common practice; a student's attempt consistent with it: Physics Forums thread 573034.", SUPPOSED),
)
def switch_read_backwards(case: Case) -> Iterator[Wrong]:
    """The circuit with every switch doing the opposite."""
    yield from some(case.answer_on(with_switches_reversed(case.circuit)))


@mistake(
    title="One switch's action missed",
    idea="With several switches each has its own instant. One of them was left where it stood.",
    nudge="Which switches have acted by then, and where does each of them stand?",
    remark="The answer fits the circuit with one switch that never acts.",
)
def switch_action_missed(case: Case) -> Iterator[Wrong]:
    """The circuit with each acting switch left in turn."""
    acting = [e for e in case.circuit.elements if isinstance(e, (Switch, ChangeoverSwitch)) and e.actions]
    if len(acting) < 2:
        return
    for switch in acting:
        yield from some(case.answer_on(with_switch_left(case.circuit, switch.name)), f"{switch.name} left")


@mistake(
    title="Law of the interval before kept",
    idea="At every action the circuit changes, and a new expression begins. The one of the interval before ends there.",
    nudge="What has acted by the instant asked, and which expression holds from then on?",
    remark="The expression of the interval before was used beyond its end.",
)
def interval_before_kept(case: Case) -> Iterator[Wrong]:
    """The signal of the interval before a later action, as an expression or at an instant after it."""
    if case.index < 2 or case.signal is None or case.find not in (EXPRESSION, AT):
        return
    kept = case.solved.waveform(case.signal, case.index - 1)
    yield from some(from_expression(case, kept))


@mistake(
    title="One source left out",
    idea="With superposition every source has its turn; one of them was set to zero and never put back.",
    nudge="Count the sources in the drawing and those in your equation: are they equally many?",
    remark="The answer fits the circuit with one of its sources at zero.",
)
def one_source_lost(case: Case) -> Iterator[Wrong]:
    """The circuit with each independent source at zero in turn."""
    yield from each_source_times(case, ZERO, "without {}")


@mistake(
    title="Sense of one source turned",
    idea="One source helps where it should oppose, or the reverse: its + mark or arrow was not followed into the "
    "equation.",
    nudge="Compare the + mark or the arrow of each source with your equation: do all signs agree?",
    remark="The answer fits the circuit with one of its sources reversed.",
)
def source_sense_turned(case: Case) -> Iterator[Wrong]:
    """The circuit with each independent source reversed in turn."""
    yield from each_source_times(case, -ONE, "{} turned")


def each_source_times(case: Case, factor: Scalar, variant: str) -> Iterator[Wrong]:
    """The circuit with each of several sources multiplied in turn."""
    for element in case.sources if len(case.sources) > 1 else ():
        yield from some(
            case.answer_on(with_source_times(case.circuit, element.name, factor)), variant.format(element.name)
        )


MAX_RESISTORS = 5
"""Above this the pairs are too many to say anything."""


@mistake(
    title="Divider upside down",
    idea="In a voltage divider the larger resistance has the larger voltage; in a current divider it has the smaller "
    "current. The wrong resistor stands on top of the fraction.",
    nudge="Which branch should get more, the one with the larger or the one with the smaller resistance?",
    remark="Two resistors of a divider changed places.",
    source=REVIEW_STORAGE,
)
def divider_upside_down(case: Case) -> Iterator[Wrong]:
    """Two resistors with each other's values, where that leaves what the sources deliver as it was."""
    if case.find not in (BEFORE, INITIAL, FINAL) or case.signal is None or len(case.resistors) > MAX_RESISTORS:
        return
    when = case.opens if case.find == FINAL else case.opened_before
    if case.find != FINAL and not case.starts_settled:
        return
    load = delivered(case, case, when)
    for one, other in combinations(case.resistors, 2):
        altered = case.on(with_resistors_exchanged(case.circuit, one, other))
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
    kinds = ("current" if source.delivers == "voltage" else "voltage" for source in case.sources)
    return tuple(of.read(static, Signal(kind=kind, of=s.name)) for kind, s in zip(kinds, case.sources, strict=True))
