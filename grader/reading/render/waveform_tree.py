"""Waveforms and values as trees, so that what we computed is shown by the same pens as what students wrote."""

import math
from collections.abc import Sequence
from functools import reduce
from typing import Any

from flint import fmpq

from grader.reading.tree import (
    Call,
    Constant,
    Name,
    Negative,
    Node,
    Number,
    Power,
    Product,
    Quotient,
    Sum,
    Time,
    UnitSymbol,
    WithUnit,
    added,
)
from grader.values.comparison import NEGLIGIBLE
from grader.values.dimension import NUMBER, Dimension, unit_symbol
from grader.values.scalar import Scalar, Surd, rational, to_float
from grader.values.symbolic import Symbolic
from grader.values.term import Term, TermMode
from grader.values.text import DIGITS, number_text, prefixed_unit
from grader.values.waveform import Waveform

_ROUNDING = 1e-12
"""A coefficient this small beside the largest is rounding, not an amplitude."""

NEARLY_CRITICAL = 0.01
"""Share of the damping below which two exponents, or a frequency, are written as in critical damping."""

PERCENT = "%"

_WRITTEN_OUT = 10**9
"""Largest whole number that is written out; beyond it a decimal says as much."""

_TIME = Time(0)


def answer_tree(
    answer: Waveform, symbol: str, dimension: Dimension | None = None, start: fmpq | None = None, figures: int = 0
) -> Node:
    """A value or an expression in the unit that an answer is asked in.

    Parameters
    ----------
    answer : Waveform
        In SI base units.
    symbol : str
        The unit's symbol without prefix: the dimension's usual one, another for the same (``rad/s``), or ``%``.
    dimension : Dimension, optional
        None for a plain number.
    start : fmpq, optional
        As in `waveform_tree`.
    figures : int
        Significant figures that a number shows at least, noughts at its end among them.
    """
    if figures:
        return _with_figures(answer_tree(answer, symbol, dimension, start), figures)
    dimension = NUMBER if dimension is None else dimension
    if symbol == PERCENT and answer.is_constant and not answer.is_symbolic:
        return WithUnit(number_tree(100 * answer.value()), UnitSymbol(PERCENT, fmpq(1, 100), NUMBER, 0), 0)
    return in_unit(waveform_tree(answer, dimension, None if answer.is_constant else start), dimension, symbol)


def _with_figures(node: Node, figures: int) -> Node:
    """A number with noughts at its end until it shows as many figures; anything but one number as it is."""
    if isinstance(node, WithUnit | Negative):
        return node._replace(operand=_with_figures(node.operand, figures))
    if not isinstance(node, Number) or not node.value or "e" in node.text:
        return node
    missing = figures - len(node.text.replace(".", "").lstrip("0"))
    return node._replace(text=f"{node.text}{'' if '.' in node.text else '.'}{'0' * missing}") if missing > 0 else node


def in_unit(tree: Node, dimension: Dimension, symbol: str) -> Node:
    """A tree with another symbol for the unit of its dimension, prefixes kept."""
    usual = unit_symbol(dimension)
    if usual != symbol and isinstance(tree, WithUnit):
        return WithUnit(tree.operand, tree.unit._replace(symbol=tree.unit.symbol.removesuffix(usual) + symbol), 0)
    return tree


def value_tree(value: float, dimension: Dimension = NUMBER, digits: int = DIGITS) -> Node:
    """A value in SI base units, with the prefix that suits it."""
    scale, symbol = prefixed_unit(value, dimension, digits)
    return _measured(number_tree(value / scale, digits), scale, symbol, dimension)


def number_tree(value: float, digits: int = DIGITS) -> Node:
    """A plain number, rounded."""
    text = number_text(abs(value), digits)
    number: Node = Number(rational(text), text, 0) if "∞" not in text else Name("∞", None, 0)
    return Negative(number, 0) if value < 0 and number_text(value, digits) != "0" else number


def _measured(node: Node, scale: float, symbol: str, dimension: Dimension) -> Node:
    if not symbol:
        return node
    return WithUnit(node, UnitSymbol(symbol, rational(f"1e{round(math.log10(scale))}"), dimension, 0), 0)


