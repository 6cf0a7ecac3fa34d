"""Formulas put together with Python's own signs: trees that the reading room's pens set as text and as MathML."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import reduce

from flint import fmpq
from msgspec import Struct

from grader.circuit.characteristic import Root
from grader.reading.render.typeset import stated_text
from grader.reading.render.waveform_tree import in_unit, number_tree, scalar_tree, value_tree, waveform_tree
from grader.reading.tree import (
    Call,
    Constant,
    Imaginary,
    Integral,
    Name,
    Negative,
    Node,
    Number,
    PlusMinus,
    Power,
    Product,
    Quotient,
    Sum,
    Time,
    UnitSymbol,
    WithUnit,
)
from grader.values.dimension import NUMBER, RATE, Dimension, unit_symbol
from grader.values.scalar import Scalar, is_symbolic, to_float
from grader.values.text import DIGITS
from grader.values.waveform import Waveform


class Formula(Struct, frozen=True):
    """A tree that can be added, multiplied, divided and raised; a minus sign is drawn to the front of products and quotients."""

    tree: Node

    @property
    def text(self) -> str:
        """One line of plain text."""
        return stated_text(self.tree)

    def __add__(self, other: Formula) -> Formula:
        return Formula(Sum((*_terms(self.tree), *_terms(other.tree)), 0))

    def __sub__(self, other: Formula) -> Formula:
        return Formula(Sum((*_terms(self.tree), (-other).tree), 0))

    def __neg__(self) -> Formula:
        return Formula(self.tree.operand if isinstance(self.tree, Negative) else Negative(self.tree, 0))

    def __mul__(self, other: Formula) -> Formula:
        if isinstance(self.tree, Negative):
            return -(-self * other)
        return other if self == whole(1) else Formula(Product(self.tree, other.tree, 0))

    def __truediv__(self, other: Formula) -> Formula:
        if isinstance(self.tree, Negative):
            return -(-self / other)
        return Formula(Quotient(self.tree, other.tree, 0))

    def __pow__(self, exponent: int) -> Formula:
        return self if exponent == 1 else Formula(Power(self.tree, whole(exponent).tree, 0))


def _terms(tree: Node) -> tuple[Node, ...]:
    return tree.terms if isinstance(tree, Sum) else (tree,)


def whole(number: int) -> Formula:
    """A whole number."""
    return Formula(Number(fmpq(number), str(number), 0))


ZERO = whole(0)
HALF = Formula(Number(fmpq(1, 2), "½", 0))
T = Formula(Time(0))


def name(text: str) -> Formula:
    """A name with what belongs to it: ``v_C1``, ``v_C1(0+)``, ``dv_C1/dt``."""
    return Formula(Name(text, None, 0))


def number(value: Scalar | float, digits: int = DIGITS) -> Formula:
    """A number without a unit, or its letters."""
    if isinstance(value, float):
        return Formula(number_tree(value, digits))
    return Formula(scalar_tree(value) if is_symbolic(value) else number_tree(to_float(value), digits))


def amount(value: Scalar | float | Waveform, dimension: Dimension, unit: str = "") -> Formula:
    """A value (SI base units) in the unit that suits it, or in the one named; or its letters."""
    if isinstance(value, Waveform):
        if value.is_symbolic:
            return Formula(waveform_tree(value, dimension))
        value = value.value()
    if not isinstance(value, float):
        if is_symbolic(value):
            return Formula(scalar_tree(value))
        value = to_float(value)
    if value < 0:
        return -amount(-value, dimension, unit)
    tree = value_tree(value, dimension)
    return Formula(in_unit(tree, dimension, unit) if unit else tree)


def degrees(angle: float) -> Formula:
    """An angle (rad) in degrees."""
    size = WithUnit(number(abs(math.degrees(angle))).tree, UnitSymbol("°", fmpq(1), NUMBER, 0, degrees=True), 0)
    return -Formula(size) if angle < 0 else Formula(size)


def exponential(exponent: Formula) -> Formula:
    """A power of e."""
    return Formula(Power(Constant("e", 0), exponent.tree, 0))


def function(called: str, argument: Formula) -> Formula:
    """``cos``, ``sin``, ``ln``, ``sqrt`` of something."""
    return Formula(Call(called, argument.tree, 0))


def integral(of: Formula, start: Formula | None = None, end: Formula | None = None) -> Formula:
    """The integral over t from one instant to another, or without bounds."""
    return Formula(Integral(of.tree, None if start is None else start.tree, None if end is None else end.tree, 0))


def root_formula(root: Root) -> Formula:
    """A root of the characteristic equation, or a conjugate pair, with its unit; letters carry theirs."""
    found = number(root.real).tree
    if root.imaginary != 0:
        pair = PlusMinus(Product(Imaginary(0), number(root.imaginary).tree, 0), 0)
        found = pair if root.real == 0 else Sum((found, pair), 0)
    if is_symbolic(root.real) or is_symbolic(root.imaginary):
        return Formula(found)
    return Formula(WithUnit(found, UnitSymbol(unit_symbol(RATE), fmpq(1), RATE, 0), 0))


def added(terms: Iterable[Formula]) -> Formula:
    """All terms; 0 where there is none."""
    found = list(terms)
    return reduce(Formula.__add__, found) if found else ZERO


def polynomial_formula(polynomial: Sequence[Scalar]) -> Formula:
    """A polynomial in s, given with its highest power first, so exact that its roots keep their digits."""
    degree = len(polynomial) - 1
    return added(
        number(value, DIGITS + 2) * name("s") ** power if power else number(value, DIGITS + 2)
        for power, value in zip(range(degree, -1, -1), polynomial, strict=True)
        if value != 0
    )
