"""What stands left of an equal sign: a label, a multiple of what is asked, a formula that is no root, or nothing but working."""

from typing import Any

from grader.reading.line.choose import names_in
from grader.reading.line.fit import NAMES_ASKED, naming
from grader.reading.render.typeset import tree_text
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import normalized_name
from grader.reading.tree import Constant, Name, Negative, Node, Number, Power, Product, Quotient, Sum, Time, WithUnit
from grader.reading.tree.spread import unit_apart
from grader.regex import regex

MADE_OF_VALUES = "made-of-values"
"""The slip of an answer that tells the three values of an expression and not the expression."""


def label_of(part: tuple[Any, ...]) -> str:
    """The name that stands left of an equal sign; "" for none."""
    first = part[0]
    if type(first) is str or len(part) < 2:
        return first if type(first) is str else ""
    if type(first) in {Name, Time}:
        return first.name if isinstance(first, Name) else "t"
    return tree_text(first) if is_multiple(first) else ""


def formula_of_roots(part: tuple[Any, ...]) -> str:
    """``(s + 30) = ±j40``, ``R/(2L) = 30``: what is no root stands left of the equal sign; "" where a number does."""
    formula = len(part) > 1 and type(part[0]) not in {str, Name, Time} and names_in(part[0])
    return f"({tree_text(part[0])})" if formula else ""


def is_square(tree: Any) -> bool:
    """Whether it is the square of something: ``w0^2``."""
    return isinstance(tree, Power) and tree_text(tree.exponent) == "2"


def turned(chain: tuple[Any, ...], question: Question) -> str:
    """``-i = 3 A``: what is asked, the minus sign standing on its side; "" for any other chain."""
    name = tree_text(chain[0].operand).replace("·", "") if len(chain) > 1 and isinstance(chain[0], Negative) else ""
    return name if naming(name, question) == NAMES_ASKED else ""


def reciprocal(chain: tuple[Any, ...]) -> str:
    """The name of which ``1/tau = 40/s`` tells the reciprocal; "" for any other chain."""
    first = chain[0]
    inverse = len(chain) > 1 and isinstance(first, Quotient) and isinstance(first.bottom, Name)
    return first.bottom.name if inverse and isinstance(first.top, Number) and first.top.value == 1 else ""


def is_multiple(tree: Any) -> bool:
    """``5 tau``, ``-i`` or ``v/2``, of no known name: it is a label too, and another one than tau, i and v."""
    if isinstance(tree, Negative):
        return _is_unknown(tree.operand)
    if isinstance(tree, Quotient):
        return _is_unknown(tree.top) and isinstance(tree.bottom, Number)
    if not isinstance(tree, Product):
        return False
    of_a_number = isinstance(tree.left, Number) or is_multiple(tree.left)
    return of_a_number and _is_unknown(tree.right)


def _is_unknown(tree: Any) -> bool:
    """A name that nobody knows, or letters of one: ``wd``."""
    if isinstance(tree, Product):
        return _is_unknown(tree.left) and _is_unknown(tree.right)
    return isinstance(tree, Name) and tree.dimension is None


_VALUES = regex(
    r"(?P<letter>[ivu])\w*?(?:(?P<start>\(0\)|0|start|i(?:nitial)?)|(?P<end>\(inf\)|inf|f(?:inal)?|end))$|(?P<tau>tau|t)$"
)


def from_its_values(entries: list[tuple[str, Node]]) -> Node | None:
    """``v0 = 3 V, vf = 6 V, tau = 0.1 s`` as the expression that these three make; None for anything else."""
    found = [_VALUES.match(normalized_name(label)) for label, _ in entries]
    told = {one.lastgroup: tree for one, (_, tree) in zip(found, entries, strict=True) if one is not None}
    letters = {one["letter"] for one in found if one is not None} - {None}
    if len(entries) != 3 or told.keys() != {"start", "end", "tau"} or len(letters) > 1:
        return None
    place = entries[0][1].place
    power = Power(Constant("e", place), Negative(Quotient(Time(place), told["tau"], place), place), place)
    (start, unit), (end, other) = unit_apart(told["start"]), unit_apart(told["end"])
    if getattr(unit, "symbol", "") != getattr(other, "symbol", ""):
        return None
    made = Sum((end, Product(Sum((start, Negative(end, place)), place), power, place)), place)
    return made if unit is None else WithUnit(made, unit, place)
