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
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

import flint
from flint import fmpq

from grader.values.scalar import (
    HALF,
    ONE,
    ZERO,
    Scalar,
    approximate,
    is_symbolic,
    sign,
    to_arb,
    to_float,
    working_precision,
)


class Term(NamedTuple):
    """One term of a waveform; ``frequency`` > 0, or 0 with ``phase`` >= 0."""

    cosine: Scalar
    sine: Scalar = ZERO
    power: int = 0
    rate: Scalar = ZERO
    frequency: Scalar = ZERO
    offset: Scalar = ZERO
    phase: Scalar = ZERO

    def like(self, other: Term) -> bool:
        """Whether both differ in their coefficients alone."""
        return self[2:] == other[2:]


class Mode(NamedTuple):
    """A term in plain floats, the constants worked in: ``t**k e^(rate t) (a cos + b sin)(frequency t)``."""

    cosine: float
    sine: float
    power: int
    rate: float
    frequency: float


@dataclass(frozen=True, slots=True, eq=False)
class Waveform:
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
        oriented = [_oriented(term) for term in terms]
        collected = _like_terms_of_few(oriented) if len(oriented) <= FEW else _like_terms(oriented)
        return Waveform(tuple([t for t in collected if t.cosine != 0 or t.sine != 0]), exact)

    # -- arithmetic ------------------------------------------------------------------------------

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Waveform):
            return NotImplemented
        if len(self.terms) != len(other.terms):
            return False
        return self.terms == other.terms or all(term in other.terms for term in self.terms)

    def __hash__(self) -> int:
        return hash(frozenset(self.terms))

    def __neg__(self) -> Waveform:
        return Waveform(tuple([Term(-t.cosine, -t.sine, *t[2:]) for t in self.terms]), self.exact)

    def __add__(self, other: Waveform) -> Waveform:
        return Waveform.of((*self.terms, *other.terms), self.exact and other.exact)

    def __sub__(self, other: Waveform) -> Waveform:
        return self + (-other)

    def __mul__(self, other: Waveform) -> Waveform:
        exact = self.exact and other.exact
        if len(other.terms) == 1 and other.is_number:
            return self._scaled_by_number(other.terms[0].cosine, exact)
        if len(self.terms) == 1 and self.is_number:
            return other._scaled_by_number(self.terms[0].cosine, exact)
        return Waveform.of((t for a in self.terms for b in other.terms for t in _product(a, b)), exact)

    def _scaled_by_number(self, factor: Scalar, exact: bool) -> Waveform:
        return Waveform(tuple([Term(t.cosine * factor, t.sine * factor, *t[2:]) for t in self.terms]), exact)

    def __truediv__(self, other: Waveform) -> Waveform:
        return self * reciprocal(other)

    def scaled(self, factor: Scalar) -> Waveform:
        """The waveform times an exact scalar."""
        return Waveform() if factor == 0 else self._scaled_by_number(factor, self.exact)

    # -- what it is ------------------------------------------------------------------------------

    @property
    def is_number(self) -> bool:
        """Whether it is zero or a single plain scalar (no t, no exponential constant)."""
        return not self.terms or (len(self.terms) == 1 and self.terms[0][2:] == _PLAIN)

    @property
    def is_constant(self) -> bool:
        """Whether it does not depend on t."""
        return all(t.power == 0 and t.rate == 0 and t.frequency == 0 for t in self.terms)

    @property
    def is_symbolic(self) -> bool:
        """Whether a symbol occurs in it."""
        return any(is_symbolic(value) for t in self.terms for value in (*t[:2], *t[3:]))

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
                terms.append(t._replace(cosine=t.cosine * k, sine=t.sine * k, power=t.power - 1))
            terms.append(
                t._replace(
                    cosine=t.cosine * t.rate + t.sine * t.frequency,
                    sine=t.sine * t.rate - t.cosine * t.frequency,
                )
            )
        return Waveform.of(terms, self.exact)

    def antiderivative(self) -> Waveform:
        """An indefinite integral over t (integration constant left out)."""
        terms: list[Term] = []
        for term in self.terms:
            terms.extend(_integrated(term))
        return Waveform.of(terms, self.exact)

    def delayed(self, delay: Scalar) -> Waveform:
        """The same waveform starting later: t replaced by t - delay (seconds)."""
        return self._with_time(ONE, -delay)

    def _with_time(self, scale: Scalar, shift: Scalar) -> Waveform:
        """t replaced by scale*t + shift."""
        if shift == 0 and scale == 1:
            return self
        terms: list[Term] = []
        for t in self.terms:
            base = t._replace(
                rate=t.rate * scale,
                frequency=t.frequency * scale,
                offset=t.offset + t.rate * shift,
                phase=t.phase + t.frequency * shift,
            )
            for j in range(t.power + 1):
                factor = fmpq(math.comb(t.power, j)) * _power(scale, j) * _power(shift, t.power - j)
                terms.append(base._replace(cosine=t.cosine * factor, sine=t.sine * factor, power=j))
        return Waveform.of(terms, self.exact)

    def at(self, time: Scalar) -> Waveform:
        """Its value at an exact time (seconds), as a waveform without t."""
        return self._with_time(ZERO, time)

    def limit(self) -> Waveform | None:
        """Its value as t grows without bound; None where it grows or never settles."""
        kept: list[Term] = []
        for t in self.terms:
            direction = sign(t.rate)
            if direction > 0 or (direction == 0 and (t.power or t.frequency != 0)):
                return None
            if direction == 0:
                kept.append(t)
        return Waveform(tuple(kept), self.exact)

    # -- numbers ---------------------------------------------------------------------------------

    def modes(self) -> tuple[Mode, ...]:
        """The terms as floats, like ones collected; for comparison within a tolerance and plots.

        Raises
        ------
        TypeError
            If it holds symbols.
        """
        collected: dict[tuple[int, float, float], tuple[float, float]] = {}
        for t in self.terms:
            a, b = _folded(t)
            key = (t.power, to_float(t.rate), to_float(t.frequency))
            before = collected.get(key, (0.0, 0.0))
            collected[key] = (before[0] + a, before[1] + b)
        return tuple(Mode(a, b, *key) for key, (a, b) in collected.items())

    def value(self, time: float = 0.0) -> float:
        """Its value at a time in seconds, as a float."""
        return sample(self.modes(), time)


