"""Sums, and a unit written behind names and numbers: whose unit it is.

A sum has the unit that one of its terms brings.  A unit behind a product or sum in which names occur is that of the plain
numbers beside them, or only tells in what the result is counted.
"""

from collections.abc import Iterable
from typing import Any, Protocol

from flint import fmpq

from grader.reading import tree as nodes
from grader.reading.tree import Node
from grader.reading.value.complex_number import Complex
from grader.reading.value.worth import Value, Worth, bounded, divided, times, with_seconds
from grader.values import waveform as wave
from grader.values.dimension import NUMBER, Dimension
from grader.values.scalar import ONE, ZERO
from grader.values.term import Term
from grader.values.waveform import Waveform

LEAST_TOLD, MOST_TOLD = fmpq(1, 10), fmpq(10**6)
"""Numbers in which a result is told: nobody says 0.003 kA, or 20,000,000 us.  Common practice; no source."""


class Walk(Protocol):
    """The walk over a tree, as far as units matter: what it finds is noted in it."""

    consistent: bool
    told: bool
    either: bool
    odd: bool

    def of(self, node: Any) -> Worth:
        """What a node is worth."""

    def multiplied(self, left: Value, right: Value) -> Value:
        """The product of two values."""


def added(work: Walk, summands: Iterable[Worth]) -> Worth:
    """The sum; its unit is the one that a summand brings, and two different ones are noted as inconsistent."""
    number: Value = ZERO
    terms: list[Term] = []
    exact = True
    turned: Complex | None = None
    dimension: Dimension | None = None
    for value, own in summands:
        own = with_seconds(value, own)  # noqa: PLW2901
        if own is not None and own.second < 0 and type(value) is Waveform and not value.terms:
            own = None  # noqa: PLW2901 - its step has yet to come: whether a t stands beside the unit per second shows then
        if own is not None and own != dimension:
            if dimension is not None:
                work.consistent = False
            else:
                dimension = own
        if type(value) is Waveform:
            terms.extend(value.terms)
            exact = exact and value.exact
        elif type(value) is Complex:
            turned = value if turned is None else turned + value
        else:
            number = number + value
    if turned is not None:
        return turned + (Waveform.of([*terms, Term(number)], exact) if number else Waveform.of(terms, exact)), dimension
    if not terms:
        return (bounded(number) if exact else wave.constant(number, exact)), dimension
    if number:
        terms.append(Term(number))
    return Waveform.of(terms, exact), dimension


def in_unit(work: Walk, node: Node, unit: Worth) -> Worth:
    """A value with a unit written behind it: a name brings its own, and the unit is that of the plain numbers beside it.

    ``30 + A1 e^(-500t) mA`` adds 30 mA to A1, whatever A1 was measured in; behind ``V/R`` mA only says in what to tell it.
    """
    size, kind = unit
    if type(node) is nodes.Sum:
        return added(work, (in_unit(work, term, unit) for term in node.terms))
    if type(node) is nodes.Negative:
        value, own = in_unit(work, node.operand, unit)
        return -value, own
    value, own = work.of(node)
    if own == kind:
        part, other = (node[0], node[1]) if type(node) in {nodes.Product, nodes.Quotient} else (None, None)
        if part is None or other is None:
            return _in_names(work, value, size), own
        (left, a), (right, b) = work.of(part), work.of(other)
        if a == kind and b in {None, NUMBER}:  # (30 + A1) e^(-500t), 30 + A1 over 2
            inner, _ = in_unit(work, part, unit)
            return (divided(inner, right) if type(node) is nodes.Quotient else work.multiplied(inner, right)), kind
        if b == kind and a in {None, NUMBER} and type(node) is nodes.Product:
            return work.multiplied(left, in_unit(work, other, unit)[0]), kind
        return _in_names(work, value, size), own
    if own is None or own == NUMBER:
        return work.multiplied(value, size), kind
    work.either = work.either or size != ONE  # 12/R1 mA: 12 may be volts
    return (value if work.told else work.multiplied(value, size)), times(own, kind)


def _in_names(work: Walk, value: Value, size: Value) -> Value:
    """What names alone are worth, whatever prefix stands behind them; one that makes the number far too small or large is noted."""
    if size != ONE and type(value) is fmpq and type(size) is fmpq and value:
        work.odd = work.odd or not LEAST_TOLD <= abs(value / size) < MOST_TOLD
    return value
