"""One term of a waveform, and what is done with terms: products, integrals, like ones added."""

import math
from collections.abc import Iterable
from typing import Any

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.values.scalar import HALF, ONE, ZERO, Scalar, sign, to_arb, to_float, working_precision


class Term(Struct, frozen=True):
    """One term of a waveform; ``frequency`` > 0, or 0 with ``phase`` >= 0."""

    cosine: Scalar
    sine: Scalar = ZERO
    power: int = 0
    rate: Scalar = ZERO
    frequency: Scalar = ZERO
    offset: Scalar = ZERO
    phase: Scalar = ZERO

    @property
    def kind(self) -> tuple[int, Scalar, Scalar, Scalar, Scalar]:
        """All but its coefficients: like terms have it in common."""
        return self.power, self.rate, self.frequency, self.offset, self.phase


class TermMode(Struct, frozen=True):
    """A term in plain floats, the constants worked in: ``t**k e^(rate t) (a cos + b sin)(frequency t)``."""

    cosine: float
    sine: float
    power: int
    rate: float
    frequency: float


NUMBERS = ("cosine", "sine", "rate", "frequency", "offset", "phase")
"""What a term holds besides its power of t."""

PLAIN = Term(ONE).kind
"""What a plain number has besides its coefficient."""

FEW = 8
"""Terms up to which like ones are found by comparing; beyond, by key (hashing a rational costs ten comparisons)."""


def sample(modes: Iterable[TermMode], time: float) -> float:
    """The value at `time` (seconds) of a waveform given as `TermMode` terms."""
    total = 0.0
    for m in modes:
        try:
            size = math.exp(m.rate * time) * time**m.power if m.power else math.exp(m.rate * time)
        except OverflowError:
            return math.inf
        angle = m.frequency * time
        total += size * (m.cosine * math.cos(angle) + m.sine * math.sin(angle)) if m.frequency else size * m.cosine
    return total


def oriented(t: Term) -> Term:
    """Make the frequency positive; of a pure constant, the phase."""
    if not t.frequency and not t.phase:
        return replace(t, sine=ZERO) if t.sine else t
    turn = sign(t.frequency) or sign(t.phase)
    if turn < 0:
        return replace(t, sine=-t.sine, frequency=-t.frequency, phase=-t.phase)
    return t


def collected(terms: Iterable[Term]) -> tuple[Term, ...]:
    """Canonical terms: oriented, like ones added, zero ones dropped."""
    turned = [oriented(term) for term in terms]
    added = _like_terms_of_few(turned) if len(turned) <= FEW else _like_terms(turned)
    return tuple([t for t in added if t.cosine or t.sine])


def _like_terms_of_few(terms: Iterable[Term]) -> list[Term]:
    """Like terms added, each compared with the others."""
    collected: list[Term] = []
    for term in terms:
        key = term.kind
        for index, present in enumerate(collected):
            if present.kind == key:
                collected[index] = replace(term, cosine=present.cosine + term.cosine, sine=present.sine + term.sine)
                break
        else:
            collected.append(term)
    return collected


def _like_terms(terms: Iterable[Term]) -> Iterable[Term]:
    """Like terms added, found by key."""
    collected: dict[tuple[Any, ...], Term] = {}
    for term in terms:
        key = term.kind
        present = collected.get(key)
        collected[key] = (
            term
            if present is None
            else replace(term, cosine=present.cosine + term.cosine, sine=present.sine + term.sine)
        )
    return collected.values()


def product(a: Term, b: Term) -> tuple[Term, ...]:
    """Terms of a product."""
    power, rate, offset = a.power + b.power, a.rate + b.rate, a.offset + b.offset
    flat_a = not a.frequency and not a.phase
    flat_b = not b.frequency and not b.phase
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


def integrated(t: Term) -> list[Term]:
    """Terms of an indefinite integral over t."""
    if not t.rate and not t.frequency:
        k = fmpq(1, t.power + 1)
        return [replace(t, cosine=t.cosine * k, sine=t.sine * k, power=t.power + 1)]
    # Integration by parts: the antiderivative of e^(st)(a cos + b sin) is e^(st)(A cos + B sin) with
    # A = (a s - b w)/(s^2+w^2) and B = (a w + b s)/(s^2+w^2); then lower the power of t.
    size = t.rate * t.rate + t.frequency * t.frequency
    a = (t.cosine * t.rate - t.sine * t.frequency) / size
    b = (t.cosine * t.frequency + t.sine * t.rate) / size
    whole = replace(t, cosine=a, sine=b)
    if t.power == 0:
        return [whole]
    k = fmpq(-t.power)
    return [whole, *integrated(replace(t, cosine=a * k, sine=b * k, power=t.power - 1))]


def folded(t: Term) -> tuple[float, float]:
    """Amplitudes of cos(wt) and sin(wt) with offset and phase worked in."""
    if not t.offset and not t.phase:
        return to_float(t.cosine), to_float(t.sine)
    with working_precision():
        size = to_arb(t.offset).exp()
        sine, cosine = to_arb(t.phase).sin_cos()
        a, b = to_arb(t.cosine), to_arb(t.sine)
        return float(size * (a * cosine + b * sine)), float(size * (b * cosine - a * sine))