_PLAIN = Term(ONE)[2:]


def sample(modes: Iterable[Mode], time: float) -> float:
    """The value at `time` (seconds) of a waveform given as `Mode` terms."""
    total = 0.0
    for a, b, power, rate, frequency in modes:
        try:
            size = math.exp(rate * time) * time**power
        except OverflowError:
            return math.inf
        angle = frequency * time
        total += size * (a * math.cos(angle) + b * math.sin(angle))
    return total


def constant(value: Scalar, exact: bool = True) -> Waveform:
    """A plain number as a waveform."""
    return Waveform((Term(value),) if value != 0 else (), exact)


TIME = Waveform((Term(ONE, power=1),))
"""The waveform t itself (seconds)."""


FEW = 8
"""Terms up to which like ones are found by comparing; beyond, by key (hashing a rational costs ten comparisons)."""


def _like_terms_of_few(terms: Iterable[Term]) -> list[Term]:
    """Like terms added, each compared with the others."""
    collected: list[Term] = []
    for term in terms:
        key = term[2:]
        for index, present in enumerate(collected):
            if present[2:] == key:
                collected[index] = Term(present.cosine + term.cosine, present.sine + term.sine, *key)
                break
        else:
            collected.append(term)
    return collected


def _like_terms(terms: Iterable[Term]) -> Iterable[Term]:
    """Like terms added, found by key."""
    collected: dict[tuple[Any, ...], Term] = {}
    for term in terms:
        key = term[2:]
        present = collected.get(key)
        collected[key] = term if present is None else Term(present.cosine + term.cosine, present.sine + term.sine, *key)
    return collected.values()


