"""Functions of s, the variable of the Laplace transform: rational ones, kept as numbers that hold one letter more.

With ``s`` a letter, sums, products and quotients of transforms, their lowest terms and their equality are those of any
answer in letters.

References
----------
M. Abramowitz, I. A. Stegun (eds.), Handbook of Mathematical Functions, National Bureau of Standards 1964 (AMS 55), table
29.3, among them pairs 29.3.8 to 29.3.10, 29.3.15, 29.3.16, 29.3.26 and 29.3.27.
"""

import math
from typing import Any, NamedTuple

from flint import fmpq, fmpq_poly
from msgspec.structs import replace

from grader.values.scalar import (
    ONE,
    ZERO,
    Scalar,
    Surd,
    approximate,
    is_symbolic,
    scalar_text,
    to_arb,
    to_float,
    working_precision,
)
from grader.values.symbolic import Symbolic
from grader.values.term import NUMBERS, PLAIN, Term
from grader.values.text import number_text
from grader.values.waveform import Waveform, constant

VARIABLE = "s"
"""The name of the variable, in 1/s."""

S = Symbolic.symbol(VARIABLE, (VARIABLE,))


IMPULSE = "delta"
"""The letter that stands for the unit impulse at t = 0 in an expression in t."""

DELTA = Symbolic.symbol(IMPULSE, (IMPULSE,))


class Fraction(NamedTuple):
    """A quotient of polynomials in s in lowest terms: coefficients, lowest power first; the bottom's last is one."""

    top: tuple[Scalar, ...]
    bottom: tuple[Scalar, ...]

    @property
    def value(self) -> Scalar:
        """The function of s that it is."""
        above, below = ZERO, ZERO
        for coefficient in reversed(self.top):
            above = above * S + coefficient
        for coefficient in reversed(self.bottom):
            below = below * S + coefficient
        return above / below

    @property
    def is_numeric(self) -> bool:
        """Whether no letter besides s occurs."""
        return not any(is_symbolic(value) for value in (*self.top, *self.bottom))

    @property
    def poles(self) -> list[complex]:
        """The zeros of the denominator, each as often as it counts (1/s)."""
        return _roots(self.bottom)

    @property
    def zeros(self) -> list[complex]:
        """The zeros of the numerator, likewise."""
        return _roots(self.top)


def _roots(coefficients: tuple[Scalar, ...]) -> list[complex]:
    if len(coefficients) < 2:
        return []
    with working_precision():
        found = fmpq_poly(list(coefficients)).numer().complex_roots()
    return [complex(root) for root, count in found for _ in range(count)]


def fraction(value: Scalar) -> Fraction:
    """A function of s taken apart."""
    if isinstance(value, Surd):
        value = sum((coefficient * _root(radicand) for radicand, coefficient in value.parts), start=ZERO)
    if not isinstance(value, Symbolic):
        return Fraction((value,) if value else (), (ONE,))
    top, bottom = (_by_power(part, value.names) for part in (value.top, value.bottom))
    lead = bottom[-1]
    return Fraction(tuple(c / lead for c in top), tuple(c / lead for c in bottom))


class Delayed(NamedTuple):
    """A part of a transform: what ``e^(-s delay)`` multiplies."""

    delay: Scalar
    fraction: Fraction


def delayed_parts(waveform: Waveform) -> tuple[Delayed, ...]:
    """A transform taken apart by its delays (s), in order of these; one part without a delay where there is nothing.

    Raises
    ------
    ValueError
        If it is no sum of quotients of polynomials in s times ``e^(-sT)``.
    """
    factors: dict[Scalar, Scalar] = {}
    for term in waveform.terms:
        power = fraction(term.offset)
        if term.power or term.rate or term.frequency or term.phase or len(power.bottom) > 1 or len(power.top) > 2:
            raise ValueError("a quotient of polynomials in s is needed, or several with factors e^(-sT)")
        size, slope = (*power.top, ZERO, ZERO)[:2]
        factors[-slope] = factors.get(-slope, ZERO) + term.cosine * _exponential(size)
    found = (Delayed(delay, fraction(factor)) for delay, factor in factors.items() if factor)
    ordered = sorted(found, key=lambda part: (is_symbolic(part.delay), _place(part.delay)))
    return tuple(ordered) or (Delayed(ZERO, fraction(ZERO)),)


def _place(delay: Scalar) -> Any:
    return scalar_text(delay) if is_symbolic(delay) else to_float(delay)


def _exponential(exponent: Scalar) -> Scalar:
    """e to the power of a number, to 50 digits."""
    if not exponent:
        return ONE
    with working_precision():
        return approximate(to_arb(exponent).exp())


def delayed_by(delay: Scalar) -> Waveform:
    """``e^(-s delay)``."""
    return Waveform((Term(ONE, offset=-S * delay),)) if delay else constant(ONE)


def _root(radicand: Any) -> Scalar:
    """The square root of a whole number, to 50 digits; no other has one among quotients of polynomials in s."""
    if not isinstance(radicand, int):
        raise ValueError("the square root of a function of s is no quotient of polynomials in s")  # noqa: TRY004 - a value, no type
    with working_precision():
        return approximate(to_arb(fmpq(radicand)).sqrt())


