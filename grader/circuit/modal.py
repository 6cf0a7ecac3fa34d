"""Waveforms of a free linear system ``z' = A z`` from its power sequence and its characteristic polynomial.

Let p1^m1 p2^m2 … be a polynomial that annihilates A, in factors irreducible over the rationals.  For each factor
there are polynomials in A (all with rational coefficients): the projection E on its part of the space, and there
the splitting A = P + N with p(P) = 0 and N nilpotent (Jordan and Chevalley).  Hence

    e^(At) z0 = sum over factors of  sum_k  t^k/k!  N^k  e^(Pt)  E z0,

and e^(Pt) has the degree of p only: an exponential, a pair of exponentials or a damped sinusoid with the radical
of the quadratic formula, or, for a degree of three and more, exponentials at numerically enclosed roots.  Of each
signal c z only the numbers c A^j z0 are needed.  Terms that a signal does not hold drop out exactly.

References
----------
J. E. Humphreys, Introduction to Lie Algebras and Representation Theory, Springer 1972, section 4.2, for the splitting
by Newton's iteration (from memory).
E. J. Routh, A Treatise on the Stability of a Given State of Motion, Macmillan 1877, for the array (from memory).
"""

import math
from collections.abc import Sequence
from itertools import zip_longest

import flint
from flint import fmpq, fmpq_poly
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elimination import Row
from grader.circuit.polynomial import (
    UNIT,
    Polynomial,
    S,
    composed,
    derivative,
    divided,
    inverse,
    multiplied,
    plus,
    power,
    remainder,
    times,
)
from grader.errors import NotDefined
from grader.values.scalar import (
    HALF,
    ONE,
    ZERO,
    Scalar,
    approximate,
    is_symbolic,
    sign,
    sqrt,
    to_arb,
    to_float,
    working_precision,
)
from grader.values.symbolic import Symbolic
from grader.values.term import Term
from grader.values.waveform import Waveform

Factors = Sequence[tuple[Polynomial, int]]


class Mode(Struct, frozen=True, kw_only=True):
    """One irreducible factor: for every power k of t the polynomials ``N^k P^i E``, i below the factor's degree."""

    factor: Polynomial
    weights: tuple[tuple[Polynomial, ...], ...]

    @property
    def intricate(self) -> bool:
        """Whether its roots are given by no quadratic formula."""
        return len(self.factor) > 3


def modes(factors: Factors) -> tuple[Mode, ...]:
    """Split the space by the factors of an annihilating polynomial."""
    whole = multiplied(factors)
    found = []
    for factor, count in factors:
        own = power(factor, count)
        others = divided(whole, own)[0]
        projection = remainder(times(others, inverse(others, own)), whole)
        semisimple = _semisimple(factor, count)
        nilpotent = plus(S, semisimple, -ONE)
        weights = []
        across = UNIT
        for _ in range(count):
            along = across
            row = []
            for _ in range(len(factor) - 1):
                row.append(remainder(times(along, projection), whole))
                along = remainder(times(along, semisimple), own)
            weights.append(tuple(row))
            across = remainder(times(across, nilpotent), own)
        found.append(Mode(factor=factor, weights=tuple(weights)))
    return tuple(found)


def _semisimple(factor: Polynomial, count: int) -> Polynomial:
    """The polynomial P in s with factor(P) = 0 modulo factor^count and P = s modulo factor."""
    modulus = power(factor, count)
    root = remainder(S, modulus)
    reached = 1
    while reached < count:
        slope = inverse(composed(derivative(factor), root, modulus), modulus)
        root = remainder(plus(root, times(composed(factor, root, modulus), slope), -ONE), modulus)
        reached *= 2
    return root


