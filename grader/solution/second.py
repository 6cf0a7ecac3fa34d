"""Second order on the board: damping, the two conditions at the start, the two equations for the constants."""

from __future__ import annotations

from grader.circuit.elements import Capacitor, CoupledInductors, Inductor, Signal
from grader.circuit.rlc import rlc_form
from grader.solution.formatting import BoardLine, written
from grader.solution.words import (
    DIMENSIONS,
    IntervalContext,
    SolutionStep,
    expression,
    instant_text,
    polynomial_text,
    root_text,
    symbol,
    value_line,
)
from grader.values.dimension import CAPACITANCE, INDUCTANCE, RATE, RESISTANCE, TIME
from grader.values.scalar import ONE


def damping(interval: IntervalContext) -> SolutionStep:
    """Find α, ω0, the roots and the kind of response."""
    found = interval.characteristic
    assert found.alpha is not None
    assert found.omega0 is not None
    form = rlc_form(interval.solved.reduced(interval.index))
    lines = []
    if form is None:
        sentences = [f"The state equations give {polynomial_text(found.polynomial)} = 0, that is s² + 2αs + ω0² = 0."]
        alpha, omega = "", ""
    else:
        sentences = [f"With the sources off this is a {form.kind} RLC circuit: s² + 2αs + ω0² = 0."]
        coil, plate = written(form.inductance, INDUCTANCE), written(form.capacitance, CAPACITANCE)
        omega = f"1/√(L·C) = 1/√({coil}·{plate})"
        if form.resistance is None:
            alpha = "no resistance"
        elif form.kind == "series":
            alpha = f"R/(2L) = {written(form.resistance, RESISTANCE)}/(2·{coil})"
        else:
            alpha = f"1/(2RC) = 1/(2·{written(form.resistance, RESISTANCE)}·{plate})"
    lines += [value_line("α", alpha, found.alpha, RATE), value_line("ω0", omega, found.omega0, RATE)]
    signs = {"overdamped": "α > ω0", "critically damped": "α = ω0", "underdamped": "α < ω0", "undamped": "α = 0"}
    if found.damping is None:
        sentences.append("Whether α or ω0 is larger depends on the values; the expressions hold for α ≠ ω0.")
    else:
        sentences.append(f"{signs[found.damping]}: {found.damping}.")
    if found.damping in ("underdamped", "undamped"):
        assert found.omega_d is not None
        lines.append(value_line("ωd", "√(ω0² − α²)", found.omega_d, RATE))
    for count, root in enumerate(found.roots, start=1):
        lines.append(BoardLine(left=f"s{count}" if len(found.roots) > 1 else "s", middle=root_text(root)))
    return SolutionStep(heading="Sources off: damping", sentences=tuple(sentences), lines=tuple(lines))


