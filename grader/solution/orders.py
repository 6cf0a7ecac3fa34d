"""The response of one interval on the board, by order: standard forms for first and second, state equations above."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from grader.circuit.elements import Capacitor, Circuit, Inductor, Signal, Storage
from grader.circuit.equivalent import Combination
from grader.circuit.resistance import resistance_seen, storage_combination
from grader.circuit.response import Solved
from grader.errors import CircuitError, NotDefined
from grader.solution.formatting import BoardLine, bracketed, tight, written
from grader.solution.second import damping, second_order
from grader.solution.thevenin import thevenin_resistance
from grader.solution.words import (
    DIMENSIONS,
    IntervalContext,
    SolutionStep,
    expression,
    instant_text,
    polynomial_text,
    product,
    root_text,
    sum_text,
    symbol,
    value_line,
)
from grader.values.dimension import CAPACITANCE, INDUCTANCE, RESISTANCE, TIME
from grader.values.scalar import ONE, Scalar, is_symbolic
from grader.values.text import listed
from grader.values.waveform import Waveform


def response_steps(circuit: Circuit, solved: Solved, index: int, signals: Sequence[Signal]) -> tuple[SolutionStep, ...]:
    """The steps from the equations of an interval to the expressions asked."""
    try:
        found = solved.characteristic(index)
    except NotDefined as reason:  # letters in a circuit of higher order
        return (SolutionStep(heading="The response", sentences=(str(reason),)),)
    interval = IntervalContext(circuit=circuit, solved=solved, index=index, characteristic=found)
    linear = [s for s in signals if s.kind not in ("power", "energy")]
    if found.order == 0:
        middle: tuple[SolutionStep, ...] = (_without_storage(interval, linear),)
    elif found.order == 1 and found.time_constant is not None:
        middle = (_time_constant(interval), _first_order(interval, linear))
    elif apart := _apart(interval):
        middle = _separate(interval, apart, linear)
    elif found.order == 2 and found.omega0 is not None and (found.damping is not None or is_symbolic(found.omega0)):
        middle = (damping(interval), *(second_order(interval, signal) for signal in linear))
    else:
        middle = (_state_equations(interval), _expressions(interval, linear))
    products = [s for s in signals if s.kind in ("power", "energy")]
    return (*middle, *((_products(interval, products),) if products else ()))


def _expressions(interval: IntervalContext, signals: Sequence[Signal]) -> SolutionStep:
    return SolutionStep(heading="The response", lines=tuple(expression(interval, signal) for signal in signals))


def _without_storage(interval: IntervalContext, signals: Sequence[Signal]) -> SolutionStep:
    return SolutionStep(
        heading="The response",
        sentences=("No storage element takes part, so everything follows the sources at once.",),
        lines=tuple(expression(interval, signal) for signal in signals),
    )


# -- first order ----------------------------------------------------------------------------------


def _time_constant(interval: IntervalContext) -> SolutionStep:
    tau = interval.characteristic.time_constant
    assert tau is not None
    try:
        group = storage_combination(interval.circuit, interval.index)
        seen = resistance_seen(interval.circuit, interval.index)
    except (CircuitError, NotDefined):
        return SolutionStep(heading="Time constant", lines=(value_line("τ", "−1/s", tau, TIME),))
    return _storage_and_resistance(interval, group, seen, tau, "τ")


def _storage_and_resistance(
    interval: IntervalContext, group: Combination, seen: Scalar, tau: Scalar, letter_of_tau: str
) -> SolutionStep:
    """What storage elements that act as one look into, and the time constant that the two make."""
    inductive = group.kind is Inductor
    letter, dimension = ("L", INDUCTANCE) if inductive else ("C", CAPACITANCE)
    names = " and ".join(group.members)
    test, lines = thevenin_resistance(interval, group, seen)
    if len(group.members) > 1:
        lines = (*lines, value_line(letter, f"{names} as one", group.value, dimension))
    storage, resistance = written(group.value, dimension), written(seen, RESISTANCE)
    formula = "L/R_th" if inductive else "R_th·C"
    numbers = f"{storage}/{bracketed(resistance)}" if inductive else f"{tight(resistance)}·{tight(storage)}"
    return SolutionStep(
        heading="Sources off: time constant" + (f" of {names}" if letter_of_tau != "τ" else ""),
        sentences=(
            f"Voltage sources become short circuits, current sources open circuits; {names} "
            f"{'look' if len(group.members) > 1 else 'looks'} back into the Thévenin resistance R_th.",
            *test,
        ),
        lines=(*lines, value_line(letter_of_tau, f"{formula} = {numbers}", tau, TIME)),
    )


def _apart(interval: IntervalContext) -> dict[str, Scalar]:
    """Time constants (s) of storage elements none of which acts on another; empty where one does."""
    reduced = interval.solved.reduced(interval.index)
    found = {}
    for own, (name, row) in enumerate(zip(reduced.independent, reduced.derivatives, strict=True)):
        states = {column: value for column, value in row.items() if column < reduced.order and value != 0}
        if set(states) != {own}:
            return {}
        tau = -ONE / states[own]
        try:
            seen = resistance_seen(interval.circuit, interval.index, by=name)
        except (CircuitError, NotDefined):
            return {}
        if _tau(interval.circuit, name, seen) != tau:  # several elements act as one
            return {}
        found[name] = tau
    return found


def _tau(circuit: Circuit, name: str, seen: Scalar) -> Scalar | None:
    element = circuit.element(name)
    if isinstance(element, Capacitor):
        return seen * element.value
    return element.value / seen if isinstance(element, Inductor) and seen != 0 else None


def _separate(
    interval: IntervalContext, constants: Mapping[str, Scalar], signals: Sequence[Signal]
) -> tuple[SolutionStep, ...]:
    """Storage elements in circuits of their own, each worked in first order."""
    steps = [
        SolutionStep(
            heading="Circuits of their own",
            sentences=(
                f"{listed(list(constants))} do not act on each other here: each has a first-order circuit of its own.",
            ),
        )
    ]
    for name, tau in constants.items():
        element = interval.circuit.element(name)
        assert isinstance(element, Storage)
        group = Combination(kind=type(element), members=(name,), value=element.value, nodes=None)
        seen = resistance_seen(interval.circuit, interval.index, by=name)
        steps.append(_storage_and_resistance(interval, group, seen, tau, f"τ_{name}"))
    letters = {-ONE / tau: f"τ_{name}" for name, tau in constants.items()}
    own: list[Signal] = []
    mixed: list[Signal] = []
    for signal in signals:
        natural = interval.solved.waveform(signal, interval.index) - interval.forced(signal)
        (own if len({term.rate for term in natural.terms}) < 2 else mixed).append(signal)
    if own:
        steps.append(_first_order(interval, own, letters))
    if mixed:
        steps.append(_expressions(interval, mixed))
    return tuple(steps)


def _first_order(
    interval: IntervalContext, signals: Sequence[Signal], letters: Mapping[Scalar, str] | None = None
) -> SolutionStep:
    """Initial value, final value and time constant of each signal; ``letters`` names the time constants by their rates."""
    lines = []
    at = instant_text(interval.start, "+")
    settled = True
    for signal in signals:
        forced, name = interval.forced(signal), symbol(signal)
        natural = interval.solved.waveform(signal, interval.index) - forced
        tau = next((letters.get(term.rate, "τ") for term in natural.terms), "τ") if letters else "τ"
        power = f"e^(−{interval.elapsed}/{tau})"
        if forced.is_constant:
            middle = f"{name}(∞) + [{name}({at}) − {name}(∞)] {power}"
        else:
            settled = False
            lines.append(
                BoardLine(left=f"{name},f(t)", value=forced, dimension=DIMENSIONS[signal.kind], start=interval.start)
            )
            middle = f"{name},f(t) + [{name}({at}) − {name},f({at})] {power}"
        lines.append(expression(interval, signal, middle))
    sentence = (
        f"Every voltage and current is x(∞) + [x({at}) − x(∞)] e^(−{interval.elapsed}/τ), time counted from the action."
    )
    if not settled:
        sentence = (
            "The forced response x,f follows the sources; "
            f"the natural response e^(−{interval.elapsed}/τ) makes up for the start."
        )
    return SolutionStep(heading="The response", sentences=(sentence,), lines=tuple(lines))


# -- any order ------------------------------------------------------------------------------------


def _state_equations(interval: IntervalContext) -> SolutionStep:
    reduced = interval.solved.reduced(interval.index)
    kinds = {
        name: "v" if isinstance(interval.circuit.element(name), Capacitor) else "i" for name in reduced.independent
    }
    letters = [f"{kind}_{name}" for name, kind in kinds.items()]
    lines = []
    for letter, row in zip(letters, reduced.derivatives, strict=True):
        terms = [product(value, letters[column]) for column, value in sorted(row.items()) if column < reduced.order]
        drive = Waveform()
        for column, value in row.items():
            if column >= reduced.order:
                drive = drive + reduced.exosystem.states[column - reduced.order].scaled(value)
        lines.append(BoardLine(left=f"d{letter}/dt", middle=sum_text(terms + (["g(t)"] if drive.terms else []))))
        if drive.terms:
            lines.append(
                BoardLine(
                    label="from the sources", left="g(t)", value=drive.delayed(interval.start), start=interval.start
                )
            )
    lines.append(BoardLine(middle=f"{polynomial_text(interval.characteristic.polynomial)} = 0"))
    lines += [
        BoardLine(
            left=f"s{count}", middle=root_text(root) + (f", {root.multiplicity} times" if root.multiplicity > 1 else "")
        )
        for count, root in enumerate(interval.characteristic.roots, start=1)
    ]
    return SolutionStep(
        heading="State equations",
        sentences=(
            "Capacitor voltages and inductor currents as unknowns, in SI units; the roots give the natural response.",
        ),
        lines=tuple(lines),
    )


def _products(interval: IntervalContext, signals: Sequence[Signal]) -> SolutionStep:
    lines = []
    for signal in signals:
        formula = f"v_{signal.of}·i_{signal.of}"
        if signal.kind == "energy":
            element = interval.circuit.element(str(signal.of))
            formula = "½L1·i1² + ½L2·i2² + M·i1·i2"
            if isinstance(element, Inductor):
                formula = f"½·{written(element.value, INDUCTANCE)}·i_{element.name}²"
            if isinstance(element, Capacitor):
                formula = f"½·{written(element.value, CAPACITANCE)}·v_{element.name}²"
        lines.append(expression(interval, signal, formula))
    return SolutionStep(heading="Power and energy", lines=tuple(lines))
