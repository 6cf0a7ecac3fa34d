"""Evaluates a tree: an exact waveform in SI base units, and the dimension that was written.

A unit inside an expression is a factor with a dimension; t counts in seconds.  A plain number says nothing about
its unit, so a dimension is known only where one was written (or follows from names whose dimension is known).
"""

from collections.abc import Callable, Mapping
from typing import Any

from flint import fmpq
from msgspec import Struct

from grader.reading import tree as nodes
from grader.reading.limits import MAX_INSTANTS, MAX_POWER, MAX_POWER_OF_SUM, MAX_PRODUCTS_IN_ALL
from grader.reading.tree import Node
from grader.reading.value.complex_number import Complex, as_complex
from grader.reading.value.functions import FUNCTIONS, size
from grader.reading.value.ranges import pieces, step
from grader.reading.value.unit_behind import added, in_unit
from grader.reading.value.worth import (
    EvaluationError,
    NoResponse,
    NotFinite,
    UnknownName,
    Value,
    Worth,
    as_waveform,
    bounded,
    divided,
    exponential,
    multiplied,
    over,
    raised,
    square_root,
    times,
    with_seconds,
)
from grader.values import functions
from grader.values import waveform as wave
from grader.values.dimension import NUMBER, RATE, TIME, Dimension
from grader.values.scalar import HALF, ONE, ZERO
from grader.values.waveform import Waveform


class Quantity(Struct, frozen=True):
    """The worth of an answer."""

    waveform: Waveform
    """In SI base units (of the unit written, where one was), valid from the instant asked on."""
    dimension: Dimension | None
    """Of the unit written; None: no unit was written."""
    consistent: bool = True
    """False where terms of different dimensions are added, or a power or angle is no plain number."""
    named: bool = False
    """Names of elements or earlier items occur in it, so that no unit needs to be written."""
    later: tuple[tuple[fmpq, Waveform], ...] = ()
    """What holds from later instants (seconds) on, where the answer has steps or ranges inside the interval."""
    silent: bool = False
    """It has ranges, and none of them holds at the instant asked."""
    odd: bool = False
    """The unit behind names alone is one that nobody would tell this result in: ``V/R kA`` for 3 A."""
    told: Waveform | None = None
    """The same if the unit behind names and numbers only tells the result, and the numbers count in base units; None where that is no question."""


def evaluate(tree: Node, names: Mapping[str, Waveform] | None = None, start: fmpq = ZERO) -> Quantity:
    """Work a tree out.

    Parameters
    ----------
    tree : Node
        Of a `Reading`.
    names : mapping, optional
        Values of the names that occur, in SI base units.
    start : fmpq
        Instant (seconds) from which on the answer is asked: it decides which range holds and which unit steps
        have happened.

    Returns
    -------
    Quantity

    Raises
    ------
    EvaluationError
        If a name's value is not known, or a number grows beyond all bounds.
    grader.values.waveform.NotAWaveform
        If the value is no exponential polynomial.
    ZeroDivisionError
        If the answer divides by zero.
    """
    work = _Evaluation(names or {}, start, start)
    value, dimension = work.of(tree)
    later = work.later(tree) if work.instants else ()
    dimension = with_seconds(value, dimension)
    told = as_waveform(_Evaluation(work.names, start, start, told=True).of(tree)[0]) if work.either else None
    return Quantity(as_waveform(value), dimension, work.consistent, work.named, later, work.silent, work.odd, told)


def worth_of(tree: Node, names: Mapping[str, Waveform]) -> Worth:
    """Evaluate a tree as it is, to a complex number perhaps, and its dimension; raises as `evaluate` does."""
    return _Evaluation(names, ZERO, ZERO).of(tree)


