"""Rational functions of symbols: element values given as letters.

Symbols stand for positive real values (a resistance, a source's size), which is what lets
``sqrt(R**2)`` be ``R``.  Built on flint's multivariate polynomials over the rationals.
"""

from __future__ import annotations

from typing import Any

from flint import Ordering, fmpq, fmpq_mpoly, fmpq_mpoly_ctx

from grader.errors import NotDefined
from grader.values.scalar import ZERO, Scalar, Surd, sqrt

MAX_LENGTH = 2_000
"""Most terms of a numerator: no answer that a person writes has a tenth of it."""

MAX_PRODUCT = 40_000
"""Most terms of a numerator times those of a denominator, which bounds the work of bringing them to lowest terms."""

_TOO_LONG = "with so many letters it grows longer than anybody would write; give numbers to some of them"


def _context(names: tuple[str, ...]) -> fmpq_mpoly_ctx:
    return fmpq_mpoly_ctx.get(names, Ordering.lex)


class Symbolic:
    """A quotient of polynomials in lowest terms, the denominator's leading coefficient one.

    Parameters
    ----------
    names : tuple of str
        The symbols of the problem, in a fixed order.  Operands share them, or both are brought to the symbols of either
        (as where the variable of a transform joins the letters of a circuit).
    top, bottom : fmpq_mpoly
        Numerator and denominator.
    """

    __slots__ = ("bottom", "names", "top")

    def __init__(self, names: tuple[str, ...], top: fmpq_mpoly, bottom: fmpq_mpoly) -> None:
        self.names = names
        self.top = top
        self.bottom = bottom

    @staticmethod
    def of(names: tuple[str, ...], top: fmpq_mpoly, bottom: fmpq_mpoly) -> Scalar:
        """Reduce to lowest terms; drop to a rational where no symbol is left."""
        if bottom == 0:
            raise ZeroDivisionError("division by zero")
        if top == 0:
            return ZERO
        if len(top) * len(bottom) > MAX_PRODUCT or len(top) > MAX_LENGTH:
            raise NotDefined(_TOO_LONG)
        common = top.gcd(bottom)
        top, bottom = top / common, bottom / common
        lead = bottom.leading_coefficient()
        top, bottom = top / lead, bottom / lead
        if top.is_constant() and bottom.is_constant():
            return fmpq(top.leading_coefficient())
        return Symbolic(names, top, bottom)

    @staticmethod
    def symbol(name: str, names: tuple[str, ...]) -> Symbolic:
        """The symbol `name` among `names`."""
        context = _context(names)
        return Symbolic(names, context.gen(names.index(name)), context.constant(1))

    @staticmethod
    def from_terms(names: tuple[str, ...], top: dict[Any, Any], bottom: dict[Any, Any]) -> Scalar:
        """Build from exponent-tuple to coefficient maps (the form that pickles)."""
        context = _context(names)
        return Symbolic.of(names, context.from_dict(top), context.from_dict(bottom))

    def __reduce__(self) -> tuple[Any, ...]:
        return (Symbolic.from_terms, (self.names, dict(self.top.to_dict()), dict(self.bottom.to_dict())))

    def _with(self, other: Any) -> tuple[Symbolic, Symbolic] | None:
        """Both operands over the same symbols; None where the other is no rational function."""
        if isinstance(other, Symbolic):
            if self.names == other.names:
                return self, other
            names = tuple(sorted({*self.names, *other.names}))
            return self.over(names), other.over(names)
        if isinstance(other, (fmpq, int)):
            context = _context(self.names)
            return self, Symbolic(self.names, context.constant(fmpq(other)), context.constant(1))
        return None

    def over(self, names: tuple[str, ...]) -> Symbolic:
        """The same over more symbols."""
        top, bottom = (part.project_to_context(_context(names)) for part in (self.top, self.bottom))
        lead = bottom.leading_coefficient()
        return Symbolic(names, top / lead, bottom / lead)

    def __repr__(self) -> str:
        return f"Symbolic({self})"

    def __str__(self) -> str:
        top = str(self.top).replace("^", "**")
        if self.bottom == 1:
            return f"({top})" if len(self.top) > 1 else top
        bottom = str(self.bottom).replace("^", "**")
        return f"({top})/({bottom})"

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Symbolic):
            return False
        if self.names != other.names:
            return bool(self - other == 0)
        return bool(self.top == other.top and self.bottom == other.bottom)

    def __hash__(self) -> int:
        return hash((str(self.top), str(self.bottom)))

    def __neg__(self) -> Symbolic:
        return Symbolic(self.names, -self.top, self.bottom)

    def __add__(self, other: Any) -> Scalar:
        both = self._with(other)
        if both is None:
            return NotImplemented
        one, two = both
        return Symbolic.of(one.names, one.top * two.bottom + two.top * one.bottom, one.bottom * two.bottom)

    __radd__ = __add__

    def __sub__(self, other: Any) -> Scalar:
        both = self._with(other)
        return NotImplemented if both is None else both[0] + (-both[1])

    def __rsub__(self, other: Any) -> Scalar:
        return (-self) + other

    def __mul__(self, other: Any) -> Scalar:
        both = self._with(other)
        if both is None:
            return NotImplemented
        one, two = both
        return Symbolic.of(one.names, one.top * two.top, one.bottom * two.bottom)

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> Scalar:
        both = self._with(other)
        if both is None:
            return NotImplemented
        one, two = both
        return Symbolic.of(one.names, one.top * two.bottom, one.bottom * two.top)

    def __rtruediv__(self, other: Any) -> Scalar:
        both = self._with(other)
        return NotImplemented if both is None else both[1] / both[0]

    def leading_sign(self) -> int:
        """Sign of the numerator's leading coefficient."""
        return 1 if self.top.leading_coefficient() > 0 else -1

    def square_factor(self) -> tuple[Any, Any]:
        """Write it as ``outside**2 * inside``, ``inside`` a squarefree polynomial or a whole number.

        ``sqrt(p/q)`` is ``sqrt(p*q)/q``; even powers of the factors of ``p*q`` move outside, symbols being positive.
        """
        content, factors = (self.top * self.bottom).factor()
        one = _context(self.names).constant(1)
        outside, inside = one, one
        for factor, exponent in factors:
            outside *= factor ** (int(exponent) // 2)
            inside *= factor ** (int(exponent) % 2)
        root = sqrt(abs(fmpq(content)))
        ((number, size),) = root.parts if isinstance(root, Surd) else ((1, root),)
        number = number if content > 0 else -number
        out = Symbolic.of(self.names, outside, self.bottom) * size
        if inside == 1 and number > 0:
            return out, number
        return out, Symbolic(self.names, inside * fmpq(number), one)

    def substitute(self, values: dict[str, Scalar]) -> Scalar:
        """Put numbers (or other scalars) in for the symbols named; the rest must be named too."""
        return _evaluate(self.top, self.names, values) / _evaluate(self.bottom, self.names, values)


def _evaluate(polynomial: fmpq_mpoly, names: tuple[str, ...], values: dict[str, Scalar]) -> Any:
    total: Any = ZERO
    for exponents, coefficient in polynomial.to_dict().items():
        product: Any = fmpq(coefficient)
        for name, exponent in zip(names, exponents, strict=True):
            for _ in range(int(exponent)):
                product = product * values[name]
        total = total + product
    return total
