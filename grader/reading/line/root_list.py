"""Characteristic roots listed in an answer: every one as its own tree."""

from typing import Any

from grader.reading.ambiguities import Ambiguities
from grader.reading.refusals import CannotRead
from grader.reading.tokens.vocabulary import normalized_name
from grader.reading.tree import (
    Call,
    Definition,
    Name,
    Negative,
    Node,
    Number,
    PlusMinus,
    Power,
    Product,
    Quotient,
    Roots,
    Sum,
    UnitSymbol,
    WithUnit,
    walk,
)
from grader.reading.tree.spread import unit_apart
from grader.regex import regex
from grader.values.dimension import NUMBER, RATE, TIME

MULTIPLE = "multiple-named"
"""The slip of an answer that names a multiple of a quantity, ``5 tau = 10 ms``: the quantity itself is not stated."""

_OF_ROOTS = ("s", "λ", "lambda", "p", "r", "x")
"""How the names of characteristic roots begin (common use)."""

_OF_NO_ROOT = regex("alpha|omega|zeta|tau|w[0dn]|[da]$")

_MAKE_ROOTS = regex("alpha|omega|zeta|w[0dn]")


def root_list(entries: list[tuple[str, Node]], doubled: bool) -> Roots:
    """Every root as its own tree; ``±`` makes two, and a unit at the end holds for all.

    Parameters
    ----------
    entries : list of (str, Node)
        Values with their labels ("" for none); where some are named as roots are, those named otherwise are none.
    doubled : bool
        The one root counts twice.

    Raises
    ------
    CannotRead
        If nothing but what roots are made of is stated: ``alpha = 100, wd = 75``, several equations.
    """
    entries = [entry for entry in entries if entry[0] != "t"] or entries
    others = [entry for entry in entries if not _OF_NO_ROOT.match(normalized_name(entry[0]))]
    stated = {normalized_name(label): tree for label, tree in entries if (label, tree) not in others}
    if _says_no_root(entries, others):
        raise CannotRead("made-into-roots")
    entries = others or entries
    found = [_with_values(root, stated) for tree in _named_as_roots(entries) for root in _both_signs(tree)]
    found = _come_to(found) * (2 if doubled and len(found) == 1 else 1)
    return Roots(tuple(_in_one_unit(found)), entries[0][1].place)


def _says_no_root(entries: list[tuple[str, Node]], others: list[tuple[str, Node]]) -> bool:
    """``alpha = 100, wd = 75``, and ``s + 10 = 0, s + 40 = 0``: nothing but what roots are made of; ``others`` may be roots."""
    makes = not others and all(_MAKE_ROOTS.match(normalized_name(label)) for label, _ in entries)
    return makes or all(label.startswith("(") and _is_zero(tree) for label, tree in entries)


def _come_to(found: list[Node]) -> list[Node]:
    """``-a ± jw, so -30 ± j40``: the numbers, where as many stand beside their formulas."""
    plain = [root for root in found if not any(isinstance(node, Name) for node in walk(root))]
    return plain if len(found) == 2 * len(plain) > 2 else found


def _in_one_unit(found: list[Node]) -> list[Node]:
    """The roots, each with its own unit or the last one's; none with a unit that no root has, if there are others."""
    split = [unit_apart(root) for root in found]
    split = [one for one in split if getattr(one[1], "dimension", None) in {None, NUMBER, RATE, TIME}] or split
    last = split[-1][1]
    return [bare if (own := unit or last) is None else WithUnit(bare, own, bare.place) for bare, unit in split]


def is_of_no_root(tree: Roots) -> bool:
    """Whether a unit stands there that no root has: ``-80 ± j60 (L in henry)``."""
    units = {node.dimension for node in walk(tree) if isinstance(node, UnitSymbol)}
    return not units <= {None, NUMBER, RATE, TIME}


