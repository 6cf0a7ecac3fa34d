"""What an answer says: a tree of small frozen nodes, each keeping its place in the text.

A node is a NamedTuple: made in a fraction of a microsecond, hashable, picklable, comparable, and equal to nodes of its
own kind alone.  ``place`` is the index of its first character in the normalised text (see `grader.reading.text.glyphs`).

The modules beside it lead from tokens to trees (`parse`; `written_out`, of the plainest expressions) and from one tree to all that it may mean
(`alternatives`: which terms a unit covers in `spread`, the unit's own cell in `unit_cell`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple, TypeAlias

from flint import fmpq

from grader.values.dimension import Dimension


class Number(NamedTuple):
    """A number as written."""

    value: fmpq
    text: str
    place: int


class UnitSymbol(NamedTuple):
    """A unit, a prefix standing alone (``dimension`` None: the unit itself was left out), percent or degree.

    ``scale`` is its size in SI base units; ``degrees`` marks the one unit whose size is no rational (π/180).
    """

    symbol: str
    scale: fmpq
    dimension: Dimension | None
    place: int
    degrees: bool = False


class Name(NamedTuple):
    """The value of an element or of an earlier item; ``dimension`` None where the name is not known."""

    name: str
    dimension: Dimension | None
    place: int


class Constant(NamedTuple):
    """``e`` or ``pi``."""

    name: str
    place: int


class Time(NamedTuple):
    """t, in seconds; of a characteristic polynomial its variable."""

    place: int
    symbol: str = "t"
    """How it is written."""


class Imaginary(NamedTuple):
    """The imaginary unit."""

    place: int


class Infinity(NamedTuple):
    """No finite value."""

    place: int


class Negative(NamedTuple):
    """The operand with its sign turned."""

    operand: Node
    place: int


class PlusMinus(NamedTuple):
    """Plus or minus the operand: the pair of a quadratic's roots."""

    operand: Node
    place: int


class Sum(NamedTuple):
    """Terms added; a subtracted term is a `Negative`."""

    terms: tuple[Node, ...]
    place: int


class Product(NamedTuple):
    """Two factors."""

    left: Node
    right: Node
    place: int


class Quotient(NamedTuple):
    """Top over bottom."""

    top: Node
    bottom: Node
    place: int


class Parallel(NamedTuple):
    """Elements in parallel: the reciprocal of the sum of reciprocals."""

    terms: tuple[Node, ...]
    place: int


class Power(NamedTuple):
    """Base to an exponent."""

    base: Node
    exponent: Node
    place: int


class Call(NamedTuple):
    """A supported function: ``exp cos sin tan cosh sinh sqrt ln log abs``."""

    function: str
    argument: Node
    place: int


class Integral(NamedTuple):
    """The integral over t from one instant to another (None: without bounds); the worked solution writes it, no student."""

    operand: Node
    start: Node | None
    end: Node | None
    place: int


class Step(NamedTuple):
    """The unit step of an argument that is linear in t."""

    argument: Node
    place: int


class WithUnit(NamedTuple):
    """A whole expression in a unit written once."""

    operand: Node
    unit: Node
    place: int


class TimeUnit(NamedTuple):
    """An expression whose t counts in another unit than the second (``unit``: milliseconds)."""

    operand: Node
    unit: UnitSymbol
    place: int


class Definition(NamedTuple):
    """A formula with values of its names stated beside it."""

    operand: Node
    values: tuple[tuple[str, Node], ...]
    place: int


class WaveformPiece(NamedTuple):
    """What holds between two instants (None: without bound on that side)."""

    operand: Node
    start: Node | None
    end: Node | None


class Pieces(NamedTuple):
    """An expression by ranges of t."""

    pieces: tuple[WaveformPiece, ...]
    place: int


class Roots(NamedTuple):
    """Characteristic roots, as many as written."""

    roots: tuple[Node, ...]
    place: int


class Choice(NamedTuple):
    """One of several options, or a damping type."""

    option: str
    place: int


Node: TypeAlias = Any
"""One of the records above.

Spelled out as a union of them it would be recursive, and narrowing it takes a type checker minutes.
"""


def _equal(one: Any, other: Any) -> bool:
    return type(one) is type(other) and tuple.__eq__(one, other)


def _unequal(one: Any, other: Any) -> bool:
    return not _equal(one, other)


for _kind in (
    Number, UnitSymbol, Name, Constant, Time, Imaginary, Infinity, Negative, PlusMinus, Sum, Product, Quotient, Parallel, Power,
    Call, Integral, Step, WithUnit, TimeUnit, Definition, WaveformPiece, Pieces, Roots, Choice,
):  # fmt: skip
    _kind.__eq__, _kind.__ne__ = _equal, _unequal  # type: ignore[method-assign] # a product is no quotient of the same two


_LEAVES = {Number, UnitSymbol, Name, Constant, Time, Imaginary, Infinity, Dimension, Choice}


def walk(node: Any) -> list[Any]:
    """Every node of a tree, from the top."""
    found = [node]
    for one in found:  # which grows on the way
        if type(one) not in _LEAVES:
            for child in one:
                if isinstance(child, tuple):
                    found.append(child)  # noqa: PERF401 - a list for every node takes twice as long
    return found


def exchanged(node: Any, change: Callable[[Any], Any]) -> Any:
    """The tree with what ``change`` gives in place of a node; where that is None, the node's own parts are changed."""
    found = change(node)
    if found is not None:
        return found
    if type(node) in _LEAVES or not isinstance(node, tuple):
        return node
    children = [exchanged(child, change) for child in node]
    return tuple(children) if type(node) is tuple else type(node)(*children)


def added(terms: Sequence[Any], place: int = 0) -> Any:
    """The sum of some terms: zero for none, and a single one itself."""
    if not terms:
        return Number(fmpq(0), "0", place)
    return terms[0] if len(terms) == 1 else Sum(tuple(terms), place)


def written_in(node: Any, symbol: str) -> Any:
    """The tree with another letter for t."""
    return exchanged(node, lambda one: one._replace(symbol=symbol) if type(one) is Time else None)
