"""Arithmetic while an answer is worked out: plain numbers stay plain, sizes stay bounded, dimensions are tracked.

A value is a Scalar for a plain number (fast), else a Waveform.  A dimension is None where no unit was written.
"""

from functools import lru_cache
from typing import Any, TypeAlias

from flint import fmpq

from grader.reading.limits import MAX_CONSTANT_EXPONENT, MAX_PRODUCTS, MAX_SIZE_BITS
from grader.reading.value.complex_number import Complex, as_complex
from grader.values import functions
from grader.values import waveform as wave
from grader.values.dimension import NUMBER, Dimension
from grader.values.scalar import HALF, ONE, is_symbolic, sign
from grader.values.scalar import sqrt as scalar_root
from grader.values.waveform import Waveform

NOISE = 1e-9
"""Share of a complex number that rounding of angles and roots may leave of what cancels."""

Value: TypeAlias = Any
Worth: TypeAlias = tuple[Value, Dimension | None]


class EvaluationError(ValueError):
    """A tree that reads well but has no value here; its text is one sentence for the student."""


class UnknownName(EvaluationError):
    """A name whose value is not known."""


class NoResponse(EvaluationError, wave.NotAWaveform):
    """A value outside the waveforms that no algebra brings among them."""


class NotFinite(EvaluationError):
    """The answer says that there is no finite value."""


def as_waveform(value: Value) -> Waveform:
    """The value as a waveform; `NoResponse` if it is complex."""
    if type(value) is Complex:
        if _negligible(value.im, value.re):
            return value.re
        raise NoResponse("This answer is a complex number; what is asked is real.")
    return value if type(value) is Waveform else wave.constant(value)


def _negligible(part: Waveform, beside: Waveform) -> bool:
    """Whether a part is rounding noise beside another, as the imaginary one of a sum of rounded conjugates; with letters none is."""
    if part.is_symbolic or beside.is_symbolic:
        return not part.terms
    size = max((abs(mode.cosine) + abs(mode.sine) for mode in beside.modes()), default=0.0) if part.terms else 0.0
    return all(abs(mode.cosine) + abs(mode.sine) <= NOISE * size for mode in part.modes())


def numeric(value: Value) -> Waveform:
    """The value as a waveform without letters.

    Raises
    ------
    EvaluationError
        If letters occur whose values are not numbers.
    """
    waveform = as_waveform(value)
    if waveform.is_symbolic:
        raise EvaluationError("A step, a logarithm and the end of a range need numbers, not letters.")
    return waveform


def bounded(value: Value) -> Value:
    """The value, if its digits stay within bounds.

    Raises
    ------
    EvaluationError
        If they do not.
    """
    if type(value) is fmpq and (value.q.bit_length() > MAX_SIZE_BITS or value.p.bit_length() > MAX_SIZE_BITS):
        raise EvaluationError("The numbers in this answer grow beyond all bounds; write its result.")
    return value


def multiplied(left: Value, right: Value) -> Value:
    """The product, within bounds."""
    if Complex in {type(left), type(right)}:
        return as_complex(left) * right
    if type(left) is not Waveform:
        return right.scaled(left) if type(right) is Waveform else bounded(left * right)
    if type(right) is not Waveform:
        return left.scaled(right)
    if len(left.terms) * len(right.terms) > MAX_PRODUCTS:
        raise EvaluationError("This answer multiplies out to too many terms; write it in fewer.")
    return left * right


def divided(top: Value, bottom: Value) -> Value:
    """The quotient, within bounds."""
    if Complex in {type(top), type(bottom)}:
        return as_complex(top).over(bottom)
    if type(bottom) is Waveform:
        return multiplied(top, wave.reciprocal(bottom))
    if not bottom:
        raise ZeroDivisionError("The answer divides by zero.")
    return top.scaled(ONE / bottom) if type(top) is Waveform else bounded(top / bottom)


def exponential(value: Value) -> Value:
    """e to a power, within bounds.

    Raises
    ------
    NoResponse
        If the power is not linear in t: no algebra makes a response of that.
    """
    try:
        if type(value) is Complex:
            size, angle = _sized(functions.exp(value.re)), value.im
            return Complex(size * functions.cos(angle), size * functions.sin(angle))
        return _sized(functions.exp(as_waveform(value)))
    except wave.NotAWaveform as error:
        raise NoResponse(str(error)) from None


def square_root(value: Value) -> Value:
    """The square root of a number, exact where it can be; of letters, where it has a form here; imaginary below zero."""
    waveform = as_waveform(value)
    if waveform.is_constant and not waveform.is_symbolic and wave.number_of(waveform) < 0:
        return Complex(Waveform(), functions.square_root(-waveform))
    if waveform.is_symbolic and waveform.is_number:
        return wave.constant(scalar_root(waveform.number), waveform.exact)
    return functions.square_root(numeric(value))


def raised(base: Value, exponent: Value) -> Value:
    """Any power that is no whole power of a plain number, within bounds."""
    if exponent == HALF and as_waveform(base).is_constant:
        return square_root(base)
    return _sized(functions.power(as_waveform(base), as_waveform(exponent)))


def _sized(waveform: Waveform) -> Waveform:
    """The waveform, unless a constant in a power of e is beyond every number that a float can hold."""
    for term in waveform.terms:
        if (
            term.offset
            and not is_symbolic(term.offset)
            and sign(term.offset * term.offset - MAX_CONSTANT_EXPONENT**2) > 0
        ):
            raise EvaluationError("A power of e in this answer is too large to be meant.")
    return waveform


_product, _quotient = lru_cache(maxsize=4096)(Dimension.times), lru_cache(maxsize=4096)(Dimension.over)


def times(a: Dimension | None, b: Dimension | None) -> Dimension | None:
    """Dimension of a product; a plain number leaves it as it is."""
    if a is None or b is None:
        return b if a is None else a
    return _product(a, b)


def over(a: Dimension | None, b: Dimension | None) -> Dimension | None:
    """Dimension of a quotient; a plain number above the line counts as pure."""
    return a if b is None else _quotient(a or NUMBER, b)


def with_seconds(value: Value, dimension: Dimension | None) -> Dimension | None:
    """``1200 V/s t`` is a voltage: t counts in seconds, where a unit per second was written."""
    if dimension is None or dimension.second >= 0 or type(value) is not Waveform or not value.terms:
        return dimension
    seconds = min(-dimension.second, *(term.power for term in value.terms))
    return dimension._replace(second=dimension.second + seconds) if seconds else dimension
