"""State equations on the board, and the coefficients of second order that they give."""

from collections.abc import Iterator
from contextlib import suppress

from grader.circuit.elements import CoupledInductors, Signal, Storage, own_signal
from grader.circuit.elimination import Row
from grader.circuit.signals import evaluate
from grader.circuit.statics import held_roles
from grader.errors import NotDefined
from grader.solution.board import BoardLine
from grader.solution.formula import Formula, added, name, number, whole
from grader.solution.node_equations import derived, node_equations, picture
from grader.solution.words import IntervalContext
from grader.values.scalar import ZERO, Scalar
from grader.values.symbolic import Symbolic
from grader.values.text import DIGITS
from grader.values.waveform import Waveform, constant


def state_equations(interval: IntervalContext) -> Iterator[BoardLine]:
    """The rate of every capacitor voltage and inductor current, in SI units; what the sources add beneath it."""
    yield from _by_the_nodes(interval)
    reduced = interval.solved.reduced(interval.index)
    letters = [interval.state(element).symbol for element in reduced.independent]
    for element, letter, row in zip(reduced.independent, letters, reduced.derivatives, strict=True):
        drive_name = name(f"f_{element}(t)")
        terms = [
            exact(value) * name(letters[column]) for column, value in sorted(row.items()) if column < reduced.order
        ]
        drive = Waveform()
        for column, value in row.items():
            if column >= reduced.order:
                drive = drive + reduced.exosystem.states[column - reduced.order].scaled(value)
        total = added([*terms, drive_name] if drive.terms else terms)
        yield BoardLine(sides=(name(f"d{letter}/dt"), total))
        if drive.terms:
            shown = drive.delayed(interval.start)
            yield BoardLine(label="from the sources", sides=(drive_name,), value=shown, start=interval.start)


def _by_the_nodes(interval: IntervalContext) -> Iterator[BoardLine]:
    """Where they come from: node equations with the states as sources of their own names, then each element's law.

    Nothing where sources move, values are letters, or states hang on each other.
    """
    solved, circuit = interval.solved, interval.circuit
    reduced, storage = solved.reduced(interval.index), [e for e in circuit.elements if isinstance(e, Storage)]
    states = [own_signal(element) for element in storage]
    moves = any(not one.is_constant for one in reduced.exosystem.states)
    letters = any(solved.waveform(state, interval.index).is_symbolic for state in states)
    coupled = any(isinstance(element, CoupledInductors) for element in circuit.elements)
    if moves or letters or coupled or reduced.order != len(states):
        return
    names = tuple(state.symbol for state in states)
    held = {str(state.of): constant(Symbolic.symbol(state.symbol, names)) for state in states}
    static = picture(circuit, interval.start, held_roles(circuit, held), sources_at=interval.start)
    if static is None:
        return
    yield from node_equations(static)
    for element, state in zip(storage, states, strict=True):
        other = Signal(kind="current" if state.kind == "voltage" else "voltage", of=element.name)
        with suppress(NotDefined):
            sides = derived(static, other, static.value(other))
            if sides:
                yield BoardLine(sides=(name(other.symbol), *sides))
        yield BoardLine(sides=(name(f"d{state.symbol}/dt"), name(other.symbol) / name(element.name)))


def coefficients(interval: IntervalContext, alpha: Formula, omega0: Formula) -> Iterator[BoardLine]:
    """2α and ω0² of two state equations x' = a x + b y, y' = c x + d y: −(a + d) and a d − b c."""
    reduced = interval.solved.reduced(interval.index)
    if reduced.order != 2:
        return
    yield from state_equations(interval)
    (a, b), (c, d) = ((row.get(0, ZERO), row.get(1, ZERO)) for row in reduced.derivatives)
    double = added(exact(-x) for x in (a, d) if x != 0)
    yield BoardLine(sides=(whole(2) * alpha, -(name("a") + name("d")), double, exact(-(a + d))))
    law = name("a") * name("d") - name("b") * name("c")
    figures = exact(a) * exact(d) - exact(b) * exact(c)
    yield BoardLine(sides=(omega0**2, law, figures, exact(a * d - b * c)))


def exact(value: Scalar) -> Formula:
    """A factor of a state equation, so exact that what is worked out from several keeps its digits."""
    return number(value, DIGITS + 2)


def over_states(interval: IntervalContext, signal: Signal) -> dict[str, Scalar]:
    """A current or a voltage as a sum of states, each with its factor; what sources add is left out."""
    reduced = interval.solved.reduced(interval.index)
    found: dict[int, Scalar] = {}

    def keep(row: Row) -> Waveform:
        found.update(reduced.free(reduced.full(row)))
        return Waveform()

    evaluate(interval.circuit, reduced, signal, keep)
    return {element: found[place] for place, element in enumerate(reduced.independent) if found.get(place)}