def _named_as_roots(entries: list[tuple[str, Node]]) -> list[Node]:
    """The values named as roots are and those without any name; where none is named so, those that stand for no formula."""
    if any(_is_of_roots(label) for label, _ in entries):
        return [tree for label, tree in entries if not label or _is_of_roots(label)]
    return [tree for label, tree in entries if not label.startswith("(")] or [tree for _, tree in entries]


def _is_zero(tree: Node) -> bool:
    return isinstance(tree, Number) and not tree.value


def _is_of_roots(label: str) -> bool:
    last = label.rpartition(" ")[2]  # the roots are s1
    return last.lower().startswith(_OF_ROOTS) and not last.startswith("sqrt")


def _with_values(root: Node, stated: dict[str, Node]) -> Node:
    """``-α ± jω_d where α = 300, ω_d = 400``: a root with the values stated beside it."""
    names = {node.name for node in walk(root) if isinstance(node, Name)}
    values = tuple((name, stated[normalized_name(name)]) for name in sorted(names) if normalized_name(name) in stated)
    return Definition(root, values, root.place) if values else root


def solved(side: Any, tree: Node, forks: Ambiguities) -> Node:
    """``s + 40 = ±j30``, ``2s = …``: the roots, where a sum or a multiple of s stands left of the equal sign; any other function of it is told."""
    names = [node for node in walk(side) if _is_letter(node)] if isinstance(side, tuple) else []
    if len(names) != 1 or side is names[0] or _is_zero(tree):
        return tree
    root = _with_letter_alone(side, names[0], tree)
    if root is None and all(
        _is_letter(node) or isinstance(node, (Number, Quotient, Power, Call)) for node in walk(side)
    ):
        forks.remark("A function of s stands left of the equal sign, and not s itself.", MULTIPLE)
    return tree if root is None else root


def _with_letter_alone(side: Any, letter: Node, tree: Node) -> Node | None:
    """What the letter is where a sum with numbers, a multiple or a part of it is equal to a value; None for any other function."""
    number = next((one for one in side[:2] if isinstance(one, Number)), None)
    if isinstance(side, Sum) and all(isinstance(term, (Number, Negative)) or term is letter for term in side.terms):
        rest = (Negative(term, term.place) for term in side.terms if term is not letter)
        return Sum((tree, *rest), tree.place)
    if isinstance(side, Product) and number is not None and letter in side[:2]:
        return Quotient(tree, number, tree.place)
    if isinstance(side, Quotient) and side.top is letter and number is not None:
        return Product(number, tree, tree.place)
    return None


def _is_letter(node: Any) -> bool:
    """The letter of a characteristic equation; where no letter s is expected, it reads as the second."""
    return (isinstance(node, Name) and node.name in _OF_ROOTS) or (isinstance(node, UnitSymbol) and node.symbol == "s")


def _both_signs(tree: Node) -> list[Node]:
    plus = _with_sign(tree, turned=False)
    return [tree] if plus is tree else [plus, _with_sign(tree, turned=True)]


def _with_sign(node: Any, *, turned: bool) -> Any:
    """The tree with each ``±`` read as plus, or as minus where ``turned``."""
    if isinstance(node, PlusMinus):
        operand = _with_sign(node.operand, turned=turned)
        return Negative(operand, node.place) if turned else operand
    if isinstance(node, Sum):
        terms = tuple(_with_sign(term, turned=turned) for term in node.terms)
        return node if all(a is b for a, b in zip(terms, node.terms, strict=True)) else node._replace(terms=terms)
    if type(node) in {WithUnit, Negative}:
        operand = _with_sign(node.operand, turned=turned)
        return node if operand is node.operand else node._replace(operand=operand)
    if isinstance(node, (Product, Quotient, Power)):
        first, second = _with_sign(node[0], turned=turned), _with_sign(node[1], turned=turned)
        return node if first is node[0] and second is node[1] else type(node)(first, second, node.place)
    return node
