"""Exact real numbers: rationals, sums of square roots, and rational functions of symbols.

Three tiers share Python's operators, so that code written once serves all of them:

* ``fmpq``: a rational number;
* `Surd`: a finite sum of rational multiples of square roots (roots of quadratics live here);
* `Symbolic` (in `grader.values.symbolic`): a rational function of positive symbols.

A result drops to the simplest tier that holds it, so zero is always the rational zero and equality
is decided by comparing canonical forms, never by rounding.
"""

import math
from collections.abc import Iterable
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import TYPE_CHECKING, Any, TypeAlias, Union

import flint
from flint import fmpq, fmpz

from grader.errors import NotDefined

if TYPE_CHECKING:
    from grader.values.symbolic import Symbolic

Scalar: TypeAlias = Union[fmpq, "Surd", "Symbolic"]
"""An exact number; it is false where it is zero, as numbers are (a surd or symbol never is: zero is always a rational)."""

ZERO = fmpq(0)
ONE = fmpq(1)
HALF = fmpq(1, 2)

APPROXIMATION_DIGITS = 50
"""Decimal digits kept where a number has no exact form here (cubic roots, logarithms)."""


def rational(number: str | int | fmpq | Decimal) -> fmpq:
    """Turn a decimal string or an integer into a rational, without passing through a float.

    Parameters
    ----------
    number : str, int, Decimal or fmpq
        ``"2.2e-3"``, ``"-4"``, ``"12/5"`` are understood.

    Raises
    ------
    ValueError
        If the text is not a finite decimal number or fraction.
    """
    if isinstance(number, fmpq):
        return number
    if isinstance(number, int):
        return fmpq(number)
    if isinstance(number, str) and "/" in number:
        above, _, below = number.partition("/")
        divisor = rational(below)
        if divisor == 0:
            raise ValueError(f"'{number}' divides by zero")
        return rational(above) / divisor
    try:
        top, bottom = Decimal(number).as_integer_ratio()
    except (InvalidOperation, ValueError, OverflowError):
        raise ValueError(f"'{number}' is not a finite decimal number") from None
    return fmpq(top, bottom)


class Surd:
    """An irrational sum of square roots, ``c1*sqrt(d1) + c2*sqrt(d2) + ...``.

    Parameters
    ----------
    parts : tuple of (radicand, coefficient)
        Radicands are squarefree: positive integers, or polynomials in the symbols; ``1`` holds the
        rational part.  At least one radicand differs from 1: anything else is a plain rational.
    """

    __slots__ = ("parts",)

    def __init__(self, parts: tuple[tuple[Any, Any], ...]) -> None:
        self.parts = parts

    @staticmethod
    def of(parts: Iterable[tuple[Any, Any]]) -> Scalar:
        """Collect like roots and drop to a rational where no root is left."""
        collected: list[tuple[Any, Any]] = []
        for radicand, coefficient in parts:
            for index, (present, value) in enumerate(collected):
                if present == radicand:
                    collected[index] = (present, value + coefficient)
                    break
            else:
                collected.append((radicand, coefficient))
        kept = [(radicand, coefficient) for radicand, coefficient in collected if coefficient != 0]
        if not kept:
            return ZERO
        if len(kept) == 1 and kept[0][0] == 1:
            return kept[0][1]
        kept.sort(key=_radicand_order)
        return Surd(tuple(kept))

    def __reduce__(self) -> tuple[type["Surd"], tuple[Any]]:
        return (Surd, (self.parts,))

    def __repr__(self) -> str:
        return f"Surd({scalar_text(self)})"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Surd) and self.parts == other.parts

    def __hash__(self) -> int:
        return hash(self.parts)

    def __neg__(self) -> Scalar:
        return Surd(tuple((radicand, -coefficient) for radicand, coefficient in self.parts))

    def __add__(self, other: Any) -> Scalar:
        return Surd.of((*self.parts, *_parts(other)))

    __radd__ = __add__

    def __sub__(self, other: Any) -> Scalar:
        return Surd.of((*self.parts, *((r, -c) for r, c in _parts(other))))

    def __rsub__(self, other: Any) -> Scalar:
        return (-self) + other

    def __mul__(self, other: Any) -> Scalar:
        products = []
        for left, a in self.parts:
            for right, b in _parts(other):
                outside, inside = _root_product(left, right)
                products.append((inside, a * b * outside))
        return Surd.of(products)

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> Scalar:
        if isinstance(other, Surd):
            return self * other.inverse()
        if other == 0:
            raise ZeroDivisionError("division by zero")
        return Surd.of((radicand, coefficient / other) for radicand, coefficient in self.parts)

    def __rtruediv__(self, other: Any) -> Scalar:
        return self.inverse() * other

    def inverse(self) -> Scalar:
        """1/self, by multiplying out one root at a time with its conjugate."""
        # A factor of one radicand that every other one holds whole or shares nothing with: flipping its root's sign
        # is a field conjugation, and the product with it no longer holds that root.
        factor, *others = (r for r, _ in self.parts if r != 1)
        for other in others:
            if isinstance(factor, int) and isinstance(other, int) and (common := math.gcd(factor, other)) != 1:
                factor = common
        conjugate = Surd.of((r, -c if _divisible(r, factor) else c) for r, c in self.parts)
        norm = self * conjugate
        return conjugate * (norm.inverse() if isinstance(norm, Surd) else ONE / norm)


