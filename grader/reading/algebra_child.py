"""The work behind `grader.reading.algebra`: a pickled tree is asked, a waveform or nothing is the answer."""

import math
import pickle
from collections.abc import Callable, Mapping
from functools import reduce
from typing import Any

import sympy
from flint import fmpq

from grader.jobs.helper import serve
from grader.reading import tree as nodes
from grader.reading.limits import ALGEBRA_BYTES, ALGEBRA_NODES, ALGEBRA_SECONDS
from grader.reading.tree import Node
from grader.values import functions
from grader.values import waveform as wave
from grader.values.waveform import NotAWaveform, Waveform


def main() -> None:
    """Answer questions within this process's bounds."""
    serve(_answered, ALGEBRA_SECONDS, ALGEBRA_BYTES)


def _answered(question: bytes) -> bytes:
    tree, names = pickle.loads(question)  # noqa: S301 - written by our own process
    return pickle.dumps(equal_waveform(tree, names))


def equal_waveform(tree: Node, names: Mapping[str, Waveform]) -> Waveform | None:
    """The waveform that a tree equals, as far as algebra shows; see `grader.reading.algebra.waveform_by_algebra`."""
    try:
        expression, time = _in_whole_rates(_Given(names).of(tree))
        for step in (sympy.cancel, sympy.simplify, lambda found: sympy.simplify(found.rewrite(sympy.exp))):
            try:
                return _waveform(step(expression), time)
            except (NotAWaveform, ZeroDivisionError):
                continue
    except (_Outside, ArithmeticError, ValueError, NotImplementedError, RecursionError):
        return None
    return None


# -- from a tree to the library ------------------------------------------------------------------


_TIME = sympy.Symbol("t", positive=True)


class _Outside(Exception):
    """The tree holds what is not brought to the library: ranges, steps, letters, several values."""


class _Given:
    """One walk over a tree; its size is bounded."""

    def __init__(self, names: Mapping[str, Waveform]) -> None:
        self.names = names
        self.nodes = 0

    def of(self, node: Node) -> Any:
        self.nodes += 1
        rule = _RULES.get(type(node))
        if rule is None or self.nodes > ALGEBRA_NODES:
            raise _Outside
        return rule(self, node)


def _rational(value: fmpq) -> Any:
    return sympy.Rational(int(value.p), int(value.q))


def _unit(_given: _Given, node: nodes.UnitSymbol) -> Any:
    return sympy.pi / 180 if node.degrees else _rational(node.scale)


def _name(given: _Given, node: nodes.Name) -> Any:
    value = given.names.get(node.name)
    if value is None or not value.is_number or not isinstance(value.number, fmpq):
        raise _Outside
    return _rational(value.number)


def _rescaled(given: _Given, node: nodes.TimeUnit) -> Any:
    return given.of(node.operand).subs(_TIME, _TIME / _rational(node.unit.scale))


def _call(given: _Given, node: nodes.Call) -> Any:
    function = {"ln": "log", "log": "log", "abs": "Abs", "arctan": "atan", "arcsin": "asin", "arccos": "acos"}.get(
        node.function, node.function
    )
    found = getattr(sympy, function)(given.of(node.argument))
    return found / sympy.log(10) if node.function == "log" else found


_RULES: dict[type, Callable[[_Given, Any], Any]] = {
    nodes.Number: lambda _, node: _rational(node.value),
    nodes.UnitSymbol: _unit,
    nodes.Name: _name,
    nodes.Constant: lambda _, node: sympy.E if node.name == "e" else sympy.pi,
    nodes.Time: lambda *_: _TIME,
    nodes.Negative: lambda given, node: -given.of(node.operand),
    nodes.Sum: lambda given, node: sympy.Add(*map(given.of, node.terms)),
    nodes.Product: lambda given, node: given.of(node.left) * given.of(node.right),
    nodes.Quotient: lambda given, node: given.of(node.top) / given.of(node.bottom),
    nodes.Parallel: lambda given, node: 1 / sympy.Add(*(1 / given.of(term) for term in node.terms)),
    nodes.Power: lambda given, node: given.of(node.base) ** given.of(node.exponent),
    nodes.Call: _call,
    nodes.WithUnit: lambda given, node: given.of(node.operand) * given.of(node.unit),
    nodes.TimeUnit: _rescaled,
}


# -- and back ------------------------------------------------------------------------------------


def _in_whole_rates(expression: Any) -> tuple[Any, Waveform]:
    """The expression with t in a unit in which its rates are whole numbers, and that t: powers of one exponential then show."""
    inner = [call.args[0] for call in expression.atoms(sympy.exp, sympy.cos, sympy.sin, sympy.cosh, sympy.sinh)]
    scale = math.lcm(*(int(number.q) for one in inner for number in one.atoms(sympy.Rational)))
    return expression.subs(_TIME, _TIME * scale), wave.TIME.scaled(fmpq(1, scale))


def _waveform(found: Any, time: Waveform) -> Waveform:
    """The waveform that an expression of the library's is, term by term; `NotAWaveform` if it is none."""
    if found.is_Rational:
        return wave.constant(fmpq(int(found.p), int(found.q)))
    if found.is_Symbol:
        return time
    if found is sympy.pi:
        return functions.pi()
    if found is sympy.E:
        return functions.EULER
    parts = [_waveform(part, time) for part in found.args]
    if found.is_Add:
        return reduce(Waveform.__add__, parts)
    if found.is_Mul:
        return reduce(Waveform.__mul__, parts)
    if found.is_Pow:
        return functions.power(*parts)
    function = _FUNCTIONS.get(type(found).__name__)
    if function is None or len(parts) != 1:
        raise NotAWaveform("this is no sum of exponentials")
    return function(*parts)


_FUNCTIONS: dict[str, Callable[[Waveform], Waveform]] = {
    "exp": functions.exp, "cos": functions.cos, "sin": functions.sin, "cosh": functions.cosh, "sinh": functions.sinh,
    "log": functions.log,
}  # fmt: skip