def waveform_tree(
    waveform: Waveform,
    dimension: Dimension,
    start: fmpq | None = None,
    digits: int = DIGITS,
    passed: Node | None = None,
) -> Node:
    """A waveform as an instructor writes it.

    Parameters
    ----------
    waveform : Waveform
        In SI base units; with symbols it is written exactly, else rounded.
    dimension : Dimension
        Chooses the unit; the largest coefficient chooses its prefix.
    start : fmpq, optional
        Instant (seconds) that the exponentials are counted from.
    digits : int
        Significant digits.
    passed : Node, optional
        What stands for the time since then, where it is no letter but a value.
    """
    if waveform.is_symbolic:
        return _symbolic_tree(waveform)
    time: Node = _TIME
    if start is not None and start != 0:
        waveform = waveform.delayed(-start)
        time = Sum((_TIME, Negative(value_tree(to_float(start), Dimension(second=1), digits), 0)), 0)
    time = time if passed is None else passed
    modes = sorted(
        _without_cancelling(waveform.modes()),
        key=lambda m: (any((m.power, m.rate, m.frequency)), -m.rate, m.frequency, m.power),
    )
    largest = max((_size(mode) for mode in modes), default=0.0)
    plain = [_size(mode) for mode in modes if not mode.power]
    scale, symbol = prefixed_unit(max(plain, default=largest), dimension, digits)
    terms = [term for mode in modes for term in _mode_terms(mode, largest, scale, time, digits)]
    if not terms:
        return value_tree(0.0, dimension, digits)
    return _measured(added(terms), scale, symbol, dimension)


def _size(mode: TermMode) -> float:
    return max(abs(mode.cosine), abs(mode.sine))


def _without_cancelling(modes: Sequence[TermMode]) -> list[TermMode]:
    """Near critical damping two large terms all but cancel: both become ``(A + B t) e^(-at)``, to first order.

    With s ± d for the exponents, ``c1 e^(dt) + c2 e^(-dt)`` is ``(c1 + c2) + (c1 - c2) d t``; ``sin wt`` is ``w t``.
    """
    found: list[TermMode] = []
    for mode in sorted(modes, key=lambda m: (m.power, m.frequency, m.rate)):
        last = found[-1] if found and not (found[-1].power or found[-1].frequency) else None
        if mode.power or not mode.rate:
            found.append(mode)
        elif mode.frequency and mode.frequency <= NEARLY_CRITICAL * abs(mode.rate):
            found += _critical(mode.cosine, mode.sine * mode.frequency, mode.rate)
        elif last and not mode.frequency and abs(last.rate - mode.rate) <= NEARLY_CRITICAL * abs(last.rate + mode.rate):
            half = (mode.rate - last.rate) / 2
            found[-1:] = _critical(last.cosine + mode.cosine, (mode.cosine - last.cosine) * half, last.rate + half)
        else:
            found.append(mode)
    return found


def _critical(at_start: float, ramp: float, rate: float) -> list[TermMode]:
    """``(A + B t) e^(rate t)``; a part that is rounding noise is left out."""
    pair = (TermMode(at_start, 0.0, 0, rate, 0.0), TermMode(ramp, 0.0, 1, rate, 0.0))
    size = max(abs(at_start), abs(ramp / rate))
    return [mode for mode in pair if abs(mode.cosine) / (abs(rate) if mode.power else 1) > NEGLIGIBLE * size]


def _mode_terms(mode: TermMode, largest: float, scale: float, time: Node, digits: int) -> list[Node]:
    terms = []
    for amplitude, function in ((mode.cosine, "cos"), (mode.sine, "sin")):
        if abs(amplitude) <= _ROUNDING * largest:
            continue
        factors: list[Node] = []
        if mode.power:
            factors.append(time if mode.power == 1 else Power(time, Number(fmpq(mode.power), str(mode.power), 0), 0))
        if mode.rate:
            factors.append(Power(Constant("e", 0), _times_time(mode.rate, time, digits), 0))
        if mode.frequency:
            factors.append(Call(function, _times_time(mode.frequency, time, digits), 0))
        terms.append(_scaled(amplitude / scale, factors, digits))
    return terms


def _times_time(rate: float, time: Node, digits: int) -> Node:
    number = number_tree(abs(rate), digits)
    whole: Node = time if number_text(abs(rate), digits) == "1" else Product(number, time, 0)
    return Negative(whole, 0) if rate < 0 else whole


