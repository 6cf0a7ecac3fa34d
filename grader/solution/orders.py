"""The response of one interval on the board, by order: standard forms for first and second, state equations above."""

from collections.abc import Mapping, Sequence

from grader.circuit.elements import Capacitor, Circuit, Inductor, Signal, Storage
from grader.circuit.equivalent import Combination
from grader.circuit.resistance import resistance_seen, storage_combination
from grader.circuit.response import Solved
from grader.errors import CircuitError, NotDefined
from grader.solution.board import BoardLine, Prose, SolutionStep
from grader.solution.formula import (
    HALF,
    ZERO,
    Formula,
    amount,
    exponential,
    name,
    polynomial_formula,
    root_formula,
    whole,
)
from grader.solution.second import damping, second_order
from grader.solution.sinusoid import undetermined_coefficients
from grader.solution.states import state_equations
from grader.solution.thevenin import R_TH, thevenin_resistance
from grader.solution.words import IntervalContext, expression, instant_text, value_line
from grader.values.dimension import CAPACITANCE, INDUCTANCE, RESISTANCE, TIME
from grader.values.scalar import ONE, Scalar, is_symbolic
from grader.values.text import listed
from grader.values.waveform import Waveform

RESPONSE: Prose = ("The response",)


def response_steps(solved: Solved, index: int, signals: Sequence[Signal]) -> tuple[SolutionStep, ...]:
    """The steps from the equations of an interval to the expressions asked."""
    try:
        found = solved.characteristic(index)
    except NotDefined as reason:  # letters in a circuit of higher order
        return (SolutionStep(heading=RESPONSE, sentences=((str(reason),),)),)
    interval = IntervalContext(solved=solved, index=index, characteristic=found)
    linear = [s for s in signals if s.kind not in ("power", "energy")]
    products = [s for s in signals if s.kind in ("power", "energy")]
    return (*_linear_steps(interval, linear), *((_products(interval, products),) if products else ()))


def _linear_steps(interval: IntervalContext, linear: Sequence[Signal]) -> tuple[SolutionStep, ...]:
    """The steps to voltages and currents, by the order of the circuit."""
    found, solved, index = interval.characteristic, interval.solved, interval.index
    if found.order == 0:
        told = "No storage element takes part, so everything follows the sources at once."
        return (_expressions(interval, linear, told),)
    if all(solved.waveform(s, index).is_constant for s in linear) and not any(
        r.real or r.imaginary for r in found.roots
    ):
        return (_expressions(interval, linear, "Nothing drives a current any more: everything stays as it is."),)
    if found.order == 1 and found.time_constant is not None:
        return (_time_constant(interval), _first_order(interval, linear))
    if apart := _apart(interval):
        return _separate(interval, apart, linear)
    if found.order == 2 and found.omega0 is not None and (found.damping is not None or is_symbolic(found.omega0)):
        return (damping(interval), *(second_order(interval, signal) for signal in linear))
    return (_state_equations(interval), _expressions(interval, linear))


def _expressions(interval: IntervalContext, signals: Sequence[Signal], told: str = "") -> SolutionStep:
    lines = tuple(expression(interval, signal) for signal in signals)
    return SolutionStep(heading=RESPONSE, sentences=((told,),) if told else (), lines=lines)


# -- first order ----------------------------------------------------------------------------------


def _time_constant(interval: IntervalContext) -> SolutionStep:
    tau = interval.characteristic.time_constant
    assert tau is not None
    try:
        group = storage_combination(interval.circuit, interval.index)
        seen = resistance_seen(interval.circuit, interval.index)
    except (CircuitError, NotDefined):
        line = value_line(name("τ"), -(whole(1) / name("s")), value=tau, dimension=TIME)
        return SolutionStep(heading=("Time constant",), lines=(line,))
    return _storage_and_resistance(interval, group, seen, tau)


