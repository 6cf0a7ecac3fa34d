"""Characteristic roots: complex numbers, exact, as pairs of real and imaginary part."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from flint import fmpq

from grader.reading.limits import MAX_POWER
from grader.reading.tree import Call, Imaginary, Negative, Node, Power, Product, Quotient, Roots, Sum, WithUnit
from grader.reading.value.evaluate import EvaluationError, evaluate
from grader.values import functions
from grader.values import waveform as wave
from grader.values.dimension import Dimension
from grader.values.waveform import Waveform

Pair: TypeAlias = tuple[Waveform, Waveform]
"""Real and imaginary part, numbers in 1/s."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RootsFound:
    """The roots of an answer, in the order written; ``dimension`` of the unit written, None where none was."""

    roots: tuple[Pair, ...]
    dimension: Dimension | None = None


def evaluate_roots(tree: Node, names: Mapping[str, Waveform] | None = None) -> RootsFound:
    """Work the roots of an answer out.

    Parameters
    ----------
    tree : Node
        Of a reading of roots (a single value counts as one root).
    names : mapping, optional
        Values of names that occur.

    Raises
    ------
    EvaluationError, NotAWaveform, ZeroDivisionError
        As `grader.reading.value.evaluate.evaluate`; also where t occurs.
    """
    work = _Complex(names or {})
    trees = tree.roots if isinstance(tree, Roots) else (tree,)
    roots = tuple(work.of(root) for root in trees)
    if not all(part.is_constant for root in roots for part in root):
        raise EvaluationError("A root is a number; t does not belong in it.")
    return RootsFound(roots=roots, dimension=work.dimension)


class _Complex:
    """One walk over the trees of the roots."""

    __slots__ = ("dimension", "names")

    def __init__(self, names: Mapping[str, Waveform]) -> None:
        self.names = names
        self.dimension: Dimension | None = None

    def of(self, node: Any) -> Pair:
        rule = _RULES.get(type(node))
        if rule is not None:
            return rule(self, node)
        quantity = evaluate(node, self.names)
        self.dimension = quantity.dimension or self.dimension
        return quantity.waveform, Waveform()


def _imaginary(work: _Complex, node: Imaginary) -> Pair:  # noqa: ARG001 - one signature for every rule
    return Waveform(), wave.constant(fmpq(1))


def _negative(work: _Complex, node: Negative) -> Pair:
    a, b = work.of(node.operand)
    return -a, -b


def _sum(work: _Complex, node: Sum) -> Pair:
    a, b = Waveform(), Waveform()
    for term in node.terms:
        c, d = work.of(term)
        a, b = a + c, b + d
    return a, b


def _times(left: Pair, right: Pair) -> Pair:
    (a, b), (c, d) = left, right
    return a * c - b * d, a * d + b * c


def _product(work: _Complex, node: Product) -> Pair:
    left = work.of(node.left)
    right = work.of(node.right)
    return _times(left, right)


def _quotient(work: _Complex, node: Quotient) -> Pair:
    top, (c, d) = work.of(node.top), work.of(node.bottom)
    size = c * c + d * d
    a, b = _times(top, (c, -d))
    return a / size, b / size


def _power(work: _Complex, node: Power) -> Pair:
    base = work.of(node.base)
    exponent = evaluate(node.exponent, work.names).waveform
    if not base[1].terms:
        return functions.power(base[0], exponent), Waveform()
    n = exponent.number
    if not isinstance(n, fmpq) or n.q != 1 or not 0 <= n <= MAX_POWER:
        raise EvaluationError("A power of an imaginary number must be a small whole one.")
    result: Pair = (wave.constant(fmpq(1)), Waveform())
    for _ in range(int(n.p)):
        result = _times(result, base)
    return result


def _call(work: _Complex, node: Call) -> Pair:
    if node.function == "sqrt":
        value = evaluate(node.argument, work.names).waveform
        if not value.is_symbolic and wave.number_of(value) < 0:
            return Waveform(), functions.square_root(-value)
    return evaluate(node, work.names).waveform, Waveform()


def _measured(work: _Complex, node: WithUnit) -> Pair:
    a, b = work.of(node.operand)
    unit = evaluate(node.unit)
    work.dimension = unit.dimension
    return a * unit.waveform, b * unit.waveform


_RULES: dict[type, Callable[[_Complex, Any], Pair]] = {
    Imaginary: _imaginary, Negative: _negative, Sum: _sum, Product: _product, Quotient: _quotient, Power: _power,
    Call: _call, WithUnit: _measured,
}  # fmt: skip
