"""The worked solution as an instructor writes it on a board: pictures of the circuit, then the response.

Structured steps without any layout: headings, sentences and lines of working, for a renderer to typeset.
"""

from collections.abc import Callable, Sequence
from functools import partial

from grader.circuit.elements import Capacitor, ChangeoverSwitch, Circuit, Inductor, Signal, Storage, Switch, own_signal
from grader.circuit.network import instant_of, positions
from grader.circuit.response import Solved
from grader.circuit.statics import ResistiveCircuit, held_roles
from grader.errors import NotDefined
from grader.solution.board import BoardLine, Prose, SolutionStep
from grader.solution.formula import Formula, amount, name
from grader.solution.jumps import kept_flux, shared_charge
from grader.solution.node_equations import derived, node_equations, picture
from grader.solution.orders import response_steps
from grader.solution.words import at_instant, instant_text, value_line
from grader.values.dimension import CHARGE, FLUX
from grader.values.text import listed
from grader.values.waveform import Waveform


def worked_solution(solved: Solved, signals: Sequence[Signal]) -> tuple[SolutionStep, ...]:
    """All steps for the signals asked, interval by interval.

    Parameters
    ----------
    signals : sequence of Signal
        What is asked; the states (capacitor voltages, inductor currents) are worked out in any case.
    """
    states = [own_signal(element) for element in solved.circuit.elements if isinstance(element, Storage)]
    wanted = list(dict.fromkeys(signals))
    steps: list[SolutionStep] = []
    for index in range(1, len(solved.intervals)):
        steps.append(_before(solved, index, states, wanted))
        steps.append(_just_after(solved, index, states, wanted))
        steps.append(_long_after(solved, index, states, wanted))
        steps.extend(response_steps(solved, index, wanted or states))
    return tuple(steps)


def _standing(circuit: Circuit, index: int) -> list[str]:
    where = positions(circuit, instant_of(circuit, index))
    found = []
    for element in circuit.elements:
        if isinstance(element, Switch):
            found.append(f"{element.name} is {'closed' if where[element.name] else 'open'}")
        elif isinstance(element, ChangeoverSwitch):
            found.append(f"{element.name} connects {element.common} to {where[element.name]}")
    return found


def _sentence(parts: list[str]) -> tuple[Prose, ...]:
    return ((f"{listed(parts)}.",),) if parts else ()


def _values(
    solved: Solved, signals: Sequence[Signal], read: str, index: int, at: str, static: ResistiveCircuit | None = None
) -> list[BoardLine]:
    """A line for every signal that has a value at an instant, by the node voltages of the picture where they give it."""
    found = []
    for signal in dict.fromkeys(signals):
        try:
            value: Waveform = getattr(solved, read)(signal, index)
        except NotDefined:
            continue
        left, sides = name(f"{signal.symbol}({at})"), derived(static, signal, value)
        if signal.kind in ("charge", "flux"):
            sides = _of_the_state(solved, signal, value, at, partial(getattr(solved, read), index=index))
        found.append(value_line(left, *sides, value=value, dimension=signal.dimension))
    return found


def _of_the_state(
    solved: Solved, signal: Signal, value: Waveform, at: str, state: Callable[[Signal], Waveform]
) -> tuple[Formula, ...]:
    """``C1 v_C1(0+)`` of a charge, ``L1 i_L1(0+)`` of a flux linkage to which no other coil adds."""
    element = next((e for e in solved.circuit.elements if e.name == signal.of), None)
    if not isinstance(element, Storage):
        return ()
    own = own_signal(element)
    level = state(own)
    if level.scaled(element.value) != value:
        return ()
    size = amount(element.value, element.dimension)
    return name(element.name) * name(f"{own.symbol}({at})"), size * amount(level, own.dimension)


def _roles(circuit: Circuit) -> list[str]:
    """Storage elements in dc steady state, in words."""
    plates = [e.name for e in circuit.elements if isinstance(e, Capacitor)]
    coils = [e.name for e in circuit.elements if isinstance(e, Inductor)]
    found = []
    if plates:
        found.append(f"{listed(plates)} carr{'ies' if len(plates) == 1 else 'y'} no current (open circuit)")
    if coils:
        found.append(f"{listed(coils)} ha{'s' if len(coils) == 1 else 've'} no voltage (short circuit)")
    return found