def second_order(interval: IntervalContext, signal: Signal) -> SolutionStep:
    """Form, the two conditions at the start, the two equations for the constants, the result."""
    found, name, dimension = interval.characteristic, symbol(signal), DIMENSIONS[signal.kind]
    at, start = instant_text(interval.start, "+"), interval.start
    whole, forced = interval.solved.waveform(signal, interval.index), interval.forced(signal)
    slope_dimension = dimension.over(TIME)
    value, slope = whole.at(start), whole.derivative().at(start)
    rest, rest_slope = value - forced.at(start), slope - forced.derivative().at(start)
    settled = forced.is_constant
    tail = f"{name}(∞)" if settled else f"{name},f(t)"
    lines = [
        BoardLine(left=tail, value=forced, dimension=dimension, start=None if settled else start),
        BoardLine(left=f"{name}({at})", value=value, dimension=dimension),
        *_drives(interval, signal, at),
        BoardLine(
            left=f"d{name}/dt({at})", middle=_slope_reason(interval, signal, at), value=slope, dimension=slope_dimension
        ),
    ]
    at_start = f"{name}({at}) − {tail if settled else f'{name},f({at})'}"
    slope_left = f"d{name}/dt({at})" if settled else f"d{name}/dt({at}) − d{name},f/dt({at})"
    t, alpha = interval.elapsed, found.alpha
    assert alpha is not None
    if found.damping == "critically damped":
        lines += [
            BoardLine(left=f"{name}(t)", middle=f"{tail} + (A1 + A2·{t}) e^(−α{t})"),
            BoardLine(left="A1", middle=at_start, value=rest, dimension=dimension),
            BoardLine(
                left="A2",
                middle=f"{slope_left} + α·A1",
                value=rest_slope + rest.scaled(alpha),
                dimension=slope_dimension,
            ),
        ]
    elif found.damping in ("underdamped", "undamped"):
        assert found.omega_d is not None
        second = (rest_slope + rest.scaled(alpha)).scaled(ONE / found.omega_d)
        lines += [
            BoardLine(left=f"{name}(t)", middle=f"{tail} + e^(−α{t}) [B1 cos(ωd·{t}) + B2 sin(ωd·{t})]"),
            BoardLine(left="B1", middle=at_start, value=rest, dimension=dimension),
            BoardLine(left="B2", middle=f"[{slope_left} + α·B1]/ωd", value=second, dimension=dimension),
        ]
    else:
        s1, s2 = (root.real for root in found.roots)
        first = (rest_slope - rest.scaled(s2)).scaled(ONE / (s1 - s2))
        lines += [
            BoardLine(left=f"{name}(t)", middle=f"{tail} + A1 e^(s1·{t}) + A2 e^(s2·{t})"),
            BoardLine(left="A1 + A2", middle=at_start, value=rest, dimension=dimension),
            BoardLine(left="s1·A1 + s2·A2", middle=slope_left, value=rest_slope, dimension=slope_dimension),
            BoardLine(left="A1", value=first, dimension=dimension),
            BoardLine(left="A2", value=rest - first, dimension=dimension),
        ]
    lines.append(expression(interval, signal))
    return SolutionStep(heading=f"The response {name}(t)", lines=tuple(lines))


def _drives(interval: IntervalContext, signal: Signal, at: str) -> tuple[BoardLine, ...]:
    """The capacitor's current or the coil's voltage just after switching, which its slope follows from."""
    if not isinstance(signal.of, str):
        return ()
    element = interval.circuit.element(signal.of)
    if isinstance(element, Capacitor) and signal.kind == "voltage":
        driving = Signal(kind="current", of=element.name)
    elif isinstance(element, Inductor) and signal.kind == "current":
        driving = Signal(kind="voltage", of=element.name)
    else:
        return ()
    value = interval.solved.just_after(driving, interval.index)
    return (BoardLine(left=f"{symbol(driving)}({at})", value=value, dimension=DIMENSIONS[driving.kind]),)


def _slope_reason(interval: IntervalContext, signal: Signal, at: str) -> str:
    if isinstance(signal.of, str):
        element = interval.circuit.element(signal.of)
        if isinstance(element, Capacitor) and signal.kind == "voltage":
            return f"i_{element.name}({at})/C"
        if isinstance(element, Inductor) and signal.kind == "current":
            return _coil_slope(interval, element.name, at)
    return "from the derivatives of the states"


def _coil_slope(interval: IntervalContext, coil: str, at: str) -> str:
    """v/L, or where another coil is coupled to it what v1 = L1·di1/dt + M·di2/dt and its partner give."""
    couplings = [e for e in interval.circuit.elements if isinstance(e, CoupledInductors) and coil in e.inductors]
    if not couplings:
        return f"v_{coil}({at})/L"
    if len(couplings) > 1:
        return "from the derivatives of the states"
    other = next(name for name in couplings[0].inductors if name != coil)
    return f"({other}·v_{coil}({at}) − M·v_{other}({at}))/({coil}·{other} − M²)"