def _scaled(amplitude: float, factors: list[Node], digits: int) -> Node:
    size = number_text(abs(amplitude), digits)
    if size != "1" or not factors:
        factors = [number_tree(abs(amplitude), digits), *factors]
    node = reduce(lambda left, right: Product(left, right, 0), factors)
    return Negative(node, 0) if amplitude < 0 else node


# -- symbols -------------------------------------------------------------------------------------


def _symbolic_tree(waveform: Waveform) -> Node:
    """An exact waveform with symbols, term by term."""
    terms = sorted(waveform.terms, key=lambda t: (t.power, t.rate != 0, t.frequency != 0))
    return added([node for term in terms for node in _term_nodes(term)])


def _term_nodes(term: Term) -> list[Node]:
    angle = _linear(term.frequency, term.phase)
    waves = [(term.cosine, "cos"), (term.sine, "sin")] if angle is not None else [(term.cosine, "")]
    nodes = []
    for coefficient, function in waves:
        if coefficient == 0:
            continue
        node = scalar_tree(coefficient)
        if term.power:
            node = Product(node, _TIME if term.power == 1 else Power(_TIME, _whole(term.power), 0), 0)
        exponent = _linear(term.rate, term.offset)
        if exponent is not None:
            node = _product(node, Power(Constant("e", 0), exponent, 0))
        if function and angle is not None:
            node = _product(node, Call(function, angle, 0))
        nodes.append(node)
    return nodes


def _linear(slope: Scalar, offset: Scalar) -> Node | None:
    parts: list[Node] = []
    if slope != 0:
        parts.append(_product(scalar_tree(slope), _TIME))
    if offset != 0:
        parts.append(scalar_tree(offset))
    return added(parts) if parts else None


def _whole(number: int) -> Number:
    return Number(fmpq(number), str(number), 0)


def _product(left: Node, right: Node) -> Node:
    if isinstance(left, Number) and left.value == 1:
        return right
    if isinstance(left, Negative):
        return Negative(_product(left.operand, right), 0)
    if isinstance(left, Quotient) and isinstance(right, Time):
        return Quotient(_product(left.top, right), left.bottom, 0)
    return Product(left, right, 0)


def scalar_tree(value: Scalar) -> Node:
    """An exact number, with its square roots and symbols."""
    if isinstance(value, Surd):
        return added([_with_root(c, fmpq(r) if isinstance(r, int) else r) for r, c in value.parts])
    if isinstance(value, Symbolic):
        whole = math.lcm(*(int(c.q) for part in (value.top, value.bottom) for c in part.coeffs()))
        whole = whole if whole <= _WRITTEN_OUT else 1
        top, bottom = _polynomial(value.top * whole, value.names), _polynomial(value.bottom * whole, value.names)
        if isinstance(bottom, Number) and bottom.value == 1:
            return top
        if isinstance(top, Negative):
            return Negative(Quotient(top.operand, bottom, 0), 0)
        return Quotient(top, bottom, 0)
    if value < 0:
        return Negative(scalar_tree(-value), 0)
    if max(value.p, value.q) > _WRITTEN_OUT:
        return number_tree(to_float(value))
    if value.q == 1:
        return _whole(int(value.p))
    return Quotient(_whole(int(value.p)), _whole(int(value.q)), 0)


def _with_root(factor: Scalar, radicand: Scalar) -> Node:
    """A factor times a square root: ``2·√L``; ``1/√(L·C)`` and ``√(R/L)`` where the factor is one over letters."""
    if radicand == 1:
        return scalar_tree(factor)
    if isinstance(factor, Symbolic) and factor.top.is_one():
        inside = factor * factor * radicand
        if isinstance(inside, Symbolic):
            if inside.top.is_one():
                return Quotient(_whole(1), Call("sqrt", scalar_tree(1 / inside), 0), 0)
            return Call("sqrt", scalar_tree(inside), 0)
    return _product(scalar_tree(factor), Call("sqrt", scalar_tree(radicand), 0))


def _polynomial(polynomial: Any, names: tuple[str, ...]) -> Node:
    nodes = []
    for exponents, coefficient in polynomial.to_dict().items():
        node = scalar_tree(fmpq(coefficient))
        for name, exponent in zip(names, exponents, strict=True):
            if exponent:
                symbol: Node = Name(name, None, 0)
                node = _product(node, symbol if exponent == 1 else Power(symbol, _whole(int(exponent)), 0))
        nodes.append(node)
    return added(nodes)
