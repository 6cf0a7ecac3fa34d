"""What a tree is worth: an exact waveform in SI base units, and the dimension that was written.

A unit inside an expression is a factor with a dimension; t counts in seconds.  A plain number says nothing about
its unit, so a dimension is known only where one was written (or follows from names whose dimension is known).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, TypeAlias

import flint
from flint import fmpq

from grader.reading.limits import MAX_POWER, MAX_SIZE_BITS, MAX_TERMS
from grader.reading.tree import (
    Call,
    Choice,
    Constant,
    Either,
    Given,
    Imaginary,
    Infinity,
    Measured,
    Name,
    Negative,
    Node,
    Number,
    Pieces,
    Power,
    Product,
    Quotient,
    Rescaled,
    Roots,
    Step,
    Sum,
    Time,
    Unit,
)
from grader.values import waveform as wave
from grader.values.dimension import NUMBER, RATE, TIME, Dimension
from grader.values.scalar import HALF, ONE, ZERO, approximate, working_precision
from grader.values.waveform import Waveform


class EvaluationError(ValueError):
    """A tree that reads well but has no value here; its text is one sentence for the student."""


class UnknownName(EvaluationError):
    """A name whose value is not known."""


class NotFinite(EvaluationError):
    """The answer says infinity."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """The worth of an answer.

    Attributes
    ----------
    waveform : Waveform
        In SI base units (of the unit written, where one was), valid from the instant asked on.
    dimension : Dimension or None
        Of the unit written; None: no unit was written.
    consistent : bool
        False where terms of different dimensions are added, or a power or angle is no plain number.
    named : bool
        Names of elements or earlier items occur in it, so that no unit needs to be written.
    later : tuple of (fmpq, Waveform)
        What holds from later instants (seconds) on, where the answer has steps or ranges inside the interval.
    """

    waveform: Waveform
    dimension: Dimension | None
    consistent: bool = True
    named: bool = False
    later: tuple[tuple[fmpq, Waveform], ...] = ()


Value: TypeAlias = Any
"""A Scalar for plain numbers (fast), else a Waveform."""

Worth: TypeAlias = tuple[Value, Dimension | None]


@lru_cache(maxsize=1)
def _pi() -> Waveform:
    with working_precision():
        return wave.constant(approximate(flint.arb.pi()), exact=False)


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
    work = _Evaluation(names or {}, start)
    value, dimension = work.of(tree)
    waveform = value if type(value) is Waveform else wave.constant(value)
    if dimension is not None and dimension.second < 0:
        dimension = _with_seconds(value, dimension)
    later = work.later(tree) if work.instants else ()
    return Quantity(
        waveform=waveform,
        dimension=dimension,
        consistent=work.consistent,
        named=work.named,
        later=later,
    )


class _Evaluation:
    """One walk over a tree."""

    __slots__ = ("consistent", "instants", "named", "names", "start", "time_scale")

    def __init__(self, names: Mapping[str, Waveform], start: fmpq) -> None:
        self.names = names
        self.start = start
        self.consistent = True
        self.named = False
        self.instants: set[fmpq] = set()
        self.time_scale: fmpq | None = None

    def of(self, node: Node) -> Worth:
        return _RULES[type(node)](self, node)

    def later(self, tree: Node) -> tuple[tuple[fmpq, Waveform], ...]:
        """The answer from each later instant on."""
        pieces = []
        for instant in sorted(self.instants):
            if instant > self.start:
                value, _ = _Evaluation(self.names, instant).of(tree)
                pieces.append((instant, _waveform(value)))
        return tuple(pieces)


def _waveform(value: Value) -> Waveform:
    return value if type(value) is Waveform else wave.constant(value)


_TIMES: dict[tuple[Dimension, Dimension], Dimension] = {}
_OVER: dict[tuple[Dimension, Dimension], Dimension] = {}


def _times(a: Dimension | None, b: Dimension | None) -> Dimension | None:
    if a is None:
        return b
    if b is None:
        return a
    found = _TIMES.get((a, b))
    if found is None:
        found = _TIMES[a, b] = a.times(b) if len(_TIMES) < 10_000 else a.times(b)
    return found


def _over(a: Dimension | None, b: Dimension | None) -> Dimension | None:
    if b is None:
        return a
    key = (a or NUMBER, b)
    found = _OVER.get(key)
    if found is None:
        found = _OVER[key] = key[0].over(b)
    return found


def _number(work: _Evaluation, node: Number) -> Worth:
    return node.value, None


def _unit(work: _Evaluation, node: Unit) -> Worth:
    if node.degrees:
        return _pi().scaled(fmpq(1, 180)), node.dimension
    return node.scale, node.dimension


def _name(work: _Evaluation, node: Name) -> Worth:
    value = work.names.get(node.name)
    if value is None:
        raise UnknownName(f"The value of '{node.name}' is not known here; write its number, or a name of the circuit.")
    work.named = True
    if value.is_number:
        return value.number, node.dimension
    return value, node.dimension


def _constant(work: _Evaluation, node: Constant) -> Worth:
    return (wave.EULER if node.name == "e" else _pi()), None


def _time(work: _Evaluation, node: Time) -> Worth:
    if work.time_scale is not None:
        return wave.TIME.scaled(work.time_scale), None
    return wave.TIME, None


def _negative(work: _Evaluation, node: Negative) -> Worth:
    value, dimension = work.of(node.operand)
    return -value, dimension


def _sum(work: _Evaluation, node: Sum) -> Worth:
    total: Value = None
    dimension: Dimension | None = None
    for term in node.terms:
        value, own = work.of(term)
        if own is not None and own.second < 0:
            own = _with_seconds(value, own)
        if own is not None and own != dimension:
            if dimension is not None:
                work.consistent = False
            else:
                dimension = own
        if total is None:
            total = value
        elif type(total) is Waveform or type(value) is Waveform:
            total = _waveform(total) + _waveform(value)
        else:
            total = total + value
    return _bounded(total), dimension


def _with_seconds(value: Value, dimension: Dimension) -> Dimension:
    """``1200 V/s t`` is a voltage: t counts in seconds, where a unit per second was written."""
    if type(value) is not Waveform or not value.terms:
        return dimension
    seconds = min(min(term.power for term in value.terms), -dimension.second)
    return dimension._replace(second=dimension.second + seconds)


def _multiplied(left: Value, right: Value) -> Value:
    if type(left) is not Waveform:
        return right.scaled(left) if type(right) is Waveform else left * right
    return left * right if type(right) is Waveform else left.scaled(right)


def _product(work: _Evaluation, node: Product) -> Worth:
    left, a = work.of(node.left)
    right, b = work.of(node.right)
    return _bounded(_multiplied(left, right)), _times(a, b)


def _quotient(work: _Evaluation, node: Quotient) -> Worth:
    top, a = work.of(node.top)
    bottom, b = work.of(node.bottom)
    if type(bottom) is Waveform:
        value = _waveform(top) / bottom
    elif bottom == 0:
        raise ZeroDivisionError("The answer divides by zero.")
    else:
        value = top.scaled(ONE / bottom) if type(top) is Waveform else top / bottom
    return _bounded(value), _over(a, b)


def _bounded(value: Value) -> Value:
    if type(value) is fmpq:
        if value.q.bit_length() > MAX_SIZE_BITS or value.p.bit_length() > MAX_SIZE_BITS:
            raise EvaluationError("The numbers in this answer grow beyond all bounds; write its result.")
    elif type(value) is Waveform and len(value.terms) > MAX_TERMS:
        raise EvaluationError("This answer multiplies out to too many terms; write it in fewer.")
    return value


def _pure(work: _Evaluation, dimension: Dimension | None, value: Value) -> None:
    """A power or an angle must be a plain number; the t in it counts as seconds."""
    if dimension is None or dimension == NUMBER:
        return
    if dimension in {RATE, TIME} and type(value) is Waveform and not value.is_constant:
        return  # 500(t - 1 ms), t/(2 ms): t counts in seconds, and a plain number may stand for a rate
    work.consistent = False


def _power(work: _Evaluation, node: Power) -> Worth:
    base = node.base
    exponent, b = work.of(node.exponent)
    if type(base) is Constant and base.name == "e":
        _pure(work, b, exponent)
        return wave.exp(_waveform(exponent)), None
    value, a = work.of(base)
    whole = type(exponent) is fmpq and exponent.q == 1
    if whole and abs(exponent) > MAX_POWER:
        raise EvaluationError("A power in this answer is too large to be meant.")
    if type(value) is Waveform or not whole:
        result: Value = wave.power(_waveform(value), _waveform(exponent))
    else:
        n = int(exponent.p)
        if value == 0 and n < 0:
            raise ZeroDivisionError("The answer divides by zero.")
        result = value**n if type(value) is fmpq else wave.power(_waveform(value), _waveform(exponent))
    dimension = None if a is None else a.raised(int(exponent.p)) if whole else _half(a, exponent, work)
    return _bounded(result), dimension


def _half(dimension: Dimension, exponent: Value, work: _Evaluation) -> Dimension | None:
    if exponent == HALF and all(n % 2 == 0 for n in dimension):
        return Dimension(*(n // 2 for n in dimension))
    if any(dimension):
        work.consistent = False
    return None


def _call(work: _Evaluation, node: Call) -> Worth:
    value, dimension = work.of(node.argument)
    function = node.function
    if function == "sqrt":
        return wave.square_root(_waveform(value)), None if dimension is None else _half(dimension, HALF, work)
    if function == "abs":
        number = wave.number_of(_waveform(value))
        return abs(number), dimension
    _pure(work, dimension, value)
    return _FUNCTIONS[function](_waveform(value)), None


def _tan(w: Waveform) -> Waveform:
    return wave.sin(w) / wave.cos(w)


def _log10(w: Waveform) -> Waveform:
    return wave.log(w) / wave.log(wave.constant(fmpq(10)))


_FUNCTIONS: dict[str, Callable[[Waveform], Waveform]] = {
    "exp": wave.exp, "cos": wave.cos, "sin": wave.sin, "cosh": wave.cosh, "sinh": wave.sinh, "tan": _tan,
    "ln": wave.log, "log": _log10,
}  # fmt: skip


def _step(work: _Evaluation, node: Step) -> Worth:
    value, _ = work.of(node.argument)
    slope, offset = wave._linear(_waveform(value))  # noqa: SLF001
    if slope == 0:
        return (ONE if offset >= 0 else ZERO), None
    instant = -offset / slope
    work.instants.add(instant)
    happened = work.start >= instant if slope > 0 else work.start < instant
    return (ONE if happened else ZERO), None


def _measured(work: _Evaluation, node: Measured) -> Worth:
    value, _ = work.of(node.operand)
    size, unit = work.of(node.unit)
    return _bounded(_multiplied(value, size)), unit


def _rescaled(work: _Evaluation, node: Rescaled) -> Worth:
    before = work.time_scale
    work.time_scale = ONE / node.unit.scale
    worth = work.of(node.operand)
    work.time_scale = before
    return worth


def _given(work: _Evaluation, node: Given) -> Worth:
    values = dict(work.names)
    for name, tree in node.values:
        values[name] = _waveform(work.of(tree)[0])
    inner = _Evaluation(values, work.start)
    worth = inner.of(node.operand)
    work.consistent = work.consistent and inner.consistent
    work.instants |= inner.instants
    return worth


def _pieces(work: _Evaluation, node: Pieces) -> Worth:
    held: Worth = (ZERO, None)
    found = False
    for piece in node.pieces:
        begin = None if piece.start is None else wave.number_of(_waveform(work.of(piece.start)[0]))
        end = None if piece.end is None else wave.number_of(_waveform(work.of(piece.end)[0]))
        work.instants.update(instant for instant in (begin, end) if instant is not None)
        if not found and (begin is None or begin <= work.start) and (end is None or work.start < end):
            held = work.of(piece.operand)
            found = True
    return held


def _infinity(work: _Evaluation, node: Infinity) -> Worth:
    raise NotFinite("The answer says that there is no finite value.")


def _not_one_value(work: _Evaluation, node: Node) -> Worth:
    raise EvaluationError("This answer is not a single value.")


_RULES: dict[type, Callable[[_Evaluation, Any], Worth]] = {
    Number: _number, Unit: _unit, Name: _name, Constant: _constant, Time: _time, Negative: _negative, Sum: _sum,
    Product: _product, Quotient: _quotient, Power: _power, Call: _call, Step: _step, Measured: _measured,
    Rescaled: _rescaled, Given: _given, Pieces: _pieces, Infinity: _infinity, Imaginary: _not_one_value,
    Either: _not_one_value, Roots: _not_one_value, Choice: _not_one_value,
}  # fmt: skip

__all__ = ["TIME", "EvaluationError", "NotFinite", "Quantity", "UnknownName", "evaluate"]
