"""Which terms a unit covers: the whole where it stands once at the end, every term where only some carry it."""

from __future__ import annotations

from collections.abc import Iterator

from grader.reading.forks import Way
from grader.reading.tokens import Question
from grader.reading.tree import Measured, Negative, Node, Power, Product, Quotient, Sum, Unit
from grader.reading.units import look_up
from grader.values.dimension import NUMBER

_SAYS_NOTHING = Way()


def spread_units(tree: Node, cell: str, question: Question) -> Iterator[tuple[Node, str | None, Way]]:
    """The ways in which units cover an answer: (tree, symbol of the unit of the whole, which way it is).

    Parameters
    ----------
    tree : Node
        As parsed: a unit is a factor of its own term.
    cell : str
        The unit cell beside the answer.
    question : Question
    """
    if type(tree) is not Sum:
        unit = unit_factor(tree)
        if unit is None and cell:
            meanings = look_up(cell.strip(), question.dimension)
            if meanings:
                m = meanings[0]
                node = Unit(m.symbol, m.scale, m.dimension, tree.place, m.degrees)
                yield Measured(tree, node, tree.place), m.symbol, _SAYS_NOTHING
                return
        yield tree, None if unit is None else unit_text(unit), _SAYS_NOTHING
        return
    units = [unit_factor(term) for term in tree.terms]
    written = [unit for unit in units if unit is not None]
    if not written or len(written) == len(units):
        yield tree, None if not written else unit_text(written[-1]), _SAYS_NOTHING
        return
    symbol = unit_text(written[-1])
    if units[-1] is not None and len(written) == 1:
        bare = (*tree.terms[:-1], _without_unit(tree.terms[-1]))
        yield Measured(Sum(bare, tree.place), units[-1], tree.place), symbol, _SAYS_NOTHING
    else:
        every = tuple(
            term if unit is not None else Product(term, written[0], term.place)
            for term, unit in zip(tree.terms, units, strict=True)
        )
        yield Sum(every, tree.place), symbol, Way(f"The unit {symbol} was read for every term.")
    yield tree, symbol, Way(f"The unit {symbol} was read for the term beside it alone.")


def unit_factor(node: Node) -> Node | None:
    """The unit among the factors of a term (with its own powers and quotients), if there is one."""
    kind = type(node)
    if kind is Unit:
        return node if node.dimension != NUMBER or node.symbol == "%" else None
    if kind is Negative:
        return unit_factor(node.operand)
    if kind is Measured:
        return node.unit
    if kind is Product:
        left, right = unit_factor(node.left), unit_factor(node.right)
        if left is not None and right is not None:
            return Product(left, right, left.place)
        return right if left is None else left
    if kind is Quotient:
        top, bottom = unit_factor(node.top), unit_factor(node.bottom)
        if bottom is None:
            return top
        return Quotient(top, bottom, top.place) if top is not None else Power(bottom, _MINUS_ONE, bottom.place)
    if kind is Power:
        inner = unit_factor(node.base)
        return None if inner is None else Power(inner, node.exponent, node.place)
    return None


def _without_unit(node: Node) -> Node:
    """The term without its unit factor."""
    kind = type(node)
    if kind is Unit:
        return _ONE._replace(place=node.place)
    if kind is Negative:
        return Negative(_without_unit(node.operand), node.place)
    if kind is Product:
        if unit_factor(node.left) is None and type(node.right) is Unit:
            return node.left
        if type(node.left) is Unit and unit_factor(node.right) is None:
            return node.right
        return Product(_without_unit(node.left), _without_unit(node.right), node.place)
    if kind is Quotient:
        return Quotient(_without_unit(node.top), _without_unit(node.bottom), node.place)
    if kind is Power and unit_factor(node.base) is not None:
        return Power(_without_unit(node.base), node.exponent, node.place)
    return node


def unit_text(node: Node) -> str:
    """A unit as written in one line."""
    kind = type(node)
    if kind is Unit:
        return node.symbol
    if kind is Product:
        return f"{unit_text(node.left)}·{unit_text(node.right)}"
    if kind is Quotient:
        return f"{unit_text(node.top)}/{unit_text(node.bottom)}"
    if kind is Power:
        exponent = node.exponent
        if exponent == _MINUS_ONE:
            return f"1/{unit_text(node.base)}"
        from grader.reading.typeset import tree_text

        return f"{unit_text(node.base)}^{tree_text(exponent)}"
    return "?"


def _numbers() -> tuple[Node, Node]:
    from flint import fmpq

    from grader.reading.tree import Number

    return Number(fmpq(1), "1", 0), Number(fmpq(-1), "-1", 0)


_ONE, _MINUS_ONE = _numbers()