class _Evaluation(Struct):
    """One walk over a tree."""

    names: Mapping[str, Waveform]
    start: fmpq
    origin: fmpq
    consistent: bool = True
    named: bool = False
    defined: dict[str, Dimension | None] = {}
    products: int = 0
    instants: set[fmpq] = set()
    time_scale: fmpq | None = None
    worths: dict[tuple[int, fmpq | None], tuple[Node, Worth]] = {}
    """What each node was found to be worth: a unit behind a product asks for its factors again, on every level."""
    silent: bool = False
    told: bool = False
    """Whether a unit behind names and numbers only tells the result."""
    either: bool = False
    """Whether it may, or may be that of the numbers."""
    odd: bool = False
    """Whether nobody would tell the result in it."""

    @property
    def has_names(self) -> bool:
        """Whether a name met so far brings a unit."""
        return self.named or any(self.defined.values())

    def of(self, node: Node) -> Worth:
        if type(node) is nodes.Number:
            return node.value, None
        known = id(node), self.time_scale
        if (found := self.worths.get(known)) is None:
            found = self.worths[known] = node, _RULES[type(node)](self, node)
        return found[1]

    def multiplied(self, left: Value, right: Value) -> Value:
        """The product; the work of all of them is bounded."""
        if type(left) is Waveform and type(right) is Waveform:
            self.products += len(left.terms) * len(right.terms)
            if self.products > MAX_PRODUCTS_IN_ALL:
                raise EvaluationError("This answer multiplies out to too many terms; write it in fewer.")
        return multiplied(left, right)

    def later(self, tree: Node) -> tuple[tuple[fmpq, Waveform], ...]:
        """The answer from each later instant on."""
        later = sorted(instant for instant in self.instants if instant > self.start)
        if len(later) > MAX_INSTANTS:
            raise EvaluationError(
                "This answer changes its form too often; write one expression for the interval asked."
            )
        pieces = []
        for instant in later:
            value, _ = _Evaluation(self.names, instant, self.origin).of(tree)
            pieces.append((instant, as_waveform(value)))
        return tuple(pieces)


def _unit(_work: _Evaluation, node: nodes.UnitSymbol) -> Worth:
    if node.degrees:
        return functions.pi().scaled(fmpq(1, 180)), node.dimension
    return node.scale, node.dimension


def _name(work: _Evaluation, node: nodes.Name) -> Worth:
    value = work.names.get(node.name)
    if value is None and node.name == "t'":
        return wave.TIME - wave.constant(work.origin), node.dimension
    if value is None:
        raise UnknownName(f"The value of '{node.name}' is not known here; write its number, or a name of the circuit.")
    if node.name in work.defined:  # a constant defined beside is what it would be inside: A = -6 brings no unit
        dimension = work.defined[node.name]
    else:
        work.named, dimension = True, node.dimension
    return (value.number if value.is_number else value), dimension


def _negative(work: _Evaluation, node: nodes.Negative) -> Worth:
    value, dimension = work.of(node.operand)
    return -value, dimension


def _sum(work: _Evaluation, node: nodes.Sum) -> Worth:
    return added(work, map(work.of, node.terms))


def _product(work: _Evaluation, node: nodes.Product) -> Worth:
    left, a = work.of(node.left)
    right, b = work.of(node.right)
    if type(node.right) is nodes.UnitSymbol:
        if work.has_names:
            return in_unit(work, node.left, (right, b))
        if a is not None and a == b and type(node.left) is nodes.Quotient:
            return work.multiplied(left, right), a  # 36V/12Ω A: the unit was there already
    if b is None and a is not None and a.second < 0 and _is_shifted_time(node.right):
        b = TIME  # 40 V/s (t - 0.2): t counts in seconds, and so does what is taken off it
    return work.multiplied(left, right), times(a, b)


def _is_shifted_time(node: Node) -> bool:
    """Whether it is t less an instant, or plus one."""
    return type(node) is nodes.Sum and any(type(term) is nodes.Time for term in node.terms)


def _quotient(work: _Evaluation, node: nodes.Quotient) -> Worth:
    top, a = work.of(node.top)
    bottom, b = work.of(node.bottom)
    if type(node.bottom) is nodes.UnitSymbol and type(node.top) is nodes.Product and work.has_names:
        size, kind = work.of(node.top.right)
        if type(node.top.right) is nodes.UnitSymbol:  # (v1 - v0)/tau mV/ms
            return in_unit(work, node.top.left, (divided(size, bottom), over(kind, b)))
    return divided(top, bottom), over(a, b)


def _parallel(work: _Evaluation, node: nodes.Parallel) -> Worth:
    """R1 ∥ R2 = 1/(1/R1 + 1/R2)."""
    total: Value = ZERO
    dimension: Dimension | None = None
    for term in node.terms:
        value, own = work.of(term)
        if own is not None and dimension not in {None, own}:
            work.consistent = False
        dimension = dimension or own
        share = divided(ONE, value)
        of = {type(total), type(share)}
        if Complex in of:
            total = as_complex(total) + share
        else:
            total = as_waveform(total) + as_waveform(share) if Waveform in of else total + share
    return divided(ONE, total), dimension


def _pure(work: _Evaluation, dimension: Dimension | None, value: Value) -> None:
    """A power or an angle must be a plain number; the t in it counts as seconds."""
    if dimension is None or dimension == NUMBER:
        return
    if dimension in {RATE, TIME} and type(value) is Waveform and not value.is_constant:
        return  # 500(t - 1 ms), t/(2 ms): t counts in seconds, and a plain number may stand for a rate
    work.consistent = False


