"""Second order: what α with ω0 or ωd, two roots, or a quadratic polynomial say of roots, damping and response.

A polynomial in s is kept as one in t.
"""

from collections.abc import Mapping

from flint import fmpq
from msgspec import Struct

from grader.errors import NotDefined
from grader.quantities.rules import Answer, Roots
from grader.quantities.steps import value_of
from grader.values.functions import cos, exp, sin, square_root
from grader.values.scalar import HALF, ONE, ZERO, Scalar, sign, to_float
from grader.values.waveform import TIME, Waveform, constant, number_of, scalar_of

OVERDAMPED, CRITICAL, UNDERDAMPED, UNDAMPED = "overdamped", "critically damped", "underdamped", "undamped"

EQUAL_WITHIN = 0.005
"""Two rounded values this close (as a share) count as equal in critical damping: α = 50.0, ω0 = 49.9."""


def coefficients(polynomial: Waveform) -> dict[int, Scalar]:
    """The coefficients by power.

    Raises
    ------
    NotDefined
        If it is no polynomial in t.
    """
    found = {}
    for term in polynomial.terms:
        if any((term.rate, term.frequency, term.offset, term.phase)):
            raise NotDefined("a polynomial with plain numbers or letters is asked")
        found[term.power] = term.cosine
    return found


def monic(polynomial: Waveform) -> Waveform:
    """A polynomial over its leading coefficient.

    Raises
    ------
    NotDefined
        If it is none, or a plain number.
    """
    found = coefficients(polynomial)
    degree = max(found, default=0)
    if not degree:
        raise NotDefined("an equation in s, or with derivatives, is asked")
    return polynomial.scaled(ONE / found[degree])


def halves(named: Mapping[str, Answer]) -> tuple[Waveform, Waveform]:
    """α and ω0² by what is named: ``roots``, the polynomial ``p``, or ``alpha`` with ``omega_d`` or ``omega0``.

    Of two roots they are ``-(s1+s2)/2`` and ``s1 s2``.

    Raises
    ------
    NotDefined
        If there are not two roots, or the polynomial is of another degree.
    """
    if "roots" in named:
        roots = named["roots"]
        if not isinstance(roots, tuple) or len(roots) != 2:
            raise NotDefined("two roots are needed")
        (a, b), (c, d) = roots
        return (a + c).scaled(-HALF), a * a + b * b if b.terms or d.terms else a * c
    if "p" in named:
        found = coefficients(monic(value_of(named, "p")))
        if max(found) != 2:
            raise NotDefined("a polynomial of second order is needed")
        return constant(found.get(1, ZERO) * HALF), constant(found.get(0, ZERO))
    alpha = value_of(named, "alpha")
    if "omega_d" in named:
        omega_d = value_of(named, "omega_d")
        return alpha, alpha * alpha + omega_d * omega_d
    omega0 = value_of(named, "omega0")
    return alpha, omega0 * omega0


def number(named: Mapping[str, Answer], *, name: str) -> Waveform:
    """``alpha``, ``omega0``, ``omega_d`` or ``zeta`` by what `halves` takes."""
    alpha, square = halves(named)
    if name == "alpha":
        return alpha
    if name == "omega_d":
        return square_root(square - alpha * alpha)
    omega0 = square_root(square)
    return omega0 if name == "omega0" else alpha / omega0


def quadratic(named: Mapping[str, Answer]) -> Waveform:
    """``s² + 2 α s + ω0²``, by what `halves` takes."""
    alpha, square = halves(named)
    return TIME * TIME + (alpha + alpha) * TIME + square


def roots_of(named: Mapping[str, Answer]) -> Roots:
    """The roots of `quadratic`, the one nearer zero (or with the positive imaginary part) first."""
    alpha, square = halves(named)
    discriminant = alpha * alpha - square
    direction = sign_of(discriminant)
    if direction == 0:
        return ((-alpha, Waveform()), (-alpha, Waveform()))
    root = square_root(discriminant if direction > 0 else -discriminant)
    if direction > 0:
        return ((-alpha + root, Waveform()), (-alpha - root, Waveform()))
    return ((-alpha, root), (-alpha, -root))


