"""Elements whose value is asked: which values meet a condition, found and checked by putting them into the circuit.

The condition is another find of the catalogue with a target (`grader.problem.Goal`).  Whatever can be asked can be a
condition, and a value is right by what it does: of several right values each is.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache, partial
from itertools import pairwise
from typing import Any, NamedTuple

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elements import (
    Capacitor,
    CurrentSource,
    Drive,
    Element,
    Inductor,
    Passive,
    Resistor,
    Source,
    VoltageSource,
)
from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined
from grader.problem import Goal, Item, Problem
from grader.quantities.preferred import preferred
from grader.quantities.question import Question
from grader.quantities.rules import Answer, Rule
from grader.values.comparison import close
from grader.values.scalar import ONE, Scalar, is_symbolic, rational, sqrt, to_float
from grader.values.waveform import Waveform, constant, number_of

UNKNOWN = "unknown"
"""What a rubric writes for the value of an element that is to be designed."""

FIND = "element value"

USUAL: dict[type, tuple[float, float]] = {
    Resistor: (0.01, 1e10),
    Inductor: (1e-12, 1e4),
    Capacitor: (1e-18, 1e4),
    VoltageSource: (1e-6, 1e6),
    CurrentSource: (1e-9, 1e6),
}
"""Sizes between which an exercise's values lie, in SI base units (common practice, no source)."""

PER_DECADE = 5
"""Values tried in a decade; two right ones nearer to each other than that are one to whoever builds it."""

EXACT = 1e-12
"""Relative error below which a condition is met exactly."""

CONVERGED, MOST_STEPS = 1e-15, 200

SAME_PREFERRED = 1e-3
"""Within this share a value is the preferred one; neighbours of E24 are ten per cent apart."""


class Span(NamedTuple):
    """Values that meet a condition, in SI base units: from `low` to `high`, both included; of an equation one alone."""

    low: Scalar
    high: Scalar


class Requirement(Struct, frozen=True):
    """What a designed value must do: `goal` in a problem, for the element of that name; frozen and picklable.

    ``series`` is the preferred series the value must come from (IEC 60063), 0 for any value.
    """

    problem: Problem
    name: str
    goal: Goal
    series: int = 0

    def gap(self, value: Scalar) -> float | None:
        """How far the quantity lies above its target with a value put in; None where it has none."""
        from grader.quantities.catalogue import question_of  # here: the catalogue imports the file that asks for this

        problem = with_element(self.problem, self.name, value)
        assert problem.circuit is not None
        try:
            found = question_of(problem, self.goal.item, solve(problem.circuit)).answer_to(self.goal.item)
        except (CircuitError, NotDefined, ZeroDivisionError):
            return None
        if not isinstance(found, Waveform) or found.is_symbolic or not found.is_constant:
            return None
        return to_float(number_of(found - constant(self.goal.target)))

    def meets(self, gap: float | None, tolerance: float) -> bool:
        """Whether that is near enough, or on the right side."""
        if gap is None:
            return False
        target = to_float(self.goal.target)
        if self.goal.relation == "is":
            return close(target + gap, target, tolerance, 1.0)
        return (gap if self.goal.relation == "at_most" else -gap) <= tolerance * abs(target)

    def holds(self, value: float, tolerance: float) -> bool:
        """Whether a value is right: positive but for a source's, of the series, and the condition met within the tolerance."""
        if not math.isfinite(value) or (value <= 0 and not self._signed):
            return False
        if self.series:
            return any(close(value, to_float(one), SAME_PREFERRED) for one in fitting(self, tolerance))
        return self.meets(self.gap(rational(repr(value))), tolerance)

    @property
    def _signed(self) -> bool:
        return isinstance(self.element, Source)

    @property
    def element(self) -> Element:
        """The element to be designed."""
        assert self.problem.circuit is not None
        return self.problem.circuit.element(self.name)

    def tried(self) -> Iterator[float]:
        """Values over the usual sizes, from the smallest on; of three digits, with which exact arithmetic is quick."""
        least, most = USUAL[type(self.element)]
        steps = round(math.log10(most / least) * PER_DECADE)
        sizes = [float(f"{least * 10 ** (k / PER_DECADE):.2e}") for k in range(steps + 1)]
        yield from (-size for size in reversed(sizes) if self._signed)
        yield from sizes


