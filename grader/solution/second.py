"""Second order on the board: damping, the two conditions at the start, the two equations for the constants."""

from collections.abc import Iterator

from grader.circuit.characteristic import Characteristic
from grader.circuit.elements import CoupledInductors, Signal, Storage, other_signal
from grader.circuit.rlc import rlc_form
from grader.circuit.statics import held_roles
from grader.reading.tree import Imaginary, PlusMinus, Product
from grader.solution.board import BoardLine, Prose, SolutionStep
from grader.solution.formula import (
    ZERO,
    Formula,
    added,
    amount,
    exponential,
    function,
    name,
    polynomial_formula,
    root_formula,
    whole,
)
from grader.solution.node_equations import derived, picture
from grader.solution.sinusoid import undetermined_coefficients
from grader.solution.states import coefficients, over_states
from grader.solution.words import ANGULAR, IntervalContext, expression, instant_text, value_line
from grader.values.dimension import CAPACITANCE, INDUCTANCE, RATE, RESISTANCE, TIME
from grader.values.scalar import ONE, is_symbolic, to_float
from grader.values.waveform import Waveform

ALPHA, OMEGA0, OMEGA_D, S = name("α"), name("ω0"), name("ω_d"), name("s")
STANDARD_FORM = S**2 + whole(2) * ALPHA * S + OMEGA0**2


def damping(interval: IntervalContext) -> SolutionStep:
    """Find α, ω0, the roots and the kind of response."""
    found = interval.characteristic
    assert found.alpha is not None
    assert found.omega0 is not None
    form = rlc_form(interval.solved.reduced(interval.index))
    alpha: tuple[Formula, ...] = ()
    omega: tuple[Formula, ...] = ()
    lines: list[BoardLine] = []
    if form is None:
        how = "The state equations (in SI units; a, b are the factors of the first, c, d those of the second) lead to "
        sentence: Prose = (how, STANDARD_FORM, " = 0.")
        lines += coefficients(interval, ALPHA, OMEGA0)
        lines.append(BoardLine(sides=(polynomial_formula(found.polynomial), ZERO)))
    else:
        sentence = (f"With the sources off this is a {form.kind} RLC circuit: ", STANDARD_FORM, " = 0.")
        coil, plate = amount(form.inductance, INDUCTANCE), amount(form.capacitance, CAPACITANCE)
        omega = tuple(
            whole(1) / function("sqrt", one * other) for one, other in ((name("L"), name("C")), (coil, plate))
        )
        if form.resistance is not None:
            loss = amount(form.resistance, RESISTANCE)
            alpha = (
                (name("R") / (whole(2) * name("L")), loss / (whole(2) * coil))
                if form.kind == "series"
                else (whole(1) / (whole(2) * name("R") * name("C")), whole(1) / (whole(2) * loss * plate))
            )
    lines += [
        value_line(ALPHA, *alpha, value=found.alpha, dimension=RATE),
        value_line(OMEGA0, *omega, value=found.omega0, dimension=RATE, unit=ANGULAR),
    ]
    if found.damping is None:
        told: Prose = ("Whether ", ALPHA, " or ", OMEGA0, " is larger depends on the values; the expressions hold for ",
                       ALPHA, " ≠ ", OMEGA0, ".")  # fmt: skip
    elif found.damping == "undamped":
        told = (ALPHA, " = 0: undamped.")
    else:
        sign = {"overdamped": ">", "critically damped": "=", "underdamped": "<"}[found.damping]
        told = (ALPHA, f" {sign} ", OMEGA0, f": {found.damping}.")
    if found.damping in ("underdamped", "undamped"):
        assert found.omega_d is not None
        root = function("sqrt", OMEGA0**2 - ALPHA**2)
        sizes = amount(found.omega0, RATE, ANGULAR) ** 2 - amount(found.alpha, RATE) ** 2
        lines.append(
            value_line(OMEGA_D, root, function("sqrt", sizes), value=found.omega_d, dimension=RATE, unit=ANGULAR)
        )
    lines += _roots(found)
    return SolutionStep(heading=("Sources off: damping",), sentences=(sentence,), lines=tuple(lines), conclusion=told)


