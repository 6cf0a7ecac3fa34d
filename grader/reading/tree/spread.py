"""Which terms a unit covers: the whole where it stands once at the end, every term where only some carry it."""

from collections.abc import Iterator

from flint import fmpq

from grader.reading import tree as nodes
from grader.reading.ambiguities import Alternative
from grader.reading.tree import Node, added
from grader.values.dimension import TIME

_SAYS_NOTHING = Alternative()
ONE = nodes.Number(fmpq(1), "1", 0)
MINUS_ONE = nodes.Number(fmpq(-1), "-1", 0)


def cover(tree: Node) -> Iterator[tuple[Node, str | None, Alternative]]:
    """The ways in which the units written cover an answer: (tree, symbol of the unit of the whole, which way it is)."""
    if isinstance(tree, (nodes.Sum, nodes.Parallel)):
        yield from _cover_sum(tree)
    elif isinstance(tree, nodes.Product) and isinstance(tree.left, nodes.Sum) and unit_factor(tree.right) is None:
        for left, symbol, way in _cover_sum(tree.left):  # (2.4 mA - 2.4e^-500t) u(t)
            yield tree._replace(left=left), symbol, way
    elif isinstance(tree, nodes.Definition):
        for operand, symbol, way in cover(tree.operand):
            yield tree._replace(operand=operand), symbol, way
    elif isinstance(tree, nodes.Pieces) and len(tree.pieces) == 1:
        (piece,) = tree.pieces
        for operand, symbol, way in cover(piece.operand):
            yield tree._replace(pieces=(piece._replace(operand=operand),)), symbol, way
    elif isinstance(tree, nodes.Pieces):
        yield from _cover_pieces(tree)
    else:
        unit = unit_factor(tree)
        yield tree, None if unit is None or _is_prefix(unit) else unit_text(unit), _SAYS_NOTHING


def _cover_sum(tree: nodes.Sum | nodes.Parallel) -> Iterator[tuple[Node, str | None, Alternative]]:
    units = [unit_factor(term) for term in tree.terms]
    written = [unit for unit in units if unit is not None]
    counted = (
        written
        and getattr(written[-1], "dimension", None) == TIME
        and any(type(one) is nodes.Time for one in tree.terms)
    )
    if not written or len(written) == len(units) or counted:  # t - 450 us
        yield tree, None if not written or _is_prefix(written[-1]) else unit_text(written[-1]), _SAYS_NOTHING
        return
    symbol = unit_text(written[-1])
    prefix = _is_prefix(written[-1])
    known, what = (None, "prefix") if prefix else (symbol, "unit")
    if units[-1] is not None and len(written) == 1:
        bare = (*tree.terms[:-1], without_unit(tree.terms[-1]))
        yield nodes.WithUnit(type(tree)(bare, tree.place), units[-1], tree.place), known, _SAYS_NOTHING
    else:
        every = tuple(
            term if unit is not None else nodes.Product(term, written[0], term.place)
            for term, unit in zip(tree.terms, units, strict=True)
        )
        yield type(tree)(every, tree.place), known, Alternative(f"The {what} {symbol} was read for every term.")
    if not all(_is_base(unit) for unit in written):  # in volts it makes no difference which terms V covers
        yield tree, known, Alternative(f"The {what} {symbol} was read for the term beside it alone.")


def _cover_pieces(tree: nodes.Pieces) -> Iterator[tuple[Node, str | None, Alternative]]:
    """A unit behind one range holds for the others, too, or for that one alone."""
    covered = [next(iter(cover(piece.operand))) for piece in tree.pieces]
    own = [node for node, _, _ in covered]
    symbol = next((unit for _, unit, _ in covered if unit is not None), None)
    source = next((node for node, unit, _ in covered if unit is not None), None)
    shared = unit_factor(source) if source is not None else None
    spread = [
        node if unit is not None or shared is None else nodes.WithUnit(node, shared, node.place)
        for node, unit, _ in covered
    ]
    yield _with_operands(tree, spread), symbol, _SAYS_NOTHING
    if shared is not None and spread != own and not _is_base(shared):
        told = Alternative(f"The unit {symbol} was read for the range beside it alone.")
        yield _with_operands(tree, own), symbol, told


def _with_operands(tree: nodes.Pieces, operands: list[Node]) -> Node:
    pieces = (piece._replace(operand=operand) for piece, operand in zip(tree.pieces, operands, strict=True))
    return tree._replace(pieces=tuple(pieces))


