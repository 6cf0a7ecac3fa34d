"""A condition solved for the element that is asked: the quantity in the letters of the circuit, then the element alone."""

import math
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from msgspec.structs import replace

from grader.circuit.elements import Passive, Resistor, Source, Storage
from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined
from grader.problem import Goal, Item, Problem
from grader.quantities.catalogue import asked, question_of
from grader.quantities.design import level_of, with_element
from grader.quantities.finding import Find
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
    if solution is None and condition is not None and condition.item.find == Find.ZETA:
        condition = _of_damping_coefficient(question.problem, wanted, condition)
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


def _of_damping_coefficient(problem: Problem, wanted: str, condition: _Condition) -> _Condition | None:
    """``α = ζ ω0``, where ω0 does not depend on the element."""
    item = replace(condition.item, find=Find.OMEGA0)
    lettered = _in_letters(problem, wanted, item)
    if lettered is None:
        return None
    omega, squared, letters = lettered.quantity, lettered.quantity * lettered.quantity, lettered.letters
    if not isinstance(squared, Symbolic) or _stands_in(squared, letters[wanted]):
        return None
    sizes = {letters[one]: size for one, (size, _) in _sizes(problem).items()}
    size = math.sqrt(to_float(squared.substitute(sizes)))
    alpha, omega0, zeta = name("α"), name("ω0"), name(condition.letter)
    law, figures = (Formula(_with_names(number(omega).tree, names)) for names in _shown(problem, letters))
    rate = asked(Find.OMEGA0).dimension(problem, item)
    damping = replace(item, find=Find.ALPHA)
    dimension = asked(Find.ALPHA).dimension(problem, damping)
    if rate is None or dimension is None:
        return None
    of_omega0 = value_line(omega0, law, figures, value=constant(rational(repr(size))), dimension=rate)
    target = condition.target * size
    share = omega0 if condition.target == 1 else zeta * omega0
    of_alpha = value_line(alpha, share, value=constant(rational(repr(target))), dimension=dimension)
    lines = (replace(of_omega0, unit=asked(Find.OMEGA0).unit), of_alpha)
    return _Condition("α", target, dimension, damping, (*condition.before, *lines))


class _Lettered(NamedTuple):
    """A quantity in the letters of the circuit: a quotient of polynomials, or its square root; the letter of every element."""

    quantity: Any
    letters: dict[str, str]


def _in_letters(problem: Problem, wanted: str, item: Item) -> _Lettered | None:
    letters = {
        one: f"x{k}" for k, one in enumerate(dict.fromkeys([*_sizes(problem), wanted]))
    }  # names may hold any sign
    lettered = problem
    for one, letter in letters.items():
        lettered = with_element(lettered, one, Symbolic.symbol(letter, tuple(letters.values())))
    try:
        assert lettered.circuit is not None
        found = question_of(lettered, item, solve(lettered.circuit)).answer_to(item)
    except (CircuitError, NotDefined, ZeroDivisionError):
        return None
    return _Lettered(found.number, letters) if isinstance(found, Waveform) and found.is_constant else None


def _shown(problem: Problem, letters: Mapping[str, str]) -> tuple[dict[str, Formula], dict[str, Formula]]:
    """What stands for the letters: the elements' names, and their values."""
    sizes = _sizes(problem)
    named = {letter: name(one) for one, letter in letters.items()}
    return named, {letters[one]: amount(size, dimension) for one, (size, dimension) in sizes.items()}


def _stands_in(quantity: Symbolic, letter: str) -> bool:
    place = quantity.names.index(letter)
    return any(exponents[place] for side in (quantity.top, quantity.bottom) for exponents in side.to_dict())


def _solved(
    problem: Problem, wanted: str, condition: _Condition
) -> tuple[tuple[BoardLine, ...], tuple[Formula, Formula], float] | None:
    """The quantity in letters, the element from it in letters and with figures, and its value."""
    lettered = _in_letters(problem, wanted, condition.item)
    if lettered is None:
        return None
    (quantity, letters), target = lettered, Symbolic.symbol(_TARGET, (_TARGET,))
    if not isinstance(quantity, Symbolic):  # a square root
        quantity, target = quantity * quantity, target * target  # type: ignore[assignment]
    alone = _alone(quantity, letters[wanted], target)
    if alone is None:
        return None
    power, expression = alone
    values = {letters[one]: size for one, (size, _) in _sizes(problem).items()} | {
        _TARGET: rational(repr(condition.target))
    }
    total = to_float(expression.substitute(values))
    if total <= 0:
        return None
    named, shown = _shown(problem, letters)
    named[_TARGET], shown[_TARGET] = name(condition.letter), amount(condition.target, condition.dimension)
    law, figures = (Formula(_with_names(number(expression).tree, names)) for names in (named, shown))
    equation = BoardLine(sides=(name(condition.letter), Formula(_with_names(number(lettered.quantity).tree, named))))
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
        what = "ζ" if goal.item.find == Find.ZETA else goal.item.text
        label = f"{what} with {wanted} = {amount(answer, measure).text}"
        yield BoardLine(label=label, value=met, dimension=dimension, unit=asked(goal.item.find).unit)