def characteristic_polynomial(matrix: Sequence[Row], size: int) -> Polynomial:
    """det(s - A), lowest power first (Faddeev and LeVerrier: no division but by whole numbers).

    Rows may run on into further columns, which are ignored.
    """
    coefficients: list[Scalar] = [ONE]
    product: list[dict[int, Scalar]] = [{} for _ in range(size)]
    for step in range(1, size + 1):
        for i in range(size):
            diagonal = product[i].get(i, ZERO) + coefficients[-1]
            product[i][i] = diagonal
        product = [_row_times(matrix[i], product, size) for i in range(size)]
        trace: Scalar = ZERO
        for i in range(size):
            trace = trace + product[i].get(i, ZERO)
        coefficients.append(-trace / fmpq(step))
    return tuple(reversed(coefficients))


def _row_times(row: Row, matrix: Sequence[dict[int, Scalar]], size: int) -> dict[int, Scalar]:
    total: dict[int, Scalar] = {}
    for inner, left in row.items():
        if inner < size:
            for column, right in matrix[inner].items():
                total[column] = total.get(column, ZERO) + left * right
    return total


# -- constants ------------------------------------------------------------------------------------


class PowerSequence(Struct, frozen=True):
    """``z0, A z0, A^2 z0 …`` for start values that hold transcendental constants."""

    parts: tuple[tuple[Waveform, tuple[tuple[Scalar, ...], ...]], ...]
    """The start values split as sum of constant (a waveform like ``e^(-5)``) times vector of scalars, each vector
    followed by its products with the powers of A."""
    exact: bool
    """Whether all start values are, and the annihilating polynomial."""

    @staticmethod
    def of(matrix: Sequence[Row], start: Sequence[Waveform], length: int, exact: bool) -> "PowerSequence":
        """Compute the sequence; `length` is the degree of the annihilating polynomial, `exact` whether it is."""
        split: dict[Waveform, list[Scalar]] = {}
        for index, value in enumerate(start):
            for term in value.terms:
                for part, own in ((term.cosine, (ONE, ZERO)), (term.sine, (ZERO, ONE))):
                    if part:
                        key = Waveform((replace(term, cosine=own[0], sine=own[1]),))
                        split.setdefault(key, [ZERO] * len(start))[index] = part
        parts = []
        for constant, first in split.items():
            vectors = [tuple(first)]
            for _ in range(length - 1):
                vectors.append(tuple(_dot(row, vectors[-1]) for row in matrix))
            parts.append((constant, tuple(vectors)))
        return PowerSequence(tuple(parts), exact and all(value.exact for value in start))


def _dot(row: Row, vector: Sequence[Scalar]) -> Scalar:
    total: Scalar = ZERO
    for column, value in row.items():
        total = total + value * vector[column]
    return total


def waveform(row: Row, sequence: PowerSequence, space: Sequence[Mode]) -> Waveform:
    """The signal ``row · e^(At) z0`` as a waveform in time counted from the start."""
    total = Waveform()
    for constant, vectors in sequence.parts:
        numbers = [_dot(row, vector) for vector in vectors]
        terms: list[Term] = []
        exact = sequence.exact
        for mode in space:
            for height, weights in enumerate(mode.weights):
                along = [_weighted(weight, numbers, sequence.exact) for weight in weights]
                if any(along):
                    exact = exact and len(along) < 3
                    scale = fmpq(1, math.factorial(height))
                    terms.extend(replace(t, power=height) for t in _terms(mode.factor, [v * scale for v in along]))
        part = Waveform.of(terms, exact)
        total = total + (part if constant.is_number else part * constant)
    return total if sequence.exact else Waveform(total.terms, exact=False)


def beginning(row: Row, sequence: PowerSequence) -> Waveform:
    """The first terms of the power series of `waveform` in t, one for each power of the matrix: these need no root."""
    total = Waveform()
    for constant, vectors in sequence.parts:
        terms = (Term(_dot(row, z) / fmpq(math.factorial(k)), power=k) for k, z in enumerate(vectors))
        total = total + Waveform.of(terms) * constant
    return Waveform(total.terms, sequence.exact)


NOISE = 1e-40
"""Share of what was added up below which a sum of 50-digit approximations counts as zero: ten digits to spare."""