def _before(solved: Solved, index: int, states: Sequence[Signal], wanted: Sequence[Signal]) -> SolutionStep:
    circuit, opened = solved.circuit, solved.opening(index)
    at = instant_text(opened, "−")
    heading = (f"Just before t = {instant_text(opened)}",)
    if index > 1:
        start = solved.opening(index - 1)
        lines = []
        for signal in dict.fromkeys([*states, *wanted]):
            whole, dimension = solved.waveform(signal, index - 1), signal.dimension
            left = name(f"{signal.symbol}({at})")
            shown = () if whole.is_symbolic or whole.is_constant else (at_instant(whole, dimension, start, opened),)
            lines.append(value_line(left, *shown, value=solved.just_before(signal, index), dimension=dimension))
        told = (f"The expressions of the interval before, at t = {instant_text(opened)}.",)
        return SolutionStep(heading=heading, sentences=(told,), lines=tuple(lines))
    given = [e.name for e in circuit.elements if isinstance(e, Storage) and e.initial is not None]
    sentences: list[Prose] = [
        *_sentence(_standing(circuit, 0)),
        *((f"{note[0].upper()}{note[1:]}.",) for note in solved.notes),
    ]
    if given:
        sentences.append((f"Given at the start: {listed(given)}.",))
    if len(given) == len(states):
        lines = _values(solved, [*states, *wanted], "just_before", index, at)
        return SolutionStep(heading=heading, sentences=tuple(sentences), lines=tuple(lines))
    static = None
    lines = []
    steady = [solved.waveform(s, 0) for s in states if s.of not in given]
    if all(waveform.is_constant for waveform in steady):
        sentences.append((f"In the dc steady state {listed(_roles(circuit))}.",))
        static = picture(circuit, None, sources_at=opened)
        lines += node_equations(static)
        if static is None:
            told = ("The picture alone does not settle it; no charge or flux is taken to be there since rest.",)
            sentences.append(told)
    else:
        sentences.append(("The sources have been working for all past time: the steady state follows them.",))
        lines += [
            value_line(name(f"{s.symbol}(t)"), value=solved.waveform(s, 0), dimension=s.dimension)
            for s in states
            if s.of not in given
        ]
    lines += _values(solved, [*states, *wanted], "just_before", index, at, static)
    return SolutionStep(heading=heading, sentences=tuple(sentences), lines=tuple(lines))


def _just_after(solved: Solved, index: int, states: Sequence[Signal], wanted: Sequence[Signal]) -> SolutionStep:
    circuit, opened = solved.circuit, solved.opening(index)
    at = instant_text(opened, "+")
    sentences: list[Prose] = [*_sentence(_standing(circuit, index))]
    lines: list[BoardLine] = []
    passed = [impulse for impulse in solved.impulses if impulse.time == opened]
    if passed:
        sentences.append(("Some states jump here; what passes in no time keeps the total charge and flux.",))
        lines += [*shared_charge(solved, index), *kept_flux(solved, index)]
        for impulse in passed:
            charge = impulse.kind == "charge"
            left, dimension, what = ("q", CHARGE, "passes") if charge else ("λ", FLUX, "voltage impulse across")
            lines.append(
                value_line(name(left), value=impulse.amount, dimension=dimension, label=f"{what} {impulse.element}")
            )
    elif states:
        sentences.append((*_names(states), f" cannot jump; {_held_words(states)}."))
    held = {str(s.of): solved.just_after(s, index) for s in states}
    # Where states hang on each other the values below come from the state equations alone.
    static = picture(circuit, opened, held_roles(circuit, held), sources_at=opened)
    lines += node_equations(static)
    lines += _values(solved, [*states, *wanted], "just_after", index, at, static)
    return SolutionStep(heading=(f"At t = {at}",), sentences=tuple(sentences), lines=tuple(lines))


def _names(states: Sequence[Signal]) -> Prose:
    """``i_L1 and v_C1``."""
    pieces: list[str | Formula] = [name(states[0].symbol)]
    for place, state in enumerate(states[1:], start=2):
        pieces += [" and " if place == len(states) else ", ", name(state.symbol)]
    return tuple(pieces)


def _held_words(states: Sequence[Signal]) -> str:
    found = []
    for kind, source in (("voltage", "voltage"), ("current", "current")):
        names = [str(s.of) for s in states if s.kind == kind]
        if names:
            one = len(names) == 1
            found.append(
                f"{listed(names)} {'acts as a' if one else 'act as'} {source} source{'' if one else 's'} at this instant"
            )
    return listed(found)


def _long_after(solved: Solved, index: int, states: Sequence[Signal], wanted: Sequence[Signal]) -> SolutionStep:
    circuit, opened = solved.circuit, solved.opening(index)
    heading = ("As t → ∞" if index == len(solved.stages) else "As t → ∞, if nothing acted any more",)
    for signal in dict.fromkeys([*states, *wanted]):
        try:
            solved.final(signal, index)
        except NotDefined as reason:
            why = str(reason).split(";")[0]
            return SolutionStep(heading=heading, sentences=((f"{why[0].upper()}{why[1:]}.",),))
    sentences: list[Prose] = [(f"Everything has settled: {listed(_roles(circuit))}.",)] if states else []
    static = picture(circuit, opened)
    lines = [*node_equations(static)]
    if static is None:
        sentences.append(("What cannot leave (trapped charge, circulating flux) stays as it was.",))
    lines += _values(solved, [*states, *wanted], "final", index, "∞", static)
    return SolutionStep(heading=heading, sentences=tuple(sentences), lines=tuple(lines))