def requirement(problem: Problem, item: Item) -> Requirement:
    """What an item of this find asks of its element; the same whatever value the circuit has for it."""
    assert item.goal is not None
    bare = replace(with_element(problem, item.of[0], ONE), items=(), title="", text="")
    return Requirement(bare, item.of[0], item.goal, int(dict(item.settings).get("series", "E0")[1:]))


@lru_cache(maxsize=256)
def meeting(required: Requirement) -> tuple[Span, ...]:
    """All values that meet a condition exactly, in order."""
    tried = [(value, required.gap(rational(repr(value)))) for value in required.tried()]
    if required.goal.relation == "is":
        roots = (_root(required, a, b) for a, b in pairwise(tried) if _changes_sign(a[1], b[1]))
        return tuple(Span(root, root) for root in roots if root is not None)
    found: list[Span] = []
    met = [required.meets(gap, EXACT) for _, gap in tried]
    for k, (value, _) in enumerate(tried):
        if not met[k]:
            continue
        low = rational(repr(value)) if k == 0 or met[k - 1] else _edge(required, tried[k - 1], tried[k])
        high = rational(repr(value)) if k + 1 == len(tried) or met[k + 1] else _edge(required, tried[k], tried[k + 1])
        found[-1:] = [Span(found[-1].low, high)] if k and met[k - 1] else [*found[-1:], Span(low, high)]
    return tuple(found)


@lru_cache(maxsize=256)
def fitting(required: Requirement, tolerance: float) -> tuple[fmpq, ...]:
    """The preferred values that meet a condition within a tolerance, best first; where none does, the one that comes nearest."""
    least, most = (rational(repr(end)) for end in USUAL[type(required.element)])
    gaps = [(one, gap) for one in preferred(least, most, required.series) if (gap := required.gap(one)) is not None]
    ranked = sorted(gaps, key=lambda pair: (not required.meets(pair[1], tolerance), abs(pair[1])))
    return tuple(one for one, gap in ranked if required.meets(gap, tolerance)) or tuple(one for one, _ in ranked[:1])


def chosen(required: Requirement, tolerance: float) -> Scalar | None:
    """The value that stands for all that are right: a preferred one, the first, or the edge of a range; None: there is none."""
    if required.series:
        return next(iter(fitting(required, tolerance)), None)
    least, *_ = required.tried()
    for low, high in meeting(required):
        return high if to_float(low) <= least * (1 + EXACT) else low
    return None