def _storage_and_resistance(
    interval: IntervalContext, group: Combination, seen: Scalar, tau: Scalar, own: str = ""
) -> SolutionStep:
    """What storage elements that act as one look into, and the time constant that the two make (τ_own, of several)."""
    inductive = group.kind is Inductor
    letter, dimension = (name("L"), INDUCTANCE) if inductive else (name("C"), CAPACITANCE)
    names = " and ".join(group.members)
    found = thevenin_resistance(interval, group, seen)
    lines = found.lines
    if len(group.members) > 1:
        lines = (*lines, value_line(letter, value=group.value, dimension=dimension, label=f"{names} as one"))
    storage, resistance = amount(group.value, dimension), amount(seen, RESISTANCE)
    sides = (letter / R_TH, storage / resistance) if inductive else (R_TH * letter, resistance * storage)
    off: Prose = (
        f"Independent voltage sources become short circuits, independent current sources open circuits; {names} "
        f"{'look' if len(group.members) > 1 else 'looks'} back into the Thévenin resistance ",
        R_TH,
        ".",
    )
    return SolutionStep(
        heading=("Sources off: time constant" + (f" of {names}" if own else ""),),
        picture=found.picture,
        sentences=(off, *found.sentences),
        lines=(*lines, value_line(_tau_of(own), *sides, value=tau, dimension=TIME)),
    )


def _tau_of(element: str) -> Formula:
    return name(f"τ_{element}" if element else "τ")


def _apart(interval: IntervalContext) -> dict[str, Scalar]:
    """Time constants (s) of storage elements none of which acts on another; empty where one does."""
    reduced = interval.solved.reduced(interval.index)
    found = {}
    for own, (element, row) in enumerate(zip(reduced.independent, reduced.derivatives, strict=True)):
        states = {column: value for column, value in row.items() if column < reduced.order and value != 0}
        if set(states) != {own}:
            return {}
        tau = -ONE / states[own]
        try:
            seen = resistance_seen(interval.circuit, interval.index, by=element)
        except (CircuitError, NotDefined):
            return {}
        if _tau(interval.circuit, element, seen) != tau:  # several elements act as one
            return {}
        found[element] = tau
    return found


def _tau(circuit: Circuit, storage: str, seen: Scalar) -> Scalar | None:
    element = circuit.element(storage)
    if isinstance(element, Capacitor):
        return seen * element.value
    return element.value / seen if isinstance(element, Inductor) and seen != 0 else None


def _separate(
    interval: IntervalContext, constants: Mapping[str, Scalar], signals: Sequence[Signal]
) -> tuple[SolutionStep, ...]:
    """Storage elements in circuits of their own, each worked in first order."""
    steps = [
        SolutionStep(
            heading=("Circuits of their own",),
            sentences=((f"{listed(list(constants))} do not act on each other here: each has a first-order circuit.",),),
        )
    ]
    for own, tau in constants.items():
        element = interval.circuit.element(own)
        assert isinstance(element, Storage)
        group = Combination(kind=type(element), members=(own,), value=element.value, nodes=None)
        seen = resistance_seen(interval.circuit, interval.index, by=own)
        steps.append(_storage_and_resistance(interval, group, seen, tau, own))
    letters = {-ONE / tau: _tau_of(own) for own, tau in constants.items()}
    single: list[Signal] = []
    mixed: list[Signal] = []
    for signal in signals:
        natural = interval.solved.waveform(signal, interval.index) - interval.forced(signal)
        (single if len({term.rate for term in natural.terms}) < 2 else mixed).append(signal)
    if single:
        steps.append(_first_order(interval, single, letters))
    if mixed:
        steps.append(_expressions(interval, mixed))
    return tuple(steps)


