"""Waveforms: exponential polynomials in canonical form.

A waveform is a sum of terms

    t**k * exp(rate*t + offset) * [cosine*cos(frequency*t + phase) + sine*sin(frequency*t + phase)]

with real exact scalars.  A number is a waveform without t, so that constants met on the way (the
``e**-5`` left over when a second switch acts after five time constants) stay exact too.  Distinct
terms are linearly independent (for the constants by the Lindemann-Weierstrass theorem), hence two
waveforms are equal exactly when their canonical forms are the same.

References
----------
A. Baker, Transcendental Number Theory, Cambridge University Press 1975, chapter 1 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import zip_longest

import flint
from flint import fmpq
from msgspec import Struct
from msgspec.structs import astuple, replace

from grader.values.scalar import ONE, ZERO, Scalar, approximate, is_symbolic, sign, to_arb, to_float, working_precision
from grader.values.term import PLAIN, Term, TermMode, collected, folded, integrated, product, sample


class Waveform(Struct, frozen=True, eq=False):
    """A sum of terms, like terms collected and zero terms dropped.

    Parameters
    ----------
    terms : tuple of Term
        Canonical; build with `Waveform.of` or the functions below.
    exact : bool
        False where some number in it was approximated (to 50 digits): equality is then not decided
        by form, only by tolerance.
    """

    terms: tuple[Term, ...] = ()
    exact: bool = True

    @staticmethod
    def of(terms: Iterable[Term], exact: bool = True) -> Waveform:
        """Bring terms into canonical form."""
        return Waveform(collected(terms), exact)

    # -- arithmetic ------------------------------------------------------------------------------

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Waveform):
            return NotImplemented
        if len(self.terms) != len(other.terms):
            return False
        return self.terms == other.terms or all(term in other.terms for term in self.terms)

    def __ne__(self, other: object) -> bool:
        return not self == other  # a struct does not take it from `__eq__`

    def __hash__(self) -> int:
        return hash(frozenset(self.terms))

    def __neg__(self) -> Waveform:
        return Waveform(tuple([replace(t, cosine=-t.cosine, sine=-t.sine) for t in self.terms]), self.exact)

    def __add__(self, other: Waveform) -> Waveform:
        return Waveform.of((*self.terms, *other.terms), self.exact and other.exact)

    def __sub__(self, other: Waveform) -> Waveform:
        return self + (-other)

    def __mul__(self, other: Waveform) -> Waveform:
        exact = self.exact and other.exact
        if other.is_number:
            return self._scaled_by_number(other.number, exact)
        if self.is_number:
            return other._scaled_by_number(self.number, exact)
        return Waveform.of((t for a in self.terms for b in other.terms for t in product(a, b)), exact)

    def _scaled_by_number(self, factor: Scalar, exact: bool) -> Waveform:
        scaled = [replace(t, cosine=t.cosine * factor, sine=t.sine * factor) for t in self.terms] if factor else ()
        return Waveform(tuple(scaled), exact)

    def __truediv__(self, other: Waveform) -> Waveform:
        return self * reciprocal(other)

    def scaled(self, factor: Scalar) -> Waveform:
        """The waveform times an exact scalar."""
        return self._scaled_by_number(factor, self.exact)

    # -- what it is ------------------------------------------------------------------------------

    @property
    def is_number(self) -> bool:
        """Whether it is zero or a single plain scalar (no t, no exponential constant)."""
        return not self.terms or (len(self.terms) == 1 and self.terms[0].kind == PLAIN)

    @property
    def is_constant(self) -> bool:
        """Whether it does not depend on t."""
        return not any(t.power or t.rate or t.frequency for t in self.terms)

    @property
    def is_symbolic(self) -> bool:
        """Whether a symbol occurs in it."""
        for term in self.terms:
            for value in astuple(term):
                if type(value) is not fmpq and type(value) is not int and is_symbolic(value):
                    return True
        return False

    @property
    def number(self) -> Scalar:
        """The scalar, of a waveform that `is_number`.

        Raises
        ------
        ValueError
            If it is not a plain number.
        """
        if not self.terms:
            return ZERO
        if not self.is_number:
            raise ValueError("the waveform is not a plain number")
        return self.terms[0].cosine

    # -- calculus --------------------------------------------------------------------------------

    def derivative(self) -> Waveform:
        """d/dt."""
        terms: list[Term] = []
        for t in self.terms:
            if t.power:
                k = fmpq(t.power)
                terms.append(replace(t, cosine=t.cosine * k, sine=t.sine * k, power=t.power - 1))
            terms.append(
                replace(
                    t,
                    cosine=t.cosine * t.rate + t.sine * t.frequency,
                    sine=t.sine * t.rate - t.cosine * t.frequency,
                )
            )
        return Waveform.of(terms, self.exact)

    def antiderivative(self) -> Waveform:
        """An indefinite integral over t (integration constant left out)."""
        terms: list[Term] = []
        for term in self.terms:
            terms.extend(integrated(term))
        return Waveform.of(terms, self.exact)

    def delayed(self, delay: Scalar) -> Waveform:
        """The same waveform starting later: t replaced by t - delay (seconds)."""
        return self._with_time(ONE, -delay) if delay else self

    def _with_time(self, scale: Scalar, shift: Scalar) -> Waveform:
        """t replaced by scale*t + shift."""
        terms: list[Term] = []
        for t in self.terms:
            base = replace(
                t,
                rate=t.rate * scale,
                frequency=t.frequency * scale,
                offset=t.offset + t.rate * shift,
                phase=t.phase + t.frequency * shift,
            )
            for j in range(t.power + 1):
                factor = fmpq(math.comb(t.power, j)) * _power(scale, j) * _power(shift, t.power - j)
                terms.append(replace(base, cosine=t.cosine * factor, sine=t.sine * factor, power=j))
        return Waveform.of(terms, self.exact)

    def at(self, time: Scalar) -> Waveform:
        """Its value at an exact time (seconds), as a waveform without t."""
        return self._with_time(ZERO, time)

    def limit(self) -> Waveform | None:
        """Its value as t grows without bound; None where it grows or never settles."""
        kept: list[Term] = []
        for t in self.terms:
            if sign(t.rate) >= 0 and (t.rate or t.power or t.frequency):
                return None
            if not t.rate:
                kept.append(t)
        return Waveform(tuple(kept), self.exact)

    # -- numbers ---------------------------------------------------------------------------------

    def modes(self) -> tuple[TermMode, ...]:
        """The terms as floats, like ones collected; for comparison within a tolerance and plots.

        Raises
        ------
        TypeError
            If it holds symbols.
        """
        collected: dict[tuple[int, float, float], tuple[float, float]] = {}
        for t in self.terms:
            a, b = folded(t)
            key = (t.power, to_float(t.rate), to_float(t.frequency))
            before = collected.get(key, (0.0, 0.0))
            collected[key] = (before[0] + a, before[1] + b if key[2] else 0.0)  # sin(0 t) is nothing
        return tuple([TermMode(a, b, *key) for key, (a, b) in collected.items()])

    def value(self, time: float = 0.0) -> float:
        """Its value at a time in seconds, as a float."""
        return sample(self.modes(), time)


def constant(value: Scalar, exact: bool = True) -> Waveform:
    """A plain number as a waveform."""
    return Waveform((Term(value),) if value else (), exact)


TIME = Waveform((Term(ONE, power=1),))
"""The waveform t itself (seconds)."""


class NotAWaveform(ValueError):
    """The result of an operation lies outside the exponential polynomials."""


def _power(base: Scalar, exponent: int) -> Scalar:
    result: Scalar = ONE
    for _ in range(exponent):
        result = result * base
    return result


def number_of(w: Waveform) -> fmpq:
    """A constant waveform as one rational, to `APPROXIMATION_DIGITS` digits unless it is rational.

    Raises
    ------
    NotAWaveform
        If it depends on t, or on letters.
    """
    if w.is_number and isinstance(w.number, fmpq):
        return w.number
    if not w.is_constant or w.is_symbolic:
        raise NotAWaveform(f"a number is needed where {'letters stand' if w.is_constant else 't occurs'}")
    with working_precision():
        return approximate(enclosure(w))


def scalar_of(w: Waveform) -> Scalar:
    """A constant waveform as the number it is, letters and all; else as `number_of`, which an exponential in letters has not."""
    return w.number if w.is_number else number_of(w)


def enclosure(w: Waveform) -> flint.arb:
    """A ball around a constant waveform's value, at the current working precision."""
    total = flint.arb(0)
    for t in w.terms:
        sine, cosine = to_arb(t.phase).sin_cos()
        total += to_arb(t.offset).exp() * (to_arb(t.cosine) * cosine + to_arb(t.sine) * sine)
    return total


def reciprocal(w: Waveform) -> Waveform:
    """1 over a single exponential, or over a number.

    Raises
    ------
    NotAWaveform
        If the quotient is no exponential polynomial (a sum or a sine below the line).
    ZeroDivisionError
        For zero.
    """
    if not w.terms:
        raise ZeroDivisionError("division by zero")
    if len(w.terms) == 1:
        t = w.terms[0]
        if not t.power and not t.frequency and not t.phase:
            return Waveform((Term(ONE / t.cosine, rate=-t.rate, offset=-t.offset),), w.exact)
    if w.is_constant and not w.is_symbolic:
        return constant(ONE / number_of(w), exact=False)
    raise NotAWaveform("a sum or a sine of t stands below the line")


class Piecewise(Struct, frozen=True):
    """Waveforms by interval."""

    pieces: tuple[tuple[fmpq, Waveform], ...]
    """The instant (s) from which each holds, in order of time, and the waveform in global t; the last one lasts."""

    def stretches(self) -> Iterator[tuple[fmpq, fmpq | None, Waveform]]:
        """From when until when (None: for good) each piece holds, and the piece."""
        for (start, piece), following in zip_longest(self.pieces, self.pieces[1:]):
            yield start, None if following is None else following[0], piece