def _changes_sign(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and (one == 0 or one * other < 0)


def _edge(required: Requirement, one: tuple[float, float | None], other: tuple[float, float | None]) -> Scalar:
    """Where a condition begins or ceases to be met, between two values."""
    if _changes_sign(one[1], other[1]):
        root = _root(required, one, other)
        if root is not None:
            return root
    met = required.meets(one[1], EXACT)
    inside, outside = (one[0], other[0]) if met else (other[0], one[0])
    for _ in range(MOST_STEPS):
        middle = (inside + outside) / 2
        if abs(inside - outside) <= CONVERGED * abs(inside):
            break
        if required.meets(required.gap(rational(repr(middle))), EXACT):
            inside = middle
        else:
            outside = middle
    return rational(repr(inside))


def _root(required: Requirement, one: tuple[float, float | None], other: tuple[float, float | None]) -> Scalar | None:
    """The value between two at which the target is met; None where the quantity jumps past it.

    By false position with the weight of an end that stays halved (the Illinois rule; from memory).
    """
    (a, at_a), (b, at_b) = one, other
    assert at_a is not None
    assert at_b is not None
    jump = max(abs(at_a), abs(at_b))
    value, gap = (a, at_a) if at_a == 0 else (b, at_b)
    for _ in range(MOST_STEPS):
        if gap == 0 or abs(b - a) <= CONVERGED * abs(b):
            break
        value = b - at_b * (b - a) / (at_b - at_a)
        found = required.gap(rational(repr(value)))
        if found is None:
            return None
        gap = found
        if gap * at_b < 0:
            a, at_a = b, at_b
        else:
            at_a /= 2
        b, at_b = value, gap
    if abs(gap) > 1e-6 * jump:
        return None
    return _plain(value, lambda exact: abs(required.gap(exact) or 0.0) <= EXACT * jump)


def _plain(value: float, met: Callable[[Scalar], bool]) -> Scalar:
    """The short decimal, or the root of one, that a value found numerically stands for; else all its digits."""
    for make, size in ((lambda x: x, value), (sqrt, value * value)):
        for digits in range(1, 10):
            short = rational(f"{size:.{digits - 1}e}")
            if math.isclose(to_float(short), size, rel_tol=1e-11) and short > 0 and met(exact := make(short)):
                return exact
    return rational(repr(value))


# -- in the problem --------------------------------------------------------------------------------


def with_designs(problem: Problem) -> Problem:
    """A problem with the first right value of every element that is asked for, in the items' order."""
    for item in problem.items:
        if item.goal is not None and problem.circuit is not None:
            value = chosen(requirement(problem, item), item.marking.tolerance)
            problem = problem if value is None else with_element(problem, item.of[0], value)
    return problem


def from_own_designs(question: Question) -> Iterator[Rule]:
    """Any answer from the student's own value of an element asked earlier: the circuit solved with it."""
    for item in question.earlier(FIND):
        name = item.of[0]
        step = partial(_with_own, problem=question.problem, item=question.item, name=name)
        yield Rule(
            formula=name, uses=((name, item.id),), says=f"This follows from the value that you gave {name}.", step=step
        )


def _with_own(named: Mapping[str, Answer], *, problem: Problem, item: Item, name: str) -> Answer:
    """The answer to an item with another value of an element; elements asked later are designed anew."""
    from grader.quantities.catalogue import question_of  # here: the catalogue imports the file that asks for this

    own = named[name]
    if not isinstance(own, Waveform) or own.is_symbolic or not own.is_constant or own.value() <= 0:
        raise NotDefined("no circuit has an element of that value")
    place = next(k for k, one in enumerate(problem.items) if one.goal is not None and one.of == (name,))
    later = problem.items[place + 1 :]
    changed = with_designs(replace(with_element(problem, name, number_of(own)), items=later))
    changed = replace(changed, items=problem.items)
    assert changed.circuit is not None
    answer: Answer = question_of(changed, item, solve(changed.circuit)).answer_to(item)
    return answer


def with_element(problem: Problem, name: str, value: Scalar) -> Problem:
    """A problem with another value of one element; what the rubric wrote for it stays."""
    assert problem.circuit is not None
    changed = problem.circuit.altered(lambda one: with_value(one, value) if one.name == name else one)
    return replace(problem, circuit=changed)


def with_value(element: Element, value: Scalar) -> Element:
    """An element with another value; a source keeps the shape of its drive, its largest plain level has the value."""
    if isinstance(element, Source):
        level = level_of(element.drive)
        assert level is not None, "a source without a plain level has no value to change"
        pieces = tuple((start, waveform.scaled(value / level)) for start, waveform in element.drive.pieces)
        return replace(element, drive=Drive(pieces=pieces))
    assert isinstance(element, Passive)
    return replace(element, value=value)


def level_of(drive: Drive) -> Any:
    """The largest plain level of a source (in size, with its sign); None if it is zero or varies with t."""
    levels: list[Any] = [waveform.number if waveform.is_number else None for _, waveform in drive.pieces]
    if any(level is None or is_symbolic(level) for level in levels):
        return None
    largest = max(levels, key=lambda level: abs(to_float(level)))
    return largest if largest != 0 else None