def _by_power(polynomial: Any, names: tuple[str, ...]) -> list[Scalar]:
    """A polynomial in s and letters, by powers of s."""
    place = names.index(VARIABLE) if VARIABLE in names else None
    letters = tuple(name for name in names if name != VARIABLE)
    parts: dict[int, dict[tuple[int, ...], fmpq]] = {}
    for written, coefficient in polynomial.to_dict().items():
        exponents = tuple(map(int, written))
        power = 0 if place is None else exponents[place]
        key = exponents if place is None else (*exponents[:place], *exponents[place + 1 :])
        parts.setdefault(power, {})[key] = coefficient
    one = {(0,) * len(letters): fmpq(1)}
    coefficients: list[Scalar] = []
    for power in range(max(parts, default=-1) + 1):
        own = parts.get(power, {})
        coefficients.append(Symbolic.from_terms(letters, own, one) if letters else own.get((), ZERO))
    return coefficients


def has_impulse(waveform: Waveform) -> bool:
    """Whether the unit impulse occurs in an expression."""
    return any(isinstance(term.cosine, Symbolic) and IMPULSE in term.cosine.names for term in waveform.terms)


def without_impulse(waveform: Waveform) -> tuple[Scalar, Waveform]:
    """The area of the impulse in an expression that holds ``δ``, and the rest.

    Raises
    ------
    ValueError
        If it is no multiple of the impulse and a waveform without one.
    """
    area: Scalar = ZERO
    rest: list[Term] = []
    for term in waveform.terms:
        held = term.cosine
        if not isinstance(held, Symbolic) or IMPULSE not in held.names:
            rest.append(term)
            continue
        at_zero, at_one = (_with_impulse(held, value) for value in (ZERO, ONE))
        if term.kind != PLAIN or _with_impulse(held, ONE + ONE) != at_zero + 2 * (at_one - at_zero):
            raise ValueError("an impulse can be multiplied by a number and added, no more")
        area = area + at_one - at_zero
        rest.append(replace(term, cosine=at_zero))
    return area, Waveform.of(rest, waveform.exact)


def _with_impulse(value: Symbolic, impulse: Scalar) -> Scalar:
    letters = {name: Symbolic.symbol(name, value.names) for name in value.names}
    found: Scalar = value.substitute({**letters, IMPULSE: impulse})
    return found


def transform(waveform: Waveform) -> Waveform:
    """The Laplace transform of a waveform that starts at t = 0, as a number in s; inexact where roots must be rounded.

    An impulse in it is transformed to its area.
    """
    total, waveform = without_impulse(waveform)
    exact = waveform.exact
    for term in waveform.terms:
        kept = replace(term, **{name: _plain(getattr(term, name)) for name in NUMBERS})
        exact = exact and kept == term and not term.offset and not term.phase
        total = total + _transformed(kept)
    return constant(total, exact)


def _plain(value: Any) -> Any:
    """A number as a rational; letters stay."""
    if isinstance(value, Surd) and not is_symbolic(value):
        with working_precision():
            return approximate(to_arb(value))
    return value


def _transformed(t: Term) -> Scalar:
    """One term: with ``p = s - rate``, ``k!/(p - j frequency)^(k+1)`` has the cosine's transform as real part."""
    cosine, sine = t.cosine, t.sine
    if t.offset or t.phase:
        with working_precision():
            size, (turned, straight) = to_arb(t.offset).exp(), to_arb(t.phase).sin_cos()
            a, b = to_arb(cosine), to_arb(sine)
            cosine = approximate(size * (a * straight + b * turned))
            sine = approximate(size * (b * straight - a * turned))
    p = S - t.rate
    real, imaginary = ONE, ZERO
    for _ in range(t.power + 1):
        real, imaginary = real * p - imaginary * t.frequency, real * t.frequency + imaginary * p
    square = p * p + t.frequency * t.frequency
    whole = (cosine * real + sine * imaginary) * fmpq(math.factorial(t.power))
    for _ in range(t.power + 1):
        whole = whole / square
    return whole


def transform_text(waveform: Waveform) -> str:
    """A transform as an instructor writes it; "" where letters besides s occur."""
    text = ""
    for delay, found in delayed_parts(waveform):
        if is_symbolic(delay) or not found.is_numeric:
            return ""
        negative = bool(text) and to_float(found.top[-1]) < 0
        part = fraction_text(Fraction(tuple(-value for value in found.top), found.bottom) if negative else found)
        if delay:
            part = f"({part}) e^(-{number_text(to_float(delay))} s)"
        text += f"{' - ' if negative else ' + '}{part}" if text else part
    return text


def fraction_text(found: Fraction) -> str:
    """A quotient of polynomials without letters besides s, highest power first: ``5 s/(s^2 + 6 s + 25)``."""
    top, bottom = (_polynomial_text(side) for side in found)
    if bottom == "1":
        return top
    return "/".join(f"({side})" if " + " in side or " - " in side else side for side in (top, bottom))


def _polynomial_text(coefficients: tuple[Scalar, ...]) -> str:
    text = ""
    for power, value in reversed(list(enumerate(coefficients))):
        size = abs(to_float(value))
        if size:
            letter = {0: "", 1: VARIABLE}.get(power, f"{VARIABLE}^{power}")
            term = letter if size == 1 and power else " ".join(filter(None, (number_text(size), letter)))
            sign = "-" if to_float(value) < 0 else "+"
            text += f" {sign} {term}" if text else f"{'-' if sign == '-' else ''}{term}"
    return text or "0"
