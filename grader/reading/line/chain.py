"""A chain of equal signs: which of its sides counts, and whether they contradict one another."""

from math import log10
from typing import Any

from grader.reading.ambiguities import Ambiguities
from grader.reading.line.fit import OF_ANOTHER_KIND, fit, in_hertz
from grader.reading.tokens import Question
from grader.reading.tree import (
    Call,
    Name,
    Negative,
    Node,
    Number,
    Parallel,
    Product,
    Quotient,
    Sum,
    Time,
    WithUnit,
    walk,
)
from grader.reading.tree.spread import unit_apart
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import NUMBER

NEAR = 0.01
"""How near a result and its derivation must be, rounding aside, to be one answer."""


def side_meant(chain: tuple[Any, ...], question: Question, forks: Ambiguities) -> Node:
    """The side of a chain of equal signs that counts: the last one of the kind asked.

    In ``15 V = 20*6/8`` that is the working of what stands before it, and in ``i(t) = 2 - 3e^-5t A = -1 A at t = 0``
    the value at an instant.  A side that contradicts the one that counts is told.
    """
    sides = [side for side in chain if not _is_a_label(side)]
    if len(sides) < 2:
        return sides[0] if sides else chain[-1]  # R*I0 = V: a name on the right is a label, too
    if question.expects == "roots":
        return sides[-1]
    fits = [fit(side, question) for side in sides]
    best = max(fits)
    last = len(sides) - 1
    number = last if fits[last] == best or best == OF_ANOTHER_KIND else last - fits[::-1].index(best)
    if question.expects != "value":
        return sides[number]
    if in_another_unit(sides[number], sides[last], fits[last]):
        return sides[last]
    if any(_is_contradicted(place, sides, number) for place in range(len(sides))):
        forks.remark("The sides of the equal signs do not have the same value.", CONTRADICTION)
    elif any(comes_to(side, sides[number]) for side in sides[:number]):
        forks.remark("", WORKED_OUT)
    return sides[number]


def _is_a_label(side: Any) -> bool:
    """Whether a side names a quantity: ``R*I0 = V``, ``K1 = 3 = -K2``."""
    return type(side.operand if type(side) is Negative else side) in {str, Name, Time}


def _is_contradicted(place: int, sides: list[Any], number: int) -> bool:
    """Whether a side differs from the one that counts, and from what every later one begins with."""
    side = sides[place]
    return _contradicts(side, sides[number]) and all(_contradicts(side, _begins(later)) for later in sides[place + 1 :])


def in_another_unit(worked: Any, last: Any, fits: float) -> bool:
    """``-50 mA/2.5 uF = -20000 V``, ``12 V * 2 A = 24 V``: whether a chain comes to the value of its working in a unit of another kind."""
    divided = worked.operand if type(worked) is Negative else worked
    worked_out = type(divided) is Quotient or (type(divided) is Product and type(unit_apart(divided)[0]) is Product)
    if fits != OF_ANOTHER_KIND or not worked_out or in_hertz(last) or _number(last) is None:
        return False
    one, other = _number(worked), _number(last)
    return one is not None and other is not None and abs(one - other) <= NEAR * abs(one)


def in_time(tree: Node) -> bool:
    """Whether a tree varies in time."""
    return any(isinstance(node, Time) for node in walk(tree))


CONTRADICTION = "sides-differ"
"""The slip of a chain whose sides have different values."""


WORKED_OUT = "worked-out"
"""No slip, but a trait of the reading: what a chain comes to is the value of its working, powers of ten and all."""


def comes_to(working: Node, value: Node) -> bool:
    """Whether a value is what its working gives."""
    one, other = _number(working), _number(value)
    worked = type(working) in {Sum, Product, Quotient, Parallel}
    return worked and one is not None and other is not None and abs(one - other) <= NEAR * abs(one)


def _number(tree: Node) -> float | None:
    """The value of a constant without names; None for anything else."""
    try:
        return evaluate(tree).waveform.value()
    except (ValueError, TypeError, ZeroDivisionError):
        return None


def _contradicts(one: Node, other: Node) -> bool:
    """Whether two sides differ beyond rounding; a power of ten, left out with a prefix, and the sign are no matter here."""
    if in_time(one) or in_hertz(one) or any(isinstance(node, Parallel) or _is_log(node) for node in walk(one)):
        return False  # 6k||3k * 0.5u and log 2 can be meant in two ways
    if isinstance(unit_apart(one)[0], Number) and _differ_in_kind(one, other):
        return False  # after 20 ms it is 3 A
    first, second = _number(one), _number(other)
    if first is None or second is None or first == second:
        return False
    bare, other_bare = (_number(unit_apart(side)[0]) for side in (one, other))
    if bare is not None and other_bare is not None and abs(bare - other_bare) <= NEAR * abs(bare):
        return False  # 60 + 17.4 ms = 77.4 ms
    if first == 0 or second == 0:
        return True
    decades = log10(abs(first / second))
    return abs(decades - round(decades)) > FAR


def _differ_in_kind(one: Node, other: Node) -> bool:
    """Whether two sides have units of different kinds."""
    try:
        kinds = {evaluate(one).dimension, evaluate(other).dimension} - {None, NUMBER}
    except (ValueError, TypeError, ZeroDivisionError):
        return False
    return len(kinds) > 1


def _is_log(node: Node) -> bool:
    return isinstance(node, Call) and node.function == "log"


FAR = log10(1.06)
"""How far sides of a chain may be from each other, in decades: what one of them rounded to two figures explains."""


def _begins(side: Any) -> Node:
    """What a side begins with: ``18/15 = 1.2 + 2.4 = 3.6`` goes on from what it came to."""
    while type(side) in {Sum, Product, Quotient, WithUnit}:
        side = side.terms[0] if type(side) is Sum else side[0]
    return side