def _roots(found: Characteristic) -> Iterator[BoardLine]:
    """``−α ± √(α² − ω0²)`` and what it comes to, by the kind of response."""
    root, turning = function("sqrt", ALPHA**2 - OMEGA0**2), Product(Imaginary(0), OMEGA_D.tree, 0)
    pair = Formula(PlusMinus(turning, 0))
    first, last = found.roots[0].real, found.roots[-1].real
    slower_first = is_symbolic(first) or to_float(first) >= to_float(last)
    laws = {
        "overdamped": (-ALPHA + root, -ALPHA - root) if slower_first else (-ALPHA - root, -ALPHA + root),
        "critically damped": (-ALPHA,),
        "underdamped": (-ALPHA + pair,),
        "undamped": (pair,),
    }.get(found.damping or "", ())
    for count, one in enumerate(found.roots):
        left = name(f"s{count + 1}") if len(found.roots) > 1 else S
        yield BoardLine(sides=(left, *laws[count : count + 1], root_formula(one)))


def second_order(interval: IntervalContext, signal: Signal) -> SolutionStep:
    """Form, the two conditions at the start, the two equations for the constants, the result."""
    found, stem, dimension = interval.characteristic, signal.symbol, signal.dimension
    at, start = instant_text(interval.start, "+"), interval.start
    whole_response, forced = interval.solved.waveform(signal, interval.index), interval.forced(signal)
    slope_dimension = dimension.over(TIME)
    value, slope = whole_response.at(start), whole_response.derivative().at(start)
    rest, rest_slope = value - forced.at(start), slope - forced.derivative().at(start)
    settled = forced.is_constant
    response, first_value, first_slope = name(f"{stem}(t)"), name(f"{stem}({at})"), name(f"d{stem}/dt({at})")
    tail = name(f"{stem}(∞)") if settled else name(f"{stem},f(t)")
    lines = [
        *undetermined_coefficients(interval, signal),
        BoardLine(sides=(tail,), value=forced, dimension=dimension, start=None if settled else start),
        value_line(first_value, value=value, dimension=dimension),
        *_drives(interval, signal, at),
        value_line(first_slope, *_slope_reason(interval, signal, at), value=slope, dimension=slope_dimension),
    ]
    at_start = first_value - (tail if settled else name(f"{stem},f({at})"))
    slope_left = first_slope if settled else first_slope - name(f"d{stem},f/dt({at})")
    t, alpha = interval.elapsed, found.alpha
    assert alpha is not None
    with_figures = amount(value, dimension) - amount(forced.at(start), dimension)
    slope_figures = amount(slope, slope_dimension)
    if not settled:
        slope_figures -= amount(forced.derivative().at(start), slope_dimension)
    grown = slope_figures + amount(alpha, RATE) * amount(rest, dimension)
    decay = exponential(-(ALPHA * t))
    if found.damping in ("critically damped", "underdamped", "undamped"):
        double = found.damping == "critically damped"
        first, second = (name(f"{'A' if double else 'B'}{number}") for number in (1, 2))
        law, figures, size, measured = (
            slope_left + ALPHA * first,
            grown,
            rest_slope + rest.scaled(alpha),
            slope_dimension,
        )
        shape = (first + second * t) * decay
        if not double:
            assert found.omega_d is not None
            law, figures = law / OMEGA_D, figures / amount(found.omega_d, RATE, ANGULAR)
            size, measured = size.scaled(ONE / found.omega_d), dimension
            shape = decay * (first * function("cos", OMEGA_D * t) + second * function("sin", OMEGA_D * t))
        lines += [
            BoardLine(sides=(response, tail + shape)),
            value_line(first, at_start, with_figures, value=rest, dimension=dimension),
            value_line(second, law, figures, value=size, dimension=measured),
        ]
    else:
        first, second, s1, s2 = (name(letter) for letter in ("A1", "A2", "s1", "s2"))
        faster, slower = (root.real for root in found.roots)
        size = (rest_slope - rest.scaled(slower)).scaled(ONE / (faster - slower))
        lines += [
            BoardLine(sides=(response, tail + first * exponential(s1 * t) + second * exponential(s2 * t))),
            value_line(first + second, at_start, with_figures, value=rest, dimension=dimension),
            value_line(
                s1 * first + s2 * second, slope_left, slope_figures, value=rest_slope, dimension=slope_dimension
            ),
            value_line(first, (slope_left - s2 * at_start) / (s1 - s2), value=size, dimension=dimension),
            value_line(second, at_start - first, value=rest - size, dimension=dimension),
        ]
    lines.append(expression(interval, signal))
    return SolutionStep(heading=("The response ", response), lines=tuple(lines))


