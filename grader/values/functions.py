"""Functions of waveforms: exponentials, sines, powers, roots and logarithms, as far as they stay waveforms."""

from functools import lru_cache

import flint
from flint import fmpq

from grader.values.scalar import HALF, ONE, ZERO, Scalar, approximate, sqrt, working_precision
from grader.values.term import Term
from grader.values.waveform import NotAWaveform, Waveform, constant, number_of, reciprocal


def _linear(w: Waveform) -> tuple[Scalar, Scalar]:
    """Slope and constant of a waveform ``slope*t + constant``.

    Raises
    ------
    NotAWaveform
        If it is anything else.
    """
    slope: Scalar = ZERO
    offset: Scalar = ZERO
    for t in w.terms:
        if t.rate or t.frequency or t.offset or t.phase or t.power > 1:
            if w.is_constant and not w.is_symbolic:
                return ZERO, number_of(w)
            raise NotAWaveform("the exponent or angle must be a number times t plus a number")
        if t.power:
            slope = t.cosine
        else:
            offset = t.cosine
    return slope, offset


def exp(w: Waveform) -> Waveform:
    """e to the power of a waveform that is linear in t."""
    slope, offset = _linear(w)
    return Waveform((Term(ONE, rate=slope, offset=offset),), w.exact)


def cos(w: Waveform) -> Waveform:
    """Cosine of a waveform that is linear in t (radians)."""
    slope, offset = _linear(w)
    return Waveform.of((Term(ONE, frequency=slope, phase=offset),), w.exact)


def sin(w: Waveform) -> Waveform:
    """Sine of a waveform that is linear in t (radians)."""
    slope, offset = _linear(w)
    return Waveform.of((Term(ZERO, ONE, frequency=slope, phase=offset),), w.exact)


def cosh(w: Waveform) -> Waveform:
    """Hyperbolic cosine."""
    return (exp(w) + exp(-w)).scaled(HALF)


def sinh(w: Waveform) -> Waveform:
    """Hyperbolic sine."""
    return (exp(w) - exp(-w)).scaled(HALF)


def power(base: Waveform, exponent: Waveform) -> Waveform:
    """base to the power of exponent.

    Whole powers of anything; square roots of numbers exactly; any other power of a positive number
    (so that ``2^(-t/3)`` is an exponential), with its logarithm to 50 digits.

    Raises
    ------
    NotAWaveform
        If the result is no exponential polynomial.
    """
    if exponent.is_number and isinstance(exponent.number, fmpq):
        n = exponent.number
        if n.q == 1 and abs(n) <= MAX_POWER:
            return _whole_power(base, int(n.p))
        if base.is_number and n == HALF:
            return square_root(base)
        t = base.terms[0] if len(base.terms) == 1 else Term(ZERO)
        if t.cosine == 1 and not (t.power or t.frequency or t.phase):
            return Waveform((Term(ONE, rate=t.rate * n, offset=t.offset * n),), base.exact)
    if base.is_constant and not base.is_symbolic:
        if base.terms and base.terms[0] == _EULER:
            return exp(exponent)
        value = number_of(base)
        if value > 0:
            return exp(exponent * log(base))
    raise NotAWaveform("that power is no exponential in t")


MAX_POWER = 60
"""Largest whole power worked out term by term; no answer to a circuit problem needs more."""

_EULER = Term(ONE, offset=ONE)

EULER = Waveform((_EULER,))
"""The number e."""


@lru_cache(maxsize=1)
def pi() -> Waveform:
    """The number π, to `grader.values.scalar.APPROXIMATION_DIGITS` digits."""
    with working_precision():
        return constant(approximate(flint.arb.pi()), exact=False)


def _whole_power(base: Waveform, exponent: int) -> Waveform:
    if exponent < 0:
        base, exponent = reciprocal(base), -exponent
    if len(base.terms) > 1 and exponent > 8:
        raise NotAWaveform("so high a power of a sum is not worked out")
    result = constant(ONE)
    for _ in range(exponent):
        result = result * base
    return result


def log(w: Waveform) -> Waveform:
    """Natural logarithm of a positive constant, to 50 digits.

    Raises
    ------
    NotAWaveform
        If it depends on t or is not positive.
    """
    if len(w.terms) == 1 and w.is_constant and w.terms[0] == Term(ONE, offset=w.terms[0].offset):
        return constant(w.terms[0].offset, w.exact)
    value = number_of(w)
    if value <= 0:
        raise NotAWaveform("the logarithm of zero or a negative number is not real")
    with working_precision():
        return constant(approximate(flint.arb(value).log()), exact=False)


def square_root(w: Waveform) -> Waveform:
    """Square root of a non-negative number: exact where it can be; of a number that is not exact its digits are enough.

    Raises
    ------
    NotAWaveform
        If it depends on t or is negative.
    """
    if w.is_number and (w.exact or w.is_symbolic):
        try:
            return constant(sqrt(w.number), w.exact)
        except ValueError:
            pass
    value = number_of(w)
    if value < 0:
        raise NotAWaveform("the square root of a negative number is not real")
    with working_precision():
        return constant(approximate(flint.arb(value).sqrt()), exact=False)


def inverse(function: str, w: Waveform) -> Waveform:
    """Arc tangent, sine or cosine (``"atan"``, ``"asin"``, ``"acos"``) of a constant, to 50 digits.

    Raises
    ------
    NotAWaveform
        If it depends on t or no angle has that sine or cosine.
    """
    value = number_of(w)
    if function != "atan" and abs(value) > 1:
        raise NotAWaveform("no angle has a sine or a cosine beyond 1")
    with working_precision():
        return constant(approximate(getattr(flint.arb(value), function)()), exact=False)
