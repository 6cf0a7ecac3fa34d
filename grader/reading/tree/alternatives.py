"""Readings that differ in what the same tree means: which terms a unit covers, degrees or radians, a t left out.

Each step takes a variant and gives the ways to read it, the most plausible first.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from grader.reading.ambiguities import Alternative
from grader.reading.tokens import Question, Token
from grader.reading.tokens.scan_units import unit_node
from grader.reading.tokens.units import look_up
from grader.reading.tree import (
    Call,
    Choice,
    Constant,
    Imaginary,
    Infinity,
    Negative,
    Node,
    Number,
    Pieces,
    Power,
    Product,
    Roots,
    Sum,
    Time,
    TimeUnit,
    UnitSymbol,
    WithUnit,
    added,
    exchanged,
    walk,
)
from grader.reading.tree.spread import cover, unit_text
from grader.reading.tree.unit_cell import cell_unit
from grader.values.dimension import RATE, RESISTANCE, TIME
from grader.values.scalar import rational


class Variant(Struct, frozen=True):
    """A tree, the symbol of the unit of the whole, and which way it was read."""

    tree: Node
    unit: str | None = None
    ways: tuple[Alternative, ...] = ()


class ReadingContext(Struct, frozen=True):
    """Context besides the tree: the unit cell, and the unit in which t is stated to count."""

    question: Question
    cell: str = ""
    time_unit: str = ""


class TokenSummary(Struct, frozen=True):
    """What the tokens show at a glance, so that a tree is searched only for what may be there."""

    shifted_angle: bool = False
    """A sum stands in a function."""
    constant_power: bool = False
    """A power of e holds no t."""
    unclear_time: bool = False
    """t occurs in a power or a function, and neither a unit of time nor a name tells what it counts in."""


def traits(tokens: Sequence[Token]) -> TokenSummary:
    """What arranged tokens show at a glance."""
    kinds = {token.kind for token in tokens}
    if "EULER" not in kinds and "FUNCTION" not in kinds:
        return TokenSummary()
    timed = "UNIT" in kinds and any(t.kind == "UNIT" and t.value.dimension in {TIME, RATE} for t in tokens)
    shifted = "NAME" in kinds and any(t.kind == "NAME" and t.value.name == "t'" for t in tokens)
    angle = constant = False
    for index, token in enumerate(tokens):
        if token.kind == "EULER" and not constant:
            constant = "TIME" not in _bracketed(tokens, index + 2) and not shifted
        elif token.kind == "FUNCTION" and not angle:
            kinds_inside = _bracketed(tokens, index + 1)
            angle = "NUMBER" in kinds_inside and not kinds_inside.isdisjoint({"PLUS", "MINUS"})
    return TokenSummary(angle, constant, not timed and "TIME" in kinds and "NAME" not in kinds)


def _bracketed(tokens: Sequence[Token], start: int) -> set[str]:
    """The kinds of tokens in the brackets that open at ``start``."""
    kinds: set[str] = set()
    depth = 0
    for token in tokens[start:]:
        kind = token.kind
        depth += (kind == "OPEN") - (kind == "CLOSE")
        if depth == 0:
            break
        kinds.add(kind)
    return kinds


Alternatives = Iterable[tuple[Node, str | None, Alternative]]
"""Trees, each with the symbol of the unit of the whole, as far as it is known, and which way it is."""


def variants(tree: Node, beside: ReadingContext, shown: TokenSummary) -> list[Variant]:
    """Every way to understand a tree, most plausible first."""
    if type(tree) in {Choice, Infinity}:
        return [Variant(tree)]
    if isinstance(tree, Roots):
        return [_root_units(tree, beside)]
    if beside.question.dimension == RESISTANCE and not beside.cell:
        tree = _in_ohms(tree)
    found = [Variant(tree)]
    if beside.question.expects == "expression":
        if shown.constant_power:
            found = _split(found, time_left_out)
        if shown.shifted_angle:
            found = _split(found, degrees_or_radians)
    found = _split(found, cover)
    if beside.cell:
        found = _with_cell(found, beside)
    return _with_time_unit(found, beside, shown)


def _in_ohms(tree: Node) -> Node:
    """``2k`` where a resistance is asked: the trade leaves the ohm out."""
    if type(tree) is not Product or type(tree.left) is not Number or type(tree.right) is not UnitSymbol:
        return tree
    symbol, dimension = tree.right.symbol, tree.right.dimension
    if dimension is not None or symbol not in {"k", "M"}:
        return tree
    return tree._replace(right=tree.right._replace(symbol=f"{symbol}Ω", dimension=RESISTANCE))


def _split(found: list[Variant], step: Callable[[Node], Alternatives]) -> list[Variant]:
    out: list[Variant] = []
    for number, variant in enumerate(found):
        ways = [Variant(tree, unit, (*variant.ways, way)) for tree, unit, way in step(variant.tree)]
        out.extend(ways[: 1 if number else None] or [variant])
    return out


# -- a t left out --------------------------------------------------------------------------------

_T_LEFT_OUT = Alternative("The t left out in a power of e was inserted.", "t-left-out")
_NO_T = Alternative("The power of e without t was read as a constant.")


def time_left_out(tree: Node) -> Alternatives:
    """``-267e^-250``: a term of an expression whose power of e holds no t, nor does anything else in it."""
    terms = tree.terms if isinstance(tree, Sum) else (tree,)
    turned = tuple(_with_time(term) for term in terms)
    if turned == terms:
        return ()
    return (added(turned, tree.place), None, _T_LEFT_OUT), (tree, None, _NO_T)


def _with_time(term: Node) -> Node:
    nodes = walk(term)
    if any(type(node) in {Time, Pieces, Imaginary} for node in nodes):
        return term  # 10∠30° is a phasor
    return exchanged(term, _times_time)


def _times_time(node: Any) -> Node | None:
    """A power of e with t in it."""
    if not isinstance(node, Power) or not isinstance(node.base, Constant) or node.base.name != "e":
        return None
    exponent = node.exponent
    return node._replace(exponent=Product(exponent, Time(exponent.place), exponent.place))


# -- degrees -------------------------------------------------------------------------------------

_TURN = 6.2832
_DEGREES = Alternative("The angle without a unit was read in degrees.", "degree-sign-left-out")
_RADIANS = Alternative("The angle without a unit was read in radians.")


def degrees_or_radians(tree: Node) -> Alternatives:
    """``cos(928t-11.5)``: beyond a full turn an angle is meant in degrees; both readings are kept."""
    angles = [angle for node in walk(tree) if isinstance(node, Call) and (angle := _bare_angle(node)) is not None]
    if not angles:
        return ()
    turned = exchanged(tree, _in_degrees)
    both = (turned, None, _DEGREES), (tree, None, _RADIANS)
    return both if max(angles) > _TURN else both[::-1]


def _bare_angle(call: Call) -> float | None:
    """Size of the plain number beside a term in t, inside cos or sin."""
    argument = call.argument
    if call.function not in {"cos", "sin"} or not isinstance(argument, Sum) or len(argument.terms) != 2:
        return None
    last = argument.terms[-1]
    number = last.operand if isinstance(last, Negative) else last
    if not isinstance(number, Number) or not any(isinstance(node, Time) for node in walk(argument.terms[0])):
        return None
    return float(number.value.p) / float(number.value.q)


def _in_degrees(node: Any) -> Node | None:
    """A function of a bare angle with the unit left out."""
    if not isinstance(node, Call) or _bare_angle(node) is None:
        return None
    timed, last = node.argument.terms
    unit = unit_node(look_up("°")[0], last.place)
    angle = last.operand if isinstance(last, Negative) else last
    turned: Node = Product(angle, unit, last.place)
    if isinstance(last, Negative):
        turned = Negative(turned, last.place)
    return node._replace(argument=node.argument._replace(terms=(timed, turned)))


# -- the unit cell -------------------------------------------------------------------------------

_CELL_NOT_USED = "The unit beside the answer was not used: the number was read in the unit without a prefix."


def _with_cell(found: list[Variant], beside: ReadingContext) -> list[Variant]:
    """A unit in its own cell holds where the answer carries none."""
    unit = cell_unit(beside.cell, beside.question.dimension)
    if unit is None:
        note = Alternative(
            f"The unit '{beside.cell.strip()}' beside the answer could not be read.", "unit-cell-unreadable"
        )
        return [replace(variant, ways=(*variant.ways, note)) for variant in found]
    out: list[Variant] = []
    for number, variant in enumerate(found):
        if variant.unit is not None:
            aside = Alternative(
                f"The unit {unit_text(unit.node)} beside the answer was left aside; the answer has its own."
            )
            same = variant.unit == unit_text(unit.node)
            out.append(variant if same else replace(variant, ways=(*variant.ways, aside)))
            continue
        ways = tuple(way for way in (*variant.ways, unit.way) if way.note or way.slip)
        out.append(Variant(WithUnit(variant.tree, unit.node, variant.tree.place), unit_text(unit.node), ways))
        if number == 0 and unit.base is not None:
            bare = WithUnit(variant.tree, unit.base, variant.tree.place)
            out.append(Variant(bare, unit.base.symbol, (*ways, Alternative(_CELL_NOT_USED, "unit-cell-not-used"))))
    return out


# -- the unit of t -------------------------------------------------------------------------------


def _with_time_unit(found: list[Variant], beside: ReadingContext, shown: TokenSummary) -> list[Variant]:
    """t counts in seconds unless the answer states another unit; milliseconds are kept as a last reading."""
    if beside.question.expects != "expression":
        return found
    main = found[0]
    if beside.time_unit:
        unit = cell_unit(beside.time_unit, TIME)
        if unit is None or not isinstance(unit.node, UnitSymbol) or unit.node.scale == 1:
            return found
        stated = unit.node
        return [replace(v, tree=TimeUnit(v.tree, stated, v.tree.place)) for v in found]
    if not shown.unclear_time:
        return found
    in_ms = TimeUnit(main.tree, _MILLISECOND, main.tree.place)
    return [*found, Variant(in_ms, main.unit, (*main.ways, _IN_MILLISECONDS))]


TIME_UNIT_ASSUMED = "time-unit-not-stated"
"""The slip of an answer that holds only if its t counts in milliseconds."""
_IN_MILLISECONDS = Alternative(
    "t was read as counting in milliseconds, which the answer does not say.", TIME_UNIT_ASSUMED
)
_MILLISECOND = UnitSymbol("ms", rational("1e-3"), TIME, 0)


# -- roots ---------------------------------------------------------------------------------------


def _root_units(tree: Roots, beside: ReadingContext) -> Variant:
    last = tree.roots[-1]
    if isinstance(last, WithUnit):
        return Variant(tree, unit_text(last.unit))
    cell = cell_unit(beside.cell, beside.question.dimension) if beside.cell else None
    if cell is None:
        return Variant(tree)
    roots = tuple(WithUnit(root, cell.node, root.place) for root in tree.roots)
    return Variant(Roots(roots, tree.place), unit_text(cell.node), (cell.way,))
