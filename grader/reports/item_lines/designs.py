"""A condition solved for the element that is asked: the quantity in the letters of the circuit, then the element alone."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, NamedTuple

from grader.circuit.elements import Passive, Resistor, Source, Storage
from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined
from grader.problem import Goal, Item, Problem
from grader.quantities.catalogue import asked, question_of
from grader.quantities.design import level_of, with_element
from grader.quantities.question import Question
from grader.reading.tree import Name, Node
from grader.reports.item_lines.derivation import Derivation
from grader.reports.item_lines.extremes import PI
from grader.reports.item_lines.times import logarithm
from grader.solution import BoardLine
from grader.solution.formula import Formula, amount, function, name, number, whole
from grader.solution.words import value_line
from grader.values.dimension import NUMBER, TIME, Dimension
from grader.values.scalar import ZERO, Scalar, is_symbolic, rational, to_float
from grader.values.symbolic import Symbolic
from grader.values.waveform import Waveform, constant

_LETTERS = {
    "time constant": "τ", "damping coefficient": "α", "undamped natural frequency": "ω0", "damped natural frequency": "ωd",
    "damping ratio": "ζ", "quality factor": "Q", "resistance seen": "R_th",
}  # fmt: skip


_TARGET = "target"


class _Condition(NamedTuple):
    """A quantity that must have a value: its letter, the value (SI), and how it is asked."""

    letter: str
    target: float
    dimension: Dimension
    item: Item
    before: tuple[BoardLine, ...] = ()


def element_value(question: Question) -> Derivation | None:
    """The value from the condition in letters; where that is no formula of the element, the value put in."""
    goal, wanted = question.item.goal, question.item.of[0]
    assert goal is not None
    answer = question.answer_to(question.item)
    condition = _condition(question, goal)
    solution = None if condition is None else _solved(question.problem, wanted, condition)
    check = tuple(_put_in(question, goal, answer))
    if solution is None or condition is None:
        return Derivation((name(wanted),), answer, check)
    equation, sides, value = solution
    lines = (*condition.before, *equation)
    if math.isclose(value, answer.value(), rel_tol=1e-6):
        return Derivation((name(wanted), *sides), answer, lines)
    # Of a preferred series the nearest value that does is taken.
    _, dimension = _sizes(question.problem)[wanted]
    edge = value_line(name(wanted), *sides, value=constant(rational(repr(value))), dimension=dimension)
    return Derivation((name(wanted),), answer, (*lines, edge, *check))


def _condition(question: Question, goal: Goal) -> _Condition | None:
    """The condition itself, or the simpler one that it comes to: a time constant, or a damping ratio."""
    put, target = question_of(question.problem, goal.item, question.solved), to_float(goal.target)
    if goal.item.find in ("time to reach", "settling time", "rise time", "half life"):
        return _of_time_constant(put, target)
    if goal.item.find == "percent overshoot":
        return _of_damping_ratio(goal.item, target)
    dimension = asked(goal.item.find).dimension(question.problem, goal.item)
    letter = _LETTERS.get(goal.item.find)
    if goal.item.signal is not None and goal.item.find in ("initial value", "final value"):
        letter = f"{goal.item.signal.symbol}({'0+' if goal.item.find == 'initial value' else '∞'})"
    if letter is None or dimension is None:
        return None
    return _Condition(letter, target, dimension, goal.item)


def _of_time_constant(put: Question, target: float) -> _Condition | None:
    """So many time constants in a given time; None where how many depends on the element itself."""
    found, passed = logarithm(put), target
    if put.item.find == "time to reach":
        passed -= to_float(put.start)
    other = put.answer_to(put.item)
    if found is None or not isinstance(other, Waveform):
        return None
    tau = passed / found.value.value()
    law = amount(passed, TIME) / found.letters
    line = value_line(
        name("τ"), law, amount(passed, TIME) / found.figures, value=constant(rational(repr(tau))), dimension=TIME
    )
    return _Condition("τ", tau, TIME, replace(put.item, find="time constant"), (line,))


def _of_damping_ratio(item: Item, share: float) -> _Condition:
    """``ζ = ln(1/p)/√(π² + (ln p)²)``, from ``p = e^(−πζ/√(1 − ζ²))``."""
    size = math.log(1 / share)
    zeta = size / math.hypot(math.pi, size)
    shown = function("ln", whole(1) / number(share))
    law = shown / function("sqrt", PI**2 + shown**2)
    line = value_line(name("ζ"), law, value=constant(rational(repr(zeta))), dimension=NUMBER)
    return _Condition("ζ", zeta, NUMBER, replace(item, find="damping ratio"), (line,))


def _solved(
    problem: Problem, wanted: str, condition: _Condition
) -> tuple[tuple[BoardLine, ...], tuple[Formula, Formula], float] | None:
    """The quantity in letters, the element from it in letters and with figures, and its value."""
    sizes = _sizes(problem)
    letters = {one: f"x{k}" for k, one in enumerate(dict.fromkeys([*sizes, wanted]))}  # names may hold any sign
    lettered = problem
    for one, letter in letters.items():
        lettered = with_element(lettered, one, Symbolic.symbol(letter, tuple(letters.values())))
    try:
        assert lettered.circuit is not None
        found = question_of(lettered, condition.item, solve(lettered.circuit)).answer_to(condition.item)
    except (CircuitError, NotDefined, ZeroDivisionError):
        return None
    if not isinstance(found, Waveform) or not found.is_constant:
        return None
    quantity, target = found.number, Symbolic.symbol(_TARGET, (_TARGET,))
    if not isinstance(quantity, Symbolic):  # a square root
        quantity, target = quantity * quantity, target * target  # type: ignore[assignment]
    alone = _alone(quantity, letters[wanted], target)
    if alone is None:
        return None
    power, expression = alone
    values = {letters[one]: size for one, (size, _) in sizes.items()} | {_TARGET: rational(repr(condition.target))}
    total = to_float(expression.substitute(values))
    if total <= 0:
        return None
    named = {letter: name(one) for one, letter in letters.items()} | {_TARGET: name(condition.letter)}
    shown = {letters[one]: amount(size, dimension) for one, (size, dimension) in sizes.items()}
    shown[_TARGET] = amount(condition.target, condition.dimension)
    law, figures = (Formula(_with_names(number(expression).tree, names)) for names in (named, shown))
    equation = BoardLine(sides=(name(condition.letter), Formula(_with_names(number(found.number).tree, named))))
    if power == 2:
        return (equation,), (function("sqrt", law), function("sqrt", figures)), math.sqrt(total)
    return (equation,), (law, figures), total


def _sizes(problem: Problem) -> dict[str, tuple[Scalar, Dimension]]:
    """Values of the elements that get a letter, resistors first."""
    assert problem.circuit is not None
    found: dict[str, tuple[Scalar, Dimension]] = {}
    ranked = sorted(problem.circuit.elements, key=lambda e: (isinstance(e, Storage), not isinstance(e, Resistor)))
    for element in ranked:
        level = element.value if isinstance(element, Passive) else None
        if isinstance(element, Source):
            level = level_of(element.drive)
        if level is not None and not is_symbolic(level):
            found[element.name] = (level, element.dimension)  # type: ignore[attr-defined]
    return found


def _alone(quantity: Scalar, wanted: str, target: Scalar) -> tuple[int, Symbolic] | None:
    """A quotient of polynomials set equal to a target, solved for the one power of an element that stands in it."""
    if not isinstance(quantity, Symbolic):
        return None
    place = quantity.names.index(wanted)
    sides = [dict(side.to_dict()) for side in (quantity.top, quantity.bottom)]
    powers = {int(exponents[place]) for side in sides for exponents in side} - {0}
    if len(powers) != 1 or (power := powers.pop()) > 2:
        return None

    def coefficient(side: dict[Any, Any], exponent: int) -> Scalar:
        terms = {
            tuple(0 if k == place else e for k, e in enumerate(exponents)): factor
            for exponents, factor in side.items()
            if exponents[place] == exponent
        }
        return Symbolic.from_terms(quantity.names, terms, {(0,) * len(quantity.names): 1}) if terms else ZERO

    (top, top_rest), (bottom, bottom_rest) = ((coefficient(side, power), coefficient(side, 0)) for side in sides)
    over = top - target * bottom
    found = (target * bottom_rest - top_rest) / over if over != 0 else ZERO
    return (power, found) if isinstance(found, Symbolic) else None


def _with_names(node: Node, names: Mapping[str, Formula]) -> Node:
    """A tree with other formulas for its names."""
    if isinstance(node, Name):
        return names[node.name].tree if node.name in names else node
    if isinstance(node, tuple):
        children = [_with_names(child, names) for child in node]
        return type(node)(*children) if hasattr(node, "_fields") else tuple(children)
    return node


def _put_in(question: Question, goal: Goal, answer: Waveform) -> Iterator[BoardLine]:
    """What the value leads to."""
    put, wanted = question_of(question.problem, goal.item, question.solved), question.item.of[0]
    met, dimension = put.answer_to(goal.item), asked(goal.item.find).dimension(question.problem, goal.item)
    if dimension is not None and isinstance(met, Waveform):
        _, measure = _sizes(question.problem)[wanted]
        label = f"{goal.item.text} with {wanted} = {amount(answer, measure).text}"
        yield BoardLine(label=label, value=met, dimension=dimension, unit=asked(goal.item.find).unit)