def _first_order(
    interval: IntervalContext, signals: Sequence[Signal], letters: Mapping[Scalar, Formula] | None = None
) -> SolutionStep:
    """Initial value, final value and time constant of each signal; ``letters`` names the time constants by their rates."""
    lines: list[BoardLine] = []
    at = instant_text(interval.start, "+")
    settled = True
    for signal in signals:
        forced, stem = interval.forced(signal), signal.symbol
        natural = interval.solved.waveform(signal, interval.index) - forced
        tau = next((letters[term.rate] for term in natural.terms if term.rate in letters), None) if letters else None
        before, after = (name(f"{stem}(∞)"),) * 2
        if not forced.is_constant:
            settled = False
            before, after = name(f"{stem},f(t)"), name(f"{stem},f({at})")
            lines += undetermined_coefficients(interval, signal)
            lines.append(BoardLine(sides=(before,), value=forced, dimension=signal.dimension, start=interval.start))
        law = _decaying(interval, before, name(f"{stem}({at})") - after, tau)
        lines.append(expression(interval, signal, law, *_with_figures(interval, signal, forced, natural)))
    told: Prose = (
        "Every voltage and current is ",
        _decaying(interval, name("x(∞)"), name(f"x({at})") - name("x(∞)")),
        ", time counted from the action.",
    )
    if not settled:
        told = (
            "The forced response ", name("x_f"), " follows the sources; the natural response ",
            _natural(interval), " makes up for the start.",
        )  # fmt: skip
    return SolutionStep(heading=RESPONSE, sentences=(told,), lines=tuple(lines))


def _with_figures(
    interval: IntervalContext, signal: Signal, forced: Waveform, natural: Waveform
) -> tuple[Formula, ...]:
    """The same with its figures; nothing where the signal does not change, follows the sources, or has letters."""
    rates = {term.rate for term in natural.terms}
    if len(rates) != 1 or not forced.is_constant or (forced + natural).is_symbolic:
        return ()
    dimension = signal.dimension
    first, final = (amount(value.at(interval.start), dimension) for value in (forced + natural, forced))
    tau = amount(-ONE / rates.pop(), TIME)
    return (_decaying(interval, final, first - final, tau),)


def _natural(interval: IntervalContext, tau: Formula | None = None) -> Formula:
    return exponential(-(interval.elapsed / (tau or _tau_of(""))))


def _decaying(interval: IntervalContext, rest: Formula, change: Formula, tau: Formula | None = None) -> Formula:
    """``x(∞) + (x(0+) − x(∞)) e^(−t/τ)``."""
    return rest + change * _natural(interval, tau)


# -- any order ------------------------------------------------------------------------------------


def _state_equations(interval: IntervalContext) -> SolutionStep:
    lines = [*state_equations(interval)]
    lines.append(BoardLine(sides=(polynomial_formula(interval.characteristic.polynomial), ZERO)))
    lines += [
        BoardLine(
            label=f"{root.multiplicity} times" if root.multiplicity > 1 else "",
            sides=(name(f"s{count}"), root_formula(root)),
        )
        for count, root in enumerate(interval.characteristic.roots, start=1)
    ]
    told = "Capacitor voltages and inductor currents as unknowns, in SI units; the roots give the natural response."
    return SolutionStep(heading=("State equations",), sentences=((told,),), lines=tuple(lines))


def _products(interval: IntervalContext, signals: Sequence[Signal]) -> SolutionStep:
    lines = tuple(expression(interval, signal, _product(interval.circuit, signal)) for signal in signals)
    return SolutionStep(heading=("Power and energy",), lines=lines)


def _product(circuit: Circuit, signal: Signal) -> Formula:
    """What a power or an energy is made of."""
    if signal.kind == "power":
        return name(f"v_{signal.of}") * name(f"i_{signal.of}")
    element = circuit.element(str(signal.of))
    if isinstance(element, Inductor):
        return HALF * amount(element.value, INDUCTANCE) * name(f"i_{element.name}") ** 2
    if isinstance(element, Capacitor):
        return HALF * amount(element.value, CAPACITANCE) * name(f"v_{element.name}") ** 2
    one, two = name("i1"), name("i2")
    return HALF * name("L1") * one**2 + HALF * name("L2") * two**2 + name("M") * one * two