def unit_factor(node: Node) -> Node | None:
    """The unit among the factors of a term (with its powers and quotients), if there is one."""
    if isinstance(node, (nodes.Number, nodes.Time, nodes.Name, nodes.Constant)):
        return None
    if isinstance(node, nodes.UnitSymbol):
        return None if node.degrees else node
    if isinstance(node, (nodes.Negative, nodes.PlusMinus)):
        return unit_factor(node.operand)
    if isinstance(node, nodes.WithUnit):
        return node.unit
    if isinstance(node, nodes.Product):
        left, right = unit_factor(node.left), unit_factor(node.right)
        if left is not None and right is not None:
            return nodes.Product(left, right, left.place)
        return right if left is None else left
    if isinstance(node, nodes.Quotient):
        top, bottom = unit_factor(node.top), unit_factor(node.bottom)
        if bottom is None:
            return top
        return (
            nodes.Quotient(top, bottom, top.place) if top is not None else nodes.Power(bottom, MINUS_ONE, bottom.place)
        )
    if isinstance(node, nodes.Power):
        inner = unit_factor(node.base)
        return None if inner is None else nodes.Power(inner, node.exponent, node.place)
    return None


def without_unit(node: Node) -> Node:
    """The term without its unit factors."""
    if _only_units(node):
        return ONE._replace(place=node.place)
    if isinstance(node, nodes.Negative):
        return nodes.Negative(without_unit(node.operand), node.place)
    if isinstance(node, nodes.WithUnit):
        return node.operand
    if isinstance(node, nodes.Product):
        if _only_units(node.right):
            return without_unit(node.left)
        if _only_units(node.left):
            return without_unit(node.right)
        return nodes.Product(without_unit(node.left), without_unit(node.right), node.place)
    if isinstance(node, nodes.Quotient):
        top = without_unit(node.top)
        if not _only_units(node.bottom):
            return nodes.Quotient(top, without_unit(node.bottom), node.place)
        one = isinstance(top, nodes.Product) and isinstance(top.right, nodes.Number) and top.right.text == "1"
        return top.left if one else top  # of 500 1/s the 1 belongs to the unit
    if isinstance(node, nodes.Power) and unit_factor(node.base) is not None:
        return nodes.Power(without_unit(node.base), node.exponent, node.place)
    return node


def unit_apart(tree: Node) -> tuple[Node, Node | None]:
    """A value without its units, and the last of them."""
    terms = tree.terms if isinstance(tree, nodes.Sum) else (tree,)
    units = [unit for unit in map(unit_factor, terms) if unit is not None]
    if not units:
        return tree, None
    return added(tuple(map(without_unit, terms)), tree.place), units[-1]


def _only_units(node: Node) -> bool:
    """Whether a factor is nothing but a unit, perhaps with a power."""
    if isinstance(node, nodes.Power):
        return _only_units(node.base)
    if isinstance(node, nodes.Product):
        return _only_units(node.left) and _only_units(node.right)
    return isinstance(node, nodes.UnitSymbol) and not node.degrees


def _is_base(unit: Node) -> bool:
    """Whether a unit is one without any prefix."""
    if isinstance(unit, (nodes.Product, nodes.Quotient)):
        return _is_base(unit[0]) and _is_base(unit[1])
    if isinstance(unit, nodes.Power):
        return _is_base(unit.base)
    return isinstance(unit, nodes.UnitSymbol) and unit.scale == 1


def _is_prefix(node: Node) -> bool:
    return isinstance(node, nodes.UnitSymbol) and node.dimension is None


def unit_text(node: Node) -> str:
    """A unit in one line: ``mA``, ``V/s``, ``1/s``."""
    if isinstance(node, nodes.UnitSymbol):
        return node.symbol
    if isinstance(node, nodes.Product):
        return f"{unit_text(node.left)}·{unit_text(node.right)}"
    if isinstance(node, nodes.Quotient):
        return f"{unit_text(node.top)}/{unit_text(node.bottom)}"
    if isinstance(node, nodes.Power):
        exponent = node.exponent
        negative = isinstance(exponent, nodes.Negative)
        number = exponent.operand if negative else exponent
        size = number.value if isinstance(number, nodes.Number) else ONE.value
        size = -size if negative else size
        base = unit_text(node.base)
        return f"1/{base}" if size == -1 else f"{base}^{size}"
    return "1"
