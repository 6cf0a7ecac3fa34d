"""Answers of another kind than asked: a time for a voltage, a function for a value, a function of s for one of t."""

from grader.marking.itemkey import ItemKey
from grader.quantities import Answer
from grader.quantities.records import EQUATION, TRANSFORM, VALUE
from grader.reading.tree import Negative, Node, Number, Power, Product, Sum, UnitSymbol, walk
from grader.values.dimension import NAMES, NUMBER, Dimension, called, unit_symbol
from grader.values.laplace import VARIABLE
from grader.values.waveform import Waveform


def another_kind(item: ItemKey, answer: Answer, own: Dimension | None) -> str:
    """The sentence for an answer of another kind than the value or the expression asked; "" where it is of that kind."""
    asked = item.reference.dimension
    if asked is None or item.reference.kind in {TRANSFORM, EQUATION} or item.percent:
        return ""
    is_function = item.reference.kind == VALUE and isinstance(answer, Waveform) and not answer.is_constant
    if own is None or own == asked:
        return "This is a function of t; a single value is asked." if is_function else ""
    symbol = f" ({unit_symbol(asked)})" if asked in NAMES and asked != NUMBER else ""
    return f"This is {called(own)}{' as a function of t' if is_function else ''}; {called(asked)}{symbol} is asked."


def is_in_s(tree: Node) -> bool:
    """Whether a plain number is added to seconds, ``s + 2``: then s is the variable of a transform."""
    nodes = walk(tree)
    sums = [node.terms for node in nodes if type(node) is Sum] if UnitSymbol in map(type, nodes) else []
    return any(Number in map(type, terms) and any(map(_is_power_of_s, terms)) for terms in sums)


def _is_power_of_s(term: Node) -> bool:
    """``s``, ``7 s``, ``-s^2``."""
    while isinstance(term, (Negative, Product, Power)):
        term = term.operand if isinstance(term, Negative) else term.right if isinstance(term, Product) else term.base
    return isinstance(term, UnitSymbol) and term.symbol == VARIABLE