def _weighted(weight: Polynomial, numbers: Sequence[Scalar], exact: bool) -> Scalar:
    products = [coefficient * number for coefficient, number in zip(weight, numbers, strict=False)]
    total: Scalar = sum(products, start=ZERO)
    if exact:
        return total
    return ZERO if abs(to_float(total)) < NOISE * sum(abs(to_float(product)) for product in products) else total


def _terms(factor: Polynomial, along: Sequence[Scalar]) -> list[Term]:
    """``c e^(Pt) x`` where p(P) = 0, from the numbers ``c P^i x``."""
    if len(factor) == 2:
        return [Term(along[0], rate=-factor[0])]
    if len(factor) > 3:
        return _numeric_terms(factor, along)
    damping = factor[1] * HALF
    square = damping * damping - factor[0]
    # (P + damping)^2 = square, so e^(Pt) = e^(-damping t) [cosh(bt) + (P + damping)/b sinh(bt)] with b^2 = square.
    lean = along[1] + damping * along[0]
    if certainly_negative(square):
        frequency = sqrt(-square)
        return [Term(along[0], lean / frequency, rate=-damping, frequency=frequency)]
    split = sqrt(square)
    even, odd = along[0] * HALF, lean / split * HALF
    return [Term(even + odd, rate=split - damping), Term(even - odd, rate=-split - damping)]


def certainly_negative(value: Scalar) -> bool:
    """Whether a value is negative whatever positive values its symbols take (coefficients of one sign decide)."""
    if isinstance(value, Symbolic):
        return all(c < 0 for c in value.top.coeffs()) and all(c > 0 for c in value.bottom.coeffs())
    return sign(value) < 0


def certainly_decays(factor: Polynomial) -> bool:
    """Whether all roots lie in the left half plane whatever positive values the symbols take (Routh's array)."""
    above, below = factor[::-2], factor[-2::-2]
    while below:
        if not certainly_negative(-below[0]):
            return False
        ratio = above[0] / below[0]
        rest = tuple(a - ratio * b for a, b in zip_longest(above[1:], below[1:], fillvalue=ZERO))
        above, below = below, rest
    return True


def numeric_roots(factor: Polynomial) -> list[flint.acb]:
    """Enclosures of the roots of an irreducible rational polynomial, at the working precision.

    Real roots have no imaginary part; roots on the imaginary axis (possible only where the polynomial is even)
    have no real part.
    """
    even = not any(factor[1::2])
    roots = [root for root, _ in fmpq_poly(list(factor)).numer().complex_roots()]
    return [flint.acb(0, root.imag) if even and root.real.contains(0) else root for root in roots]


def _numeric_terms(factor: Polynomial, along: Sequence[Scalar]) -> list[Term]:
    if any(is_symbolic(value) for value in factor):
        raise NotDefined(
            "the characteristic polynomial does not split into factors of first and second order, so the response has "
            "no closed form with symbols; give numbers"
        )
    terms = []
    slope = derivative(factor)
    with working_precision():
        numbers = [flint.acb(to_arb(value)) for value in along]
        for root in numeric_roots(factor):
            if root.imag < 0:
                continue
            # The part at one root: p(s)/(s - root) / p'(root), applied to the numbers; Horner gives the quotient.
            quotient: list[flint.acb] = []
            carried = flint.acb(0)
            for coefficient in reversed(factor[1:]):
                carried = carried * root + flint.acb(coefficient)
                quotient.insert(0, carried)
            weight = sum((q * x for q, x in zip(quotient, numbers, strict=True)), start=flint.acb(0))
            weight /= sum((flint.acb(c) * root**k for k, c in enumerate(slope)), start=flint.acb(0))
            rate, frequency = approximate(root.real), approximate(root.imag)
            if root.imag == 0:
                terms.append(Term(approximate(weight.real), rate=rate))
            else:
                terms.append(
                    Term(approximate(weight.real * 2), approximate(weight.imag * -2), rate=rate, frequency=frequency)
                )
    return terms