def _parts(value: Any) -> tuple[tuple[Any, Any], ...]:
    return value.parts if isinstance(value, Surd) else ((1, value),)


def _radicand_order(part: tuple[Any, Any]) -> tuple[int, int, str]:
    radicand = part[0]
    return (0, radicand, "") if isinstance(radicand, int) else (1, 0, str(radicand))


def _root_product(left: Any, right: Any) -> tuple[Any, Any]:
    """``sqrt(left)*sqrt(right)`` as ``(outside, inside)``: the factor taken out and the radicand left."""
    if isinstance(left, int) and isinstance(right, int):
        common = math.gcd(left, right)
        return common, (left // common) * (right // common)
    if left == 1:
        return 1, right
    if right == 1:
        return 1, left
    if left == right:
        return left, 1
    return _square_factor(left * right)


def _divisible(radicand: Any, factor: Any) -> bool:
    if isinstance(factor, int):
        return isinstance(radicand, int) and radicand % factor == 0
    return bool(radicand == factor)


_FACTORED_BITS, _SMOOTH_BITS = 128, 20
"""Numbers are factored up to this length; of longer ones, primes of this length are found."""


@lru_cache(maxsize=4096)
def _split_square(number: int) -> tuple[int, int]:
    """Write a positive integer as ``outside**2 * inside`` with ``inside`` squarefree.

    Of a number too long to be factored in good time, small primes and whole powers are taken out: the product stays exact.
    """
    outside = inside = 1
    whole = fmpz(number)
    factors = whole.factor() if number.bit_length() <= _FACTORED_BITS else whole.factor_smooth(_SMOOTH_BITS)
    for prime, exponent in factors:
        outside *= int(prime) ** (exponent // 2)
        inside *= int(prime) ** (exponent % 2)
    return outside, inside


def _square_factor(value: Any) -> tuple[Any, Any]:
    """Write a value as ``outside**2 * inside`` with a squarefree ``inside``; letters know how themselves."""
    if not isinstance(value, fmpq):
        outside, inside = value.square_factor()
        return outside, inside
    root = sqrt(value)
    if isinstance(root, Surd):
        ((inside, outside),) = root.parts
        return outside, inside
    return root, 1


def sqrt(value: Scalar) -> Scalar:
    """The non-negative square root, exact.

    Parameters
    ----------
    value : Scalar
        A non-negative rational, or a rational function of symbols (whose sign is taken as positive).

    Raises
    ------
    ValueError
        For a negative number, or for a sum of roots, whose root has no exact form here.
    """
    if isinstance(value, fmpq):
        if value < 0:
            raise ValueError("the square root of a negative number is not real")
        if value == 0:
            return ZERO
        top, bottom = int(value.p), int(value.q)
        outside, inside = _split_square(top * bottom)
        root = fmpq(outside, bottom)
        return root if inside == 1 else Surd(((inside, root),))
    if isinstance(value, Surd):
        raise ValueError("the square root of a sum of roots has no exact form here")  # noqa: TRY004 - a value, no type
    outside, inside = _square_factor(value)
    return outside if inside == 1 else Surd.of([(inside, outside)])


def to_arb(value: Scalar) -> flint.arb:
    """Enclose a number in a ball at the current working precision.

    Raises
    ------
    TypeError
        If the value holds symbols.
    """
    if isinstance(value, fmpq):
        return flint.arb(value)
    if isinstance(value, Surd):
        total = flint.arb(0)
        for radicand, coefficient in value.parts:
            total += to_arb(coefficient) * to_arb(fmpq(radicand) if isinstance(radicand, int) else radicand).sqrt()
        return total
    raise TypeError("a value with symbols has no numeric size")


MAX_TENS = 1000
"""Powers of ten that are worked with: what is left of an exponential may have a hundred million zeros behind its point."""


def approximate(ball: flint.arb) -> fmpq:
    """The rational nearest a ball's midpoint, to `APPROXIMATION_DIGITS` digits; 0 for what lies below ``10^-MAX_TENS``.

    Raises
    ------
    NotDefined
        Beyond ``10^MAX_TENS``.
    """
    text = ball.mid().str(APPROXIMATION_DIGITS, radius=False)
    tens = int(text.partition("e")[2] or 0)
    if tens > MAX_TENS:
        raise NotDefined(f"the value is larger than 10^{MAX_TENS}")
    return rational(text) if tens >= -MAX_TENS else ZERO


def working_precision() -> Any:
    """A context in which `to_arb` carries enough bits for `APPROXIMATION_DIGITS` digits."""
    return flint.ctx.workdps(APPROXIMATION_DIGITS + 30)


def to_float(value: Scalar) -> float:
    """The nearest float; infinities for numbers out of range."""
    if isinstance(value, fmpq):
        try:
            return float(value)
        except OverflowError:
            return math.inf if value > 0 else -math.inf
    return float(to_arb(value))


def sign(value: Scalar) -> int:
    """-1, 0 or 1, decided exactly.

    A symbolic value takes the sign of its leading coefficient: symbols stand for positive values,
    and only a consistent choice is needed to put a form in canonical order.
    """
    if isinstance(value, fmpq):
        return int(value > 0) - int(value < 0)
    if isinstance(value, Surd) and all(isinstance(r, int) and isinstance(c, fmpq) for r, c in value.parts):
        digits = 30
        while True:  # the value is not zero (its form is canonical), so some precision decides
            with flint.ctx.workdps(digits):
                ball = to_arb(value)
            if ball > 0:
                return 1
            if ball < 0:
                return -1
            digits *= 2
    if isinstance(value, Surd):
        return _sign_with_symbols(value)
    return value.leading_sign()


def _sign_with_symbols(value: Surd) -> int:
    """The sign of ``p + q sqrt(d)``: that of the larger part, which the sign of ``p**2 - q**2 d`` tells.

    Roots of quadratics are of this form (and ``p**2 - q**2 d`` is the quadratic's last coefficient); where d is
    negative it is the sign of the real part.
    """
    (_, outside), *roots = value.parts if value.parts[0][0] == 1 else ((1, ZERO), *value.parts)
    if len(roots) > 1 or outside == 0:
        return sign(value.parts[-1][1])
    radicand, coefficient = roots[0]
    if sign(outside) == sign(coefficient):
        return sign(outside)
    excess = outside * outside - coefficient * coefficient * radicand
    return sign(outside) if sign(excess) > 0 else sign(coefficient)


def is_symbolic(value: Scalar) -> bool:
    """Whether the value holds a symbol."""
    if isinstance(value, fmpq):
        return False
    if isinstance(value, Surd):
        return any(not isinstance(r, int) or is_symbolic(c) for r, c in value.parts)
    return True


def scalar_text(value: Scalar) -> str:
    """Text that sympy's parser reads back exactly: ``12/5``, ``-sqrt(2)/3 + 1``."""
    if isinstance(value, Surd):
        pieces = []
        for radicand, coefficient in value.parts:
            if radicand == 1:
                pieces.append(f"({scalar_text(coefficient)})")
            elif coefficient == 1:
                pieces.append(f"sqrt({radicand})")
            else:
                pieces.append(f"({scalar_text(coefficient)})*sqrt({radicand})")
        return " + ".join(pieces)
    return str(value)