class NotAWaveform(ValueError):
    """The result of an operation lies outside the exponential polynomials."""


def _oriented(t: Term) -> Term:
    """Make the frequency positive; of a pure constant, the phase."""
    if t.frequency == 0 and t.phase == 0:
        return t if t.sine == 0 else t._replace(sine=ZERO)
    turn = sign(t.frequency) or sign(t.phase)
    if turn < 0:
        return t._replace(sine=-t.sine, frequency=-t.frequency, phase=-t.phase)
    return t


def _product(a: Term, b: Term) -> tuple[Term, ...]:
    power, rate, offset = a.power + b.power, a.rate + b.rate, a.offset + b.offset
    flat_a = a.frequency == 0 and a.phase == 0
    flat_b = b.frequency == 0 and b.phase == 0
    if flat_a or flat_b:
        flat, other = (a, b) if flat_a else (b, a)
        return (
            Term(
                flat.cosine * other.cosine,
                flat.cosine * other.sine,
                power,
                rate,
                other.frequency,
                offset,
                other.phase,
            ),
        )
    # Angle sums: cos x cos y = [cos(x-y) + cos(x+y)]/2 and its companions.
    cc, ss = a.cosine * b.cosine * HALF, a.sine * b.sine * HALF
    cs, sc = a.cosine * b.sine * HALF, a.sine * b.cosine * HALF
    return (
        Term(cc - ss, sc + cs, power, rate, a.frequency + b.frequency, offset, a.phase + b.phase),
        Term(cc + ss, sc - cs, power, rate, a.frequency - b.frequency, offset, a.phase - b.phase),
    )


def _integrated(t: Term) -> list[Term]:
    if t.rate == 0 and t.frequency == 0:
        k = fmpq(1, t.power + 1)
        return [t._replace(cosine=t.cosine * k, sine=t.sine * k, power=t.power + 1)]
    # Integration by parts: the antiderivative of e^(st)(a cos + b sin) is e^(st)(A cos + B sin) with
    # A = (a s - b w)/(s^2+w^2) and B = (a w + b s)/(s^2+w^2); then lower the power of t.
    size = t.rate * t.rate + t.frequency * t.frequency
    a = (t.cosine * t.rate - t.sine * t.frequency) / size
    b = (t.cosine * t.frequency + t.sine * t.rate) / size
    whole = t._replace(cosine=a, sine=b)
    if t.power == 0:
        return [whole]
    k = fmpq(-t.power)
    return [whole, *_integrated(t._replace(cosine=a * k, sine=b * k, power=t.power - 1))]


def _power(base: Scalar, exponent: int) -> Scalar:
    result: Scalar = ONE
    for _ in range(exponent):
        result = result * base
    return result


def _folded(t: Term) -> tuple[float, float]:
    """Amplitudes of cos(wt) and sin(wt) with offset and phase worked in."""
    if t.offset == 0 and t.phase == 0:
        return to_float(t.cosine), to_float(t.sine)
    with working_precision():
        size = to_arb(t.offset).exp()
        sine, cosine = to_arb(t.phase).sin_cos()
        a, b = to_arb(t.cosine), to_arb(t.sine)
        return float(size * (a * cosine + b * sine)), float(size * (b * cosine - a * sine))


def number_of(w: Waveform) -> fmpq:
    """A constant waveform as one rational, to `APPROXIMATION_DIGITS` digits unless it is rational.

    Raises
    ------
    NotAWaveform
        If it depends on t.
    """
    if w.is_number and isinstance(w.number, fmpq):
        return w.number
    if not w.is_constant:
        raise NotAWaveform("a number is needed where t occurs")
    with working_precision():
        return approximate(enclosure(w))


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
        if t.power == 0 and t.frequency == 0 and t.phase == 0:
            return Waveform((Term(ONE / t.cosine, rate=-t.rate, offset=-t.offset),), w.exact)
    if w.is_constant and not w.is_symbolic:
        return constant(ONE / number_of(w), exact=False)
    raise NotAWaveform("a sum or a sine of t stands below the line")
