"""The forced response to a sinusoid by undetermined coefficients: put into the differential equation, term by term.

With x'' + 2α x' + ω0² x = g (or τ x' + x = g) and x = A cos ωt + B sin ωt, the cosines and the sines of both sides agree:
p A + q B = g_c and p B − q A = g_s, with p = ω0² − ω², q = 2αω (or p = 1, q = ωτ).
"""

import math

from grader.circuit.elements import Signal
from grader.solution.board import BoardLine
from grader.solution.formula import Formula, T, amount, degrees, function, name, number, whole
from grader.solution.words import ANGULAR, IntervalContext, value_line
from grader.values.dimension import RATE, TIME, Dimension
from grader.values.scalar import ONE, Scalar, is_symbolic, to_float
from grader.values.term import Term
from grader.values.waveform import Waveform

COSINE, SINE, OMEGA, TAU, ALPHA, OMEGA0 = (name(letter) for letter in ("A", "B", "ω", "τ", "α", "ω0"))


def undetermined_coefficients(interval: IntervalContext, signal: Signal) -> tuple[BoardLine, ...]:
    """The differential equation, the form tried, the two equations and what solves them.

    Empty where the forced response is no single sinusoid (beside a constant), or the circuit of higher order.
    """
    found = interval.characteristic
    forced = interval.forced(signal)
    turning = [term for term in forced.terms if not _is_constant(term)]
    if len(turning) != 1 or found.order > 2 or (found.order == 1 and found.time_constant is None):
        return ()
    (term,) = turning
    if not term.frequency or term.rate or term.power or term.phase:
        return ()
    x, dimension, omega = signal.symbol, signal.dimension, term.frequency
    tried = COSINE * function("cos", OMEGA * T) + SINE * function("sin", OMEGA * T)
    p: Scalar
    if found.order == 1:
        assert found.time_constant is not None
        p, q, constant_share = ONE, omega * found.time_constant, ONE
        left = TAU * name(f"{x}'") + name(x)
        cosines, sines = COSINE + OMEGA * TAU * SINE, SINE - OMEGA * TAU * COSINE
    else:
        assert found.alpha is not None
        assert found.omega0 is not None
        constant_share = found.omega0 * found.omega0
        p, q = constant_share - omega * omega, found.alpha * omega * 2
        left = name(f"{x}''") + whole(2) * ALPHA * name(f"{x}'") + OMEGA0**2 * name(x)
        high, low = OMEGA0**2 - OMEGA**2, whole(2) * ALPHA * OMEGA
        cosines, sines = high * COSINE + low * SINE, high * SINE - low * COSINE
        dimension = dimension.over(TIME).over(TIME)
    in_cosine, in_sine = p * term.cosine + q * term.sine, p * term.sine - q * term.cosine
    steady = Waveform(tuple(t for t in forced.terms if _is_constant(t)), forced.exact)
    driving = steady.scaled(constant_share) + Waveform.of([Term(in_cosine, in_sine, frequency=omega)])
    rest: tuple[Formula, ...] = (name(f"{x},f(∞)") + tried,) if steady.terms else (tried,)
    own = signal.dimension
    return (
        value_line(OMEGA, value=omega, dimension=RATE, unit=ANGULAR),
        BoardLine(sides=(left,), value=driving, dimension=dimension),
        BoardLine(label="tried", sides=(name(f"{x},f(t)"), *rest)),
        value_line(cosines, value=in_cosine, dimension=dimension, label="cosines"),
        value_line(sines, value=in_sine, dimension=dimension, label="sines"),
        value_line(COSINE, value=term.cosine, dimension=own),
        value_line(SINE, value=term.sine, dimension=own),
        *_as_one_cosine(tried, term, own),
    )


def _as_one_cosine(waves: Formula, term: Term, dimension: Dimension) -> tuple[BoardLine, ...]:
    """Amplitude and phase; empty where letters leave open which way the phase points."""
    if is_symbolic(term.cosine) or is_symbolic(term.sine):
        return ()
    a, b, peak, angle = to_float(term.cosine), to_float(term.sine), name("M"), name("φ")
    cosine, sine = function("cos", angle), function("sin", angle)
    return (
        BoardLine(label="as one cosine", sides=(waves, peak * function("cos", OMEGA * T + angle))),
        BoardLine(sides=(peak, function("sqrt", COSINE**2 + SINE**2), amount(math.hypot(a, b), dimension))),
        BoardLine(sides=(cosine, COSINE / peak, number(a / math.hypot(a, b)))),
        BoardLine(sides=(sine, -(SINE / peak), number(-b / math.hypot(a, b)))),
        BoardLine(sides=(angle, degrees(math.atan2(-b, a)))),
    )


def _is_constant(term: Term) -> bool:
    return not (term.frequency or term.rate or term.power)
