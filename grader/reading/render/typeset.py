"""Trees, values and waveforms as people write them: one line of plain text, or MathML Core.

One walk serves both: a `Renderer` knows how to put a fraction or a power on paper, the walk knows when brackets are needed.
The plain text can be read again and means the same.

References
----------
W3C, MathML Core: elements used are math, mrow, mi, mn, mo, mtext, mspace, mfrac, msup, msub, msubsup, msqrt.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from html import escape
from typing import Any

from flint import fmpq

from grader.reading import tree as nodes
from grader.reading.render.renderers import MATH, PLAIN, Renderer
from grader.reading.tree import Node
from grader.reading.tree.spread import unit_text
from grader.regex import regex
from grader.values.laplace import IMPULSE

SUM, SIGNED, PARALLEL, PRODUCT, POWER, ATOM = range(6)
"""How tightly a piece of writing holds together."""


def tree_text(tree: Node) -> str:
    """A reading as one line of plain text.

    Examples
    --------
    >>> from grader.reading.reader import read
    >>> tree_text(read("12/5*(1-EXP(-500*t))", expects="expression")[0].tree)
    '(12/5)·(1 − e^(−500t))'
    """
    return _written(tree, PLAIN)


def stated_text(tree: Node) -> str:
    """What we computed as one line: a sum stands in brackets before its unit."""
    if isinstance(tree, nodes.WithUnit) and isinstance(tree.operand, nodes.Sum):
        return f"({tree_text(tree.operand)}) {unit_text(tree.unit)}"
    return tree_text(tree)


def mathml(tree: Node) -> str:
    """A reading as a MathML Core element ``math``; what cannot read that reads the plain text beside it."""
    return _element(_written(tree, MATH), _written(tree, PLAIN))


def equated(sides: Sequence[Node]) -> tuple[str, str]:
    """Sides joined by equals signs, as one line of plain text and as one MathML element."""
    said = " = ".join(map(tree_text, sides))
    return said, _element("".join(_equation(sides, MATH)), said)


def equation_mathml(sides: Sequence[Node]) -> tuple[str, ...]:
    """Sides joined by equals signs, as MathML elements between which a narrow page may break: before "=", "+" and "−"."""
    return tuple(map(_element, _equation(sides, MATH), _equation(sides, PLAIN)))


def pieces_mathml(pieces: Iterable[nodes.WaveformPiece]) -> tuple[str, ...]:
    """What holds between instants, as such elements, with semicolons between the pieces."""
    *before, last = (
        (equation_mathml([piece.operand]), [_range(piece, pen) for pen in (MATH, PLAIN)]) for piece in pieces
    )
    ended = [(said, [f"{span[0]}{MATH.words('; ')}", f"{span[1]}; "]) for said, span in before]
    return tuple(one for said, span in (*ended, last) for one in (*said, _element(*span)))


def _element(drawn: str, said: str) -> str:
    return f'<math alttext="{escape(said)}"><mrow displaystyle="true">{drawn}</mrow></math>'


def _equation(sides: Sequence[Node], pen: Renderer) -> Iterator[str]:
    for number, side in enumerate(sides):
        first, *others = _breakable(side, pen)
        yield pen.leading("=") + first if number else first
        yield from others


def _breakable(tree: Node, pen: Renderer) -> list[str]:
    """The terms of a sum apart, with its unit behind the last; anything else whole."""
    if isinstance(tree, nodes.Sum):
        return list(_summands(tree, pen, pen.leading))
    if isinstance(tree, nodes.WithUnit) and isinstance(tree.operand, nodes.Sum):
        terms = _breakable(tree.operand, pen)
        terms[0] = pen.bracket("(") + terms[0]
        terms[-1] += pen.bracket(")") + pen.gap + pen.unit(unit_text(tree.unit))
        return terms
    return [_written(tree, pen)]


def significant_digits(tree: Node) -> int | None:
    """Significant digits written, if the tree is one decimal number with or without a unit; else None.

    Examples
    --------
    >>> from grader.reading.reader import read
    >>> [read(text)[0].digits for text in ("2.40 mA", "0.0024", "240", "1/3")]
    [3, 2, 3, None]
    """
    if isinstance(tree, nodes.Number):
        mantissa = tree.text.split("e")[0].split("E")[0]
        digits = "".join(c for c in mantissa if c.isdigit()).lstrip("0")
        return max(len(digits), 1)
    if isinstance(tree, (nodes.Negative, nodes.WithUnit)):
        return significant_digits(tree.operand)
    if isinstance(tree, nodes.Product):
        right = tree.right
        scaled = isinstance(right, nodes.Power) and isinstance(right.base, nodes.Number) and right.base.value == 10
        return significant_digits(tree.left) if isinstance(right, nodes.UnitSymbol) or scaled else None
    return None


# -- the walk ------------------------------------------------------------------------------------


def _written(node: Node, pen: Renderer) -> str:
    return _put(node, pen)[0]


def _put(node: Node, pen: Renderer) -> tuple[str, int]:
    """A node on paper, and how tightly it holds together."""
    way = _WAYS.get(type(node))
    return way(node, pen) if way is not None else (_whole(node, pen), SUM)


def _within(node: Node, pen: Renderer, tightness: int) -> str:
    """The node, in brackets if it does not hold together tightly enough."""
    text, own = _put(node, pen)
    return text if own >= tightness else pen.bracketed(text)


def _summands(node: nodes.Sum, pen: Renderer, sign_before: Callable[[str], str]) -> Iterator[str]:
    """The terms of a sum, each but the first with the sign before it."""
    yield _within(node.terms[0], pen, SIGNED)
    for term in node.terms[1:]:
        sign, operand = _SIGNS.get(type(term), "+"), term.operand if type(term) in _SIGNS else term
        yield sign_before(sign) + _within(operand, pen, PARALLEL)


_SIGNS: dict[type, str] = {nodes.Negative: "−", nodes.PlusMinus: "±"}


def _factors(node: Node) -> list[Node]:
    if isinstance(node, nodes.Product):
        return [*_factors(node.left), *_factors(node.right)]
    return [node]


def _product(node: nodes.Product, pen: Renderer) -> str:
    factors = _factors(node)
    out = ""
    for index, factor in enumerate(factors):
        text, own = _put(factor, pen)
        if own < PRODUCT or (
            isinstance(factor, nodes.Quotient)
            and not pen.stacks
            and index < len(factors) - 1
            and not _is_unit(factors[index + 1])
        ):
            text = pen.bracketed(text)
        if not index:
            out = text
        elif _is_unit(factor):
            out += pen.times("·") if _is_unit(factors[index - 1]) else "" if _is_degree(factor) else pen.gap
            out += text
        elif _touches(factors[index - 1], factor):
            out += pen.times("") + text
        else:
            out += pen.times("·") + text
    return out


def _is_unit(node: Node) -> bool:
    if isinstance(node, nodes.Quotient):
        return _is_unit(node.bottom) and (
            _is_unit(node.top) or (isinstance(node.top, nodes.Number) and node.top.value == 1)
        )
    if isinstance(node, nodes.Product):
        return _is_unit(node.left) and _is_unit(node.right)
    return isinstance(node, nodes.UnitSymbol) or (isinstance(node, nodes.Power) and _is_unit(node.base))


def _is_degree(node: Node) -> bool:
    return isinstance(node, nodes.UnitSymbol) and node.degrees


def _touches(left: Node, right: Node) -> bool:
    """Whether two factors are written side by side: ``500t``, ``2.4(1 − …)``, ``2e^…``, ``j400``; not ``2·10^−3``."""
    if isinstance(left, nodes.Imaginary):
        return isinstance(right, nodes.Number)
    if not isinstance(left, nodes.Number) or _exponent_of(left):
        return False
    if isinstance(right, nodes.Power):
        right = right.base
    return type(right) in {nodes.Time, nodes.Constant, nodes.Sum, nodes.Call, nodes.Imaginary} and not (
        isinstance(right, nodes.Call) and right.function == "sqrt"
    )


def _quotient(node: nodes.Quotient, pen: Renderer) -> tuple[str, int]:
    if _is_unit(node.bottom):
        return _per(node.top, pen) + pen.slash + _within(node.bottom, pen, POWER), PRODUCT
    if pen.stacks:
        return pen.fraction(_written(node.top, pen), _written(node.bottom, pen)), POWER
    top = _within(node.top, pen, SIGNED if isinstance(node.top, nodes.Negative) else PRODUCT)
    return top + pen.slash + _within(node.bottom, pen, POWER), PRODUCT


def _per(top: Node, pen: Renderer) -> str:
    """What stands before a unit below the line: ``500 1`` in 500 1/s."""
    if isinstance(top, nodes.Product) and isinstance(top.right, nodes.Number) and top.right.value == 1:
        return _within(top.left, pen, PRODUCT) + pen.gap + pen.number("1")
    return _within(top, pen, PRODUCT)


def _power(node: nodes.Power, pen: Renderer) -> str:
    base = _within(node.base, pen, ATOM)
    if isinstance(node.base, nodes.Number) and _exponent_of(node.base):
        base = pen.bracketed(base)
    return pen.power(
        base, _written(node.exponent, pen.in_line), simple=type(node.exponent) in {nodes.Number, nodes.Name, nodes.Time}
    )


def _call(node: nodes.Call, pen: Renderer) -> str:
    argument = _written(node.argument, pen)
    return pen.root(argument) if node.function == "sqrt" else pen.function(node.function, argument)


def _integral(node: nodes.Integral, pen: Renderer) -> str:
    bounds = ("" if bound is None else _written(bound, pen.in_line) for bound in (node.start, node.end))
    return pen.integral(_within(node.operand, pen, PRODUCT), *bounds)


def _measured(operand: Node, unit: Node, pen: Renderer) -> str:
    text, own = _put(operand, pen)
    loose = own < PRODUCT and not isinstance(operand, nodes.Sum) and not isinstance(operand, nodes.Negative)
    if isinstance(operand, nodes.Sum) and pen.stacks:
        loose = True
    if isinstance(unit, nodes.UnitSymbol) and unit.dimension is None and isinstance(operand, nodes.Number):
        return text + pen.gap + pen.unit(unit.symbol)
    return (pen.bracketed(text) if loose else text) + pen.gap + pen.unit(unit_text(unit))


def _whole(node: Node, pen: Renderer) -> str:
    """What stands around a whole expression."""
    if isinstance(node, nodes.TimeUnit):
        return _written(node.operand, pen) + pen.words(", t in ") + pen.unit(node.unit.symbol)
    if isinstance(node, nodes.Definition):
        values = pen.words(", ").join(
            pen.name(name) + pen.operator("=") + _written(value, pen) for name, value in node.values
        )
        return _written(node.operand, pen) + pen.words(", ") + values
    if isinstance(node, nodes.Pieces):
        return pen.words("; ").join(_written(piece.operand, pen) + _range(piece, pen) for piece in node.pieces)
    if isinstance(node, nodes.Roots):
        return pen.words("; ").join(_written(root, pen) for root in node.roots)
    assert isinstance(node, nodes.Choice)
    return pen.words(node.option or "none")


def _range(piece: nodes.WaveformPiece, pen: Renderer) -> str:
    start, end = (None if bound is None else _written(bound, pen) for bound in (piece.start, piece.end))
    when = pen.words(" for ")
    if end is None:
        return "" if start is None else when + pen.variable("t") + pen.operator(">") + start
    return when + ("" if start is None else start + pen.operator("<")) + pen.variable("t") + pen.operator("<") + end


# -- numbers -------------------------------------------------------------------------------------


def _exponent_of(node: nodes.Number) -> bool:
    return "e" in node.text or "E" in node.text


def _number(node: nodes.Number, pen: Renderer) -> tuple[str, int]:
    """A number as written, with a decimal point and without separators of thousands."""
    text = node.text
    if text.isnumeric():
        return pen.number(text), ATOM
    if not _exponent_of(node):
        return pen.number(_decimal(node.value, text)), ATOM
    mantissa, _, exponent = text.lower().partition("e")
    power = int(float(exponent.replace(",", ".")))
    size = node.value / fmpq(10) ** power
    return pen.scientific(_decimal(size, mantissa.strip()), str(power).replace("-", "−")), PRODUCT


_SEPARATOR = regex(r"[\s']")
"""What stands between thousands, where it is neither point nor comma."""


def _decimal(value: fmpq, text: str) -> str:
    """A terminating decimal, with the trailing noughts that were written."""
    number = Decimal(int(value.p)) / Decimal(int(value.q))
    plain = f"{number:f}"
    places = len(plain.partition(".")[2])
    written = text.rpartition("." if "." in text else ",")[2] if "." in text or "," in text else ""
    plainly = _SEPARATOR.sub("", text).replace(",", ".")
    if (
        written.isdigit()
        and len(written) > places
        and math.isclose(float(number), float(plainly) if text.count(",") + text.count(".") == 1 else math.nan)
    ):
        plain = f"{number:.{len(written)}f}"
    return plain.replace("-", "−")


_WAYS: dict[type, Callable[[Any, Renderer], tuple[str, int]]] = {
    nodes.Number: _number,
    nodes.Name: lambda node, pen: (pen.name("δ(t)" if node.name == IMPULSE else node.name), ATOM),
    nodes.Time: lambda node, pen: (pen.variable(node.symbol), ATOM),
    nodes.Constant: lambda node, pen: (pen.variable("π" if node.name == "pi" else "e"), ATOM),
    nodes.Imaginary: lambda _, pen: (pen.variable("j"), ATOM),
    nodes.UnitSymbol: lambda node, pen: (pen.unit(node.symbol), ATOM),
    nodes.Infinity: lambda _, pen: (pen.number("∞"), ATOM),
    nodes.Sum: lambda node, pen: ("".join(_summands(node, pen, pen.operator)), SUM),
    nodes.Parallel: lambda node, pen: (
        pen.operator("∥").join(_within(one, pen, PRODUCT) for one in node.terms),
        PARALLEL,
    ),
    nodes.Negative: lambda node, pen: (pen.sign("−") + _within(node.operand, pen, PRODUCT), SIGNED),
    nodes.PlusMinus: lambda node, pen: (pen.sign("±") + _within(node.operand, pen, PRODUCT), SIGNED),
    nodes.Product: lambda node, pen: (_product(node, pen), PRODUCT),
    nodes.Quotient: _quotient,
    nodes.Power: lambda node, pen: (_power(node, pen), POWER),
    nodes.Call: lambda node, pen: (_call(node, pen), ATOM),
    nodes.Step: lambda node, pen: (pen.function("u", _written(node.argument, pen)), ATOM),
    nodes.Integral: lambda node, pen: (_integral(node, pen), PRODUCT),
    nodes.WithUnit: lambda node, pen: (_measured(node.operand, node.unit, pen), PRODUCT),
}
"""How each kind of node is put on paper; what stands around a whole is `_whole`'s."""
