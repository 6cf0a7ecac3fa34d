"""A differential equation as it is written: primes for the operators that it was read in, its constants on the right."""

from typing import Any

from grader.reading.text.operators import OPERATOR, QUANTITY
from grader.reading.tree import Definition, Name, Negative, Node, Number, Power, Product, Sum, added, exchanged, walk

MOST_PRIMES = 4
"""Nobody counts more; a derivative of a higher order keeps its operator."""


def equation_sides(tree: Node, letter: str) -> tuple[Node, Node]:
    """The two sides of an equation that was read as ``D^2*x + 6 D*x - 125``, all on one side.

    Parameters
    ----------
    tree : Node
    letter : str
        What its quantity is called.
    """
    if isinstance(tree, Definition):  # with a = 30
        left_side, right_side = equation_sides(tree.operand, letter)
        return left_side, tree._replace(operand=right_side)
    terms = tree.terms if isinstance(tree, Sum) else (tree,)
    left = tuple(term for term in terms if not _stands_right(term))
    right = tuple(_negative(term) for term in terms if _stands_right(term))
    return _in_primes(added(left, tree.place), letter), _in_primes(added(right, tree.place), letter)


def written_in(tree: Node, letter: str) -> Node:
    """A characteristic equation in its own letter, in place of the operator that it was read in."""
    return exchanged(tree, lambda node: node._replace(name=letter) if _is(node, OPERATOR) else None)


def _stands_right(term: Node) -> bool:
    """Whether a term is the right side brought over, or a constant."""
    brought_over = isinstance(term, Negative) and isinstance(term.operand, Sum)
    return brought_over or not any(_is(node, OPERATOR) or _is(node, QUANTITY) for node in walk(term))


def _negative(term: Node) -> Node:
    return term.operand if isinstance(term, Negative) else Negative(term, term.place)


def _in_primes(tree: Node, letter: str) -> Node:
    """The tree with ``v''`` for ``D^2*x`` and ``v`` for ``x``; what else a D stands by is left as it is."""

    def primed(node: Any) -> Any:
        if _is(node, QUANTITY):
            return node._replace(name=letter)
        if not isinstance(node, Product) or not _is(node.right, QUANTITY):
            return None
        if _is(node.left, OPERATOR):
            return node.right._replace(name=f"{letter}'")
        order = node.left.exponent if isinstance(node.left, Power) and _is(node.left.base, OPERATOR) else None
        if isinstance(order, Number) and order.value in range(1, MOST_PRIMES + 1):
            return node.right._replace(name=letter + "'" * int(order.value))
        return None

    return exchanged(tree, primed)


def _is(node: Any, name: str) -> bool:
    return isinstance(node, Name) and node.name == name