def _power(work: _Evaluation, node: nodes.Power) -> Worth:
    named = work.named
    if isinstance(node.base, nodes.Constant) and node.base.name == "e":
        try:
            exponent, b = work.of(node.exponent)
        except wave.NotAWaveform as error:  # no algebra makes a response of e to the power of a fraction in t
            raise NoResponse(str(error)) from None
        _pure(work, b, exponent)
        work.named = named  # a name in a power brings the whole no unit: 20(1 - e^(-t/tau))
        return exponential(exponent), None
    exponent, b = work.of(node.exponent)
    _pure(work, b, exponent)
    work.named = named
    base, a = work.of(node.base)
    if type(exponent) is not fmpq or exponent.q != 1:
        if a is not None:
            a = _rooted(work, a, exponent)
        return raised(base, exponent), a
    if abs(exponent) > MAX_POWER:
        raise EvaluationError("A power in this answer is too large to be meant.")
    n = int(exponent.p)
    if type(base) is fmpq:
        if not base and n < 0:
            raise ZeroDivisionError("The answer divides by zero.")
        return bounded(base**n), None if a is None else a.raised(n)
    if type(base) is Waveform and len(base.terms) > 1 and abs(n) > MAX_POWER_OF_SUM:
        raise EvaluationError("So high a power of a sum is not worked out; write the result.")
    result: Value = ONE
    for _ in range(abs(n)):
        result = work.multiplied(result, base)
    return (result if n >= 0 else divided(ONE, result)), None if a is None else a.raised(n)


def _rooted(work: _Evaluation, dimension: Dimension, exponent: Value) -> Dimension | None:
    """Dimension of a power that is not whole: ``sqrt(L C)`` is a time, other roots of units are nothing."""
    if exponent == HALF and all(n % 2 == 0 for n in dimension):
        return Dimension(*(n // 2 for n in dimension))
    work.consistent = work.consistent and not any(dimension)
    return None


def _call(work: _Evaluation, node: nodes.Call) -> Worth:
    named = work.named
    value, dimension = work.of(node.argument)
    if node.function == "sqrt":
        return square_root(value), None if dimension is None else _rooted(work, dimension, HALF)
    if node.function == "abs":
        return size(value), dimension
    if node.function in {"re", "im"}:
        number = as_complex(value)
        return (number.re if node.function == "re" else number.im), dimension
    _pure(work, dimension, value)
    work.named = named
    return FUNCTIONS[node.function](value), None


def _measured(work: _Evaluation, node: nodes.WithUnit) -> Worth:
    value, _ = work.of(node.operand)
    size, unit = work.of(node.unit)
    if work.has_names:
        return in_unit(work, node.operand, (size, unit))[0], unit
    return multiplied(value, size), unit


def _rescaled(work: _Evaluation, node: nodes.TimeUnit) -> Worth:
    before = work.time_scale
    work.time_scale = ONE / node.unit.scale
    worth = work.of(node.operand)
    work.time_scale = before
    return worth


def _given(work: _Evaluation, node: nodes.Definition) -> Worth:
    values, defined = dict(work.names), dict(work.defined)
    for name, tree in node.values:
        value, defined[name] = work.of(tree)
        values[name] = as_waveform(value)
    before = work.names, work.defined, work.worths
    work.names, work.defined, work.worths = values, defined, {}
    worth = work.of(node.operand)
    work.names, work.defined, work.worths = before
    return worth


def _infinity(_work: _Evaluation, _node: nodes.Infinity) -> Worth:
    raise NotFinite("The answer says that there is no finite value.")


def _not_one_value(_work: _Evaluation, _node: Node) -> Worth:
    raise EvaluationError("This answer is not a single value.")


_RULES: dict[type, Callable[[_Evaluation, Any], Worth]] = {
    nodes.Constant: lambda _, node: (functions.EULER if node.name == "e" else functions.pi(), None),
    nodes.Time: lambda work, _: (wave.TIME if work.time_scale is None else wave.TIME.scaled(work.time_scale), None),
    nodes.Imaginary: lambda *_: (Complex(Waveform(), wave.constant(ONE)), None),
    nodes.Negative: _negative, nodes.Parallel: _parallel, nodes.UnitSymbol: _unit, nodes.Name: _name, nodes.Sum: _sum, nodes.Product: _product, nodes.Quotient: _quotient,
    nodes.Power: _power, nodes.Call: _call, nodes.Step: step, nodes.WithUnit: _measured, nodes.TimeUnit: _rescaled, nodes.Definition: _given, nodes.Pieces: pieces,
    nodes.Infinity: _infinity, nodes.PlusMinus: _not_one_value, nodes.Roots: _not_one_value, nodes.Choice: _not_one_value,
}  # fmt: skip

__all__ = ["EvaluationError", "NoResponse", "NotFinite", "Quantity", "UnknownName", "evaluate"]
