"""Polynomials in s over exact scalars: tuples of coefficients, lowest power first, no leading zero.

Only what modal analysis needs.  Coefficients are rationals or rational functions of symbols; factoring goes
to flint.
"""

from collections.abc import Iterable
from typing import Any, TypeAlias

from flint import Ordering, fmpq, fmpq_mpoly_ctx, fmpq_poly

from grader.values.scalar import (
    HALF,
    ONE,
    ZERO,
    Scalar,
    Surd,
    approximate,
    is_symbolic,
    sqrt,
    to_arb,
    working_precision,
)
from grader.values.symbolic import Symbolic

Polynomial: TypeAlias = tuple[Scalar, ...]

S: Polynomial = (ZERO, ONE)
UNIT: Polynomial = (ONE,)


def trimmed(coefficients: list[Scalar]) -> Polynomial:
    """Drop leading zeros."""
    while coefficients and coefficients[-1] == 0:
        coefficients.pop()
    return tuple(coefficients)


def plus(a: Polynomial, b: Polynomial, factor: Scalar = ONE) -> Polynomial:
    """``a + factor*b``."""
    total = [*a] + [ZERO] * (len(b) - len(a))
    for power, value in enumerate(b):
        total[power] = total[power] + value * factor
    return trimmed(total)


def times(a: Polynomial, b: Polynomial) -> Polynomial:
    """The product."""
    if not a or not b:
        return ()
    product: list[Scalar] = [ZERO] * (len(a) + len(b) - 1)
    for i, left in enumerate(a):
        if left != 0:
            for j, right in enumerate(b):
                product[i + j] = product[i + j] + left * right
    return trimmed(product)


def divided(a: Polynomial, b: Polynomial) -> tuple[Polynomial, Polynomial]:
    """Quotient and remainder."""
    rest = list(a)
    quotient: list[Scalar] = [ZERO] * max(len(a) - len(b) + 1, 0)
    lead = b[-1]
    for shift in range(len(a) - len(b), -1, -1):
        top = rest[shift + len(b) - 1]
        if top == 0:
            continue
        factor = top if lead == 1 else top / lead
        quotient[shift] = factor
        for power, value in enumerate(b):
            rest[shift + power] = rest[shift + power] - value * factor
    return trimmed(quotient), trimmed(rest[: len(b) - 1])


def remainder(a: Polynomial, modulus: Polynomial) -> Polynomial:
    """a modulo a polynomial."""
    return a if len(a) < len(modulus) else divided(a, modulus)[1]


def inverse(a: Polynomial, modulus: Polynomial) -> Polynomial:
    """The polynomial u with ``u*a = 1`` modulo `modulus` (which must have no factor in common with a)."""
    previous, current = modulus, remainder(a, modulus)
    u_previous: Polynomial = ()
    u_current: Polynomial = UNIT
    while len(current) > 1:
        quotient, rest = divided(previous, current)
        previous, current = current, rest
        u_previous, u_current = u_current, plus(u_previous, times(quotient, u_current), -ONE)
    return tuple(value / current[0] for value in u_current)


def power(a: Polynomial, exponent: int) -> Polynomial:
    """A whole power."""
    result = UNIT
    for _ in range(exponent):
        result = times(result, a)
    return result


def multiplied(factors: Iterable[tuple[Polynomial, int]]) -> Polynomial:
    """The product of factors with their multiplicities."""
    whole = UNIT
    for factor, count in factors:
        whole = times(whole, power(factor, count))
    return whole


def composed(outer: Polynomial, inner: Polynomial, modulus: Polynomial) -> Polynomial:
    """``outer(inner(s))`` modulo a polynomial (Horner's scheme)."""
    total: Polynomial = ()
    for value in reversed(outer):
        total = plus(remainder(times(total, inner), modulus), trimmed([value]))
    return total


def derivative(a: Polynomial) -> Polynomial:
    """d/ds."""
    return tuple(value * fmpq(power) for power, value in enumerate(a))[1:]


def factored(monic: Polynomial) -> tuple[tuple[Polynomial, int], ...]:
    """The monic irreducible factors with their multiplicities, over the rationals or the symbols' field.

    Where coefficients hold square roots the product of the factors may differ from the polynomial in the 50th digit.
    """
    if len(monic) <= 1:
        return ()
    if len(monic) == 2:
        return ((monic, 1),)
    symbolic = next((value for value in monic if is_symbolic(value)), None)
    if symbolic is None and any(isinstance(value, Surd) for value in monic):
        return _factored_with_surds(monic)
    if symbolic is None:
        found = [(tuple(factor.coeffs()), int(count)) for factor, count in fmpq_poly(list(monic)).factor()[1]]
        return tuple((tuple(fmpq(value) / factor[-1] for value in factor), count) for factor, count in found)
    assert isinstance(symbolic, Symbolic)
    return _factored_with_symbols(monic, symbolic.names)


def _factored_with_surds(monic: Polynomial) -> tuple[tuple[Polynomial, int], ...]:
    """Exact where a quadratic's discriminant is rational; else the factors of the 50-digit approximation."""
    if len(monic) == 3:
        half = monic[1] * HALF
        square = half * half - monic[0]
        if square == 0:
            return (((half, ONE), 2),)
        if isinstance(square, fmpq):
            if square < 0:
                return ((monic, 1),)
            split = sqrt(square)
            return (((half - split, ONE), 1), ((half + split, ONE), 1))
    with working_precision():
        return factored(tuple(approximate(to_arb(value)) for value in monic))


def _factored_with_symbols(monic: Polynomial, names: tuple[str, ...]) -> tuple[tuple[Polynomial, int], ...]:
    """Clear denominators and factor as a polynomial in s and the symbols."""
    context = fmpq_mpoly_ctx.get((*names, "s"), Ordering.lex)
    bottom = None
    for value in monic:
        if isinstance(value, Symbolic):
            bottom = value.bottom if bottom is None else bottom * value.bottom / bottom.gcd(value.bottom)
    whole = context.constant(0)
    for exponent, value in enumerate(monic):
        top: Any = value.top * (bottom / value.bottom) if isinstance(value, Symbolic) else bottom * value
        lifted = context.from_dict({(*key, exponent): c for key, c in top.to_dict().items()})
        whole = whole + lifted
    factors = []
    for factor, count in whole.factor()[1]:
        by_power: dict[int, dict[tuple[int, ...], fmpq]] = {}
        for key, coefficient in factor.to_dict().items():
            by_power.setdefault(int(key[-1]), {})[tuple(key[:-1])] = coefficient
        degree = max(by_power)
        if degree == 0:
            continue  # a common factor of the cleared denominators
        lead = by_power[degree]
        factors.append(
            (tuple(Symbolic.from_terms(names, by_power.get(k, {}), lead) for k in range(degree + 1)), int(count))
        )
    return tuple(factors)