def _drives(interval: IntervalContext, signal: Signal, at: str) -> Iterator[BoardLine]:
    """What the slope just after switching follows from: of a state its current or voltage, else the states' slopes."""
    state = _state_of(interval, signal)
    for element in [state] if state is not None else over_states(interval, signal):
        for one in (element, *_partners(interval, element)):
            yield _drive(interval, other_signal(interval.circuit.element(one)), at)
        if state is None:
            own = interval.state(element)
            slope = interval.slope(own)
            left = name(f"d{own.symbol}/dt({at})")
            yield value_line(left, *_by_law(interval, element, at), value=slope, dimension=own.dimension.over(TIME))


def _drive(interval: IntervalContext, driving: Signal, at: str) -> BoardLine:
    """A capacitor's current or a coil's voltage just after switching, by the circuit with its states held."""
    value = interval.solved.just_after(driving, interval.index)
    states = (interval.state(e.name) for e in interval.circuit.elements if isinstance(e, Storage))
    held = {str(one.of): interval.solved.just_after(one, interval.index) for one in states}
    static = picture(interval.circuit, interval.start, held_roles(interval.circuit, held), sources_at=interval.start)
    sides = derived(static, driving, value, at)
    return value_line(name(f"{driving.symbol}({at})"), *sides, value=value, dimension=driving.dimension)


def _partners(interval: IntervalContext, element: str) -> tuple[str, ...]:
    return tuple(
        coil
        for e in interval.circuit.elements
        if isinstance(e, CoupledInductors) and element in e.inductors
        for coil in e.inductors
        if coil != element
    )


def _state_of(interval: IntervalContext, signal: Signal) -> str | None:
    element = interval.circuit.element(signal.of) if isinstance(signal.of, str) else None
    return element.name if isinstance(element, Storage) and element.stores == signal.kind else None


def _slope_reason(interval: IntervalContext, signal: Signal, at: str) -> tuple[Formula, ...]:
    """The element's law; of another signal the states' slopes, each with its factor, where the sources add none."""
    state = _state_of(interval, signal)
    if state is not None:
        return _by_law(interval, state, at)
    laws, figures, total = [], [], Waveform()
    for element, factor in over_states(interval, signal).items():
        own = interval.state(element)
        slope = interval.slope(own)
        size = amount(factor, signal.dimension.over(own.dimension))
        laws.append(size * name(f"d{own.symbol}/dt({at})"))
        figures.append(size * amount(slope, own.dimension.over(TIME)))
        total = total + slope.scaled(factor)
    if not laws or total != interval.slope(signal):
        return ()
    return added(laws), added(figures)


def _by_law(interval: IntervalContext, element: str, at: str) -> tuple[Formula, ...]:
    """``i_C1(0+)/C1``, ``v_L1(0+)/L1``, or what v1 = L1·di1/dt + M·di2/dt and its partner give for coupled coils."""
    partners = _partners(interval, element)
    drives = [other_signal(interval.circuit.element(one)) for one in (element, *partners)]
    letters = [name(f"{drive.symbol}({at})") for drive in drives]
    values = [amount(interval.solved.just_after(one, interval.index), one.dimension) for one in drives]
    sizes = [_size(interval, one) for one in (element, *partners)]
    if not partners:
        return letters[0] / name(element), values[0] / sizes[0]
    if len(partners) > 1:
        return ()
    coupling = next(e for e in interval.circuit.elements if isinstance(e, CoupledInductors) and element in e.inductors)
    own, other = name(element), name(partners[0])
    named, mutual = name("M"), amount(coupling.mutual, INDUCTANCE)
    return (
        (other * letters[0] - named * letters[1]) / (own * other - named**2),
        (sizes[1] * values[0] - mutual * values[1]) / (sizes[0] * sizes[1] - mutual**2),
    )


def _size(interval: IntervalContext, element: str) -> Formula:
    storage = interval.circuit.element(element)
    assert isinstance(storage, Storage)
    return amount(storage.value, storage.dimension)