def sign_of(value: Waveform) -> int:
    """The sign of a number (of a symbol's leading coefficient)."""
    return sign(scalar_of(value))


def type_of(alpha: Waveform, omega0: Waveform, within: float) -> str:
    """The damping type; α and ω0 count as equal where they differ by less than a share ``within``."""
    if alpha == Waveform():
        return UNDAMPED
    if within and not (alpha.is_symbolic or omega0.is_symbolic):
        a, w = to_float(number_of(alpha)), to_float(number_of(omega0))
        if abs(a - w) <= within * abs(w):
            return CRITICAL
    direction = sign_of(alpha * alpha - omega0 * omega0)
    return CRITICAL if direction == 0 else OVERDAMPED if direction > 0 else UNDERDAMPED


def type_from(named: Mapping[str, Answer]) -> str:
    """The damping type that a student's values mean: ``zeta``, or what `halves` takes."""
    if "zeta" in named:
        return type_of(value_of(named, "zeta"), constant(ONE), EQUAL_WITHIN)
    alpha, square = halves(named)
    return type_of(alpha, square_root(square), EQUAL_WITHIN)


class SecondOrder(Struct, frozen=True, kw_only=True):
    """Final value and natural response, in local time."""

    kind: str
    """`OVERDAMPED`: ``a e^(s1 t) + b e^(s2 t)`` with s1 = -alpha + beta and s2 = -alpha - beta; `CRITICAL`: ``(a +
    b t) e^(-alpha t)``; `UNDERDAMPED`: ``e^(-alpha t) (a cos(beta t) + b sin(beta t))``."""
    xf: Waveform
    """What the response settles to, a value or a function of t."""
    a: Waveform
    b: Waveform
    alpha: Waveform
    """The rate of decay, 1/s."""
    beta: Waveform
    """The other rate, 1/s."""
    start: fmpq
    """Start of the interval, seconds."""

    @property
    def expression(self) -> Waveform:
        """In global time."""
        time = TIME - constant(self.start)
        if self.kind == OVERDAMPED:
            slow, fast = -self.alpha + self.beta, -self.alpha - self.beta
            return self.xf + self.a * exp(slow * time) + self.b * exp(fast * time)
        decay = exp(-(self.alpha * time))
        if self.kind == CRITICAL:
            return self.xf + (self.a + self.b * time) * decay
        return self.xf + decay * (self.a * cos(self.beta * time) + self.b * sin(self.beta * time))


def response(named: Mapping[str, Answer], *, start: fmpq) -> SecondOrder:
    """The response from ``x0``, ``slope``, ``xf`` and what `halves` takes, or with constants ``a`` and ``b`` in place of the ends.

    With t counted from ``start`` (seconds), ``x = xf + y`` where y solves ``y'' + 2 α y' + ω0² y = 0`` with
    ``y(0) = x0 - xf(0)`` and ``y'(0) = slope - xf'(0)``; ``xf`` may vary with t.
    """
    alpha, square = halves(named)
    x0, slope, xf = (value_of(named, name) for name in ("x0", "slope", "xf"))
    excess, step = alpha * alpha - square, x0 - xf.at(start)
    slope = slope - xf.derivative().at(start)
    direction = sign_of(excess)
    if direction == 0:
        kind, beta, a, b = CRITICAL, Waveform(), step, slope + alpha * step
    elif direction > 0:
        kind, beta = OVERDAMPED, square_root(excess)
        a = (slope + (alpha + beta) * step) / (beta + beta)
        b = step - a
    else:
        kind, beta = UNDERDAMPED, square_root(-excess)
        a, b = step, (slope + alpha * step) / beta
    a, b = (value_of(named, name) if name in named else value for name, value in (("a", a), ("b", b)))
    return SecondOrder(kind=kind, xf=xf, a=a, b=b, alpha=alpha, beta=beta, start=start)


def expression(named: Mapping[str, Answer], *, start: fmpq) -> Waveform:
    """`response` as an expression."""
    return response(named, start=start).expression
