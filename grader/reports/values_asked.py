"""The lines of the worked solution that belong to single items: a time to reach, a value at, an energy, a first slope.

A formula stands there only where it gives the reference answer; elsewhere the answer stands alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from functools import partial
from typing import NamedTuple

from flint import fmpq

from grader.circuit.elements import Capacitor, Inductor, Signal, Storage
from grader.circuit.response import Solved
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.catalogue import asked, question_of
from grader.quantities.finds.energies import stored, whole_of
from grader.quantities.finds.repeating import phases
from grader.quantities.stretches import energy_taken
from grader.rubric.references import Reference
from grader.solution import BoardLine, SolutionStep
from grader.solution.formula import HALF, Formula, added, amount, exponential, function, name, number, whole
from grader.solution.second import ALPHA, OMEGA0, OMEGA_D
from grader.solution.words import DIMENSIONS, at_instant, instant_text, symbol
from grader.values.dimension import CAPACITANCE, CURRENT, ENERGY, INDUCTANCE, RATE, TIME, VOLTAGE
from grader.values.scalar import ZERO, is_symbolic, to_float
from grader.values.text import value_text
from grader.values.waveform import Waveform


class _Found(NamedTuple):
    """What the line is about, the formula, the same with its figures, and the value that it gives (SI)."""

    sides: tuple[Formula, ...]
    value: float


def values_step(problem: Problem, solved: Solved, found: Iterable[Reference]) -> SolutionStep | None:
    """A step with a line for every item of these kinds; None where there is none.

    Parameters
    ----------
    problem : Problem
        Its items.
    solved : Solved
        The response of its circuit.
    found : iterable of Reference
        The reference answers, of this problem or of more.
    """
    answers = {reference.item: reference for reference in found if reference.problem == problem.id}
    lines = [
        line
        for item in problem.items
        if item.id in answers and (line := _line(problem, solved, item, answers[item.id]))
    ]
    return SolutionStep(heading=("The values asked",), lines=tuple(lines)) if lines else None


def _line(problem: Problem, solved: Solved, item: Item, reference: Reference) -> BoardLine | None:
    answer = reference.answer
    if (item.find not in _FORMULAS and item.goal is None) or not isinstance(answer, Waveform) or answer.is_symbolic:
        return None
    if item.goal is not None:
        return _put_in(problem, solved, item)
    try:
        formula = _FORMULAS[item.find](problem, solved, item)
        if formula is None and item.find == "time to reach":
            return _checked(solved, item, answer)
    except NotDefined:
        return None
    if formula is None or not math.isclose(formula.value, answer.value(), rel_tol=1e-6, abs_tol=1e-15):
        return None
    assert reference.dimension is not None
    return BoardLine(label=item.id, sides=formula.sides, value=answer, dimension=reference.dimension)


class _Decay(NamedTuple):
    """A signal of one interval that goes from one value to another in a single exponential; SI units."""

    start: float
    first: float
    final: float
    tau: float
    at: str
    """The opening instant, as it stands in brackets."""


def _decay(solved: Solved, signal: Signal, index: int) -> _Decay | None:
    """None where the response is of another form."""
    whole = solved.waveform(signal, index)
    opened = solved.intervals[index].start
    if whole.is_symbolic or opened is None:
        return None
    turning = [mode for mode in whole.modes() if mode.rate or mode.frequency or mode.power]
    if len(turning) != 1 or turning[0].frequency or turning[0].power or turning[0].rate >= 0:
        return None
    first, final = solved.just_after(signal, index).value(), solved.final(signal, index).value()
    return _Decay(to_float(opened), first, final, -1 / turning[0].rate, instant_text(opened, "+"))


def _index_after(solved: Solved, item: Item) -> int:
    """The interval that an item means by its switching."""
    starts = [interval.start for interval in solved.intervals]
    return starts.index(item.after) if item.after is not None and item.after in starts else 1


def _index_at(solved: Solved, at: fmpq) -> int:
    return max(i for i, interval in enumerate(solved.intervals) if interval.start is None or interval.start <= at)


def _time_to_reach(_: Problem, solved: Solved, item: Item) -> _Found | None:
    assert item.signal is not None
    decay = _decay(solved, item.signal, _index_after(solved, item))
    if decay is None or decay.first == decay.final:
        return None
    level = _level(item, decay.first, decay.final)
    ratio = (decay.first - decay.final) / (level - decay.final) if level != decay.final else 0.0
    if ratio <= 0:
        return None
    stem = symbol(item.signal)
    target, first, final = (amount(x, DIMENSIONS[item.signal.kind]) for x in (level, decay.first, decay.final))
    named = _logarithm(decay, name("τ"), name(f"{stem}({decay.at})"), target, name(f"{stem}(∞)"))
    figures = _logarithm(decay, amount(decay.tau, TIME), first, target, final)
    return _Found((name("t"), named, figures), decay.start + decay.tau * math.log(ratio))


def _level(item: Item, first: float, final: float) -> float:
    """What is to be reached, as a value."""
    if item.level is not None:
        return to_float(item.level)
    assert item.level_share is not None
    return first + (final - first) * to_float(item.level_share)


def _checked(solved: Solved, item: Item, answer: Waveform) -> BoardLine | None:
    """An instant found numerically, put into the expression: it gives the level."""
    assert item.signal is not None
    index, time = _index_after(solved, item), answer.number
    whole, opened = solved.waveform(item.signal, index), solved.intervals[index].start
    if opened is None or not isinstance(time, fmpq) or whole.is_symbolic:
        return None
    first, final = solved.just_after(item.signal, index).value(), solved.final(item.signal, index).value()
    dimension = DIMENSIONS[item.signal.kind]
    level = amount(_level(item, first, final), dimension)
    left = name(f"{symbol(item.signal)}({value_text(to_float(time), TIME)})")
    return BoardLine(label=f"{item.id}, by trial", sides=(left, at_instant(whole, dimension, opened, time), level))


def _logarithm(decay: _Decay, tau: Formula, first: Formula, target: Formula, final: Formula) -> Formula:
    """``τ·ln((x(0+) − x(∞))/(x − x(∞)))``, counted from the switching."""
    passed = tau * function("ln", (first - final) / (target - final))
    return amount(decay.start, TIME) + passed if decay.start else passed


def _value_at(_: Problem, solved: Solved, item: Item) -> _Found | None:
    assert item.signal is not None
    assert item.at is not None
    index = _index_at(solved, item.at)
    whole, opened = solved.waveform(item.signal, index), solved.intervals[index].start
    if opened is None or whole.is_constant:
        return None
    shown = at_instant(whole, DIMENSIONS[item.signal.kind], opened, item.at)
    return _Found((name(f"{symbol(item.signal)}({instant_text(item.at)})"), shown), whole.at(item.at).value())


def _stored_energy(problem: Problem, solved: Solved, item: Item) -> _Found | None:
    assert problem.circuit is not None
    at = item.at
    letters, numbers, total = [], [], 0.0
    for part in item.of:
        element = problem.circuit.element(part)
        if not isinstance(element, Storage) or is_symbolic(element.value):
            return None
        plates = isinstance(element, Capacitor)
        own = Signal(kind="voltage" if plates else "current", of=part)
        state = (
            solved.final(own, _index_after(solved, item))
            if at is None
            else solved.waveform(own, _index_at(solved, at)).at(at)
        ).value()
        letters.append(HALF * name(part) * name(symbol(own)) ** 2)
        size = amount(element.value, CAPACITANCE if plates else INDUCTANCE)
        numbers.append(HALF * size * amount(state, VOLTAGE if plates else CURRENT) ** 2)
        total += to_float(element.value) * state**2 / 2
    when = "∞" if at is None else instant_text(at)
    left = name(f"w_{item.of[0]}({when})" if len(item.of) == 1 else f"w({when})")
    return _Found((left, added(letters), added(numbers)), total)


def _initial_slope(problem: Problem, solved: Solved, item: Item) -> _Found | None:
    assert problem.circuit is not None
    assert item.signal is not None
    index, stem = _index_after(solved, item), symbol(item.signal)
    opened = solved.intervals[index].start
    assert opened is not None
    at = instant_text(opened, "+")
    left = name(f"d{stem}/dt({at})")
    element = problem.circuit.element(item.signal.of) if isinstance(item.signal.of, str) else None
    plates = isinstance(element, Capacitor) and item.signal.kind == "voltage"
    if plates or (isinstance(element, Inductor) and item.signal.kind == "current"):
        assert isinstance(element, Storage)
        driving = Signal(kind="current" if plates else "voltage", of=element.name)
        drive = solved.just_after(driving, index)
        if drive.is_symbolic or is_symbolic(element.value):
            return None
        size = amount(element.value, CAPACITANCE if plates else INDUCTANCE)
        named = name(f"{symbol(driving)}({at})") / name(element.name)
        figures = amount(drive, DIMENSIONS[driving.kind]) / size
        return _Found((left, named, figures), drive.value() / to_float(element.value))
    decay = _decay(solved, item.signal, index)
    if decay is None:
        return None
    first, final = (amount(value, DIMENSIONS[item.signal.kind]) for value in (decay.first, decay.final))
    named = (name(f"{stem}(∞)") - name(f"{stem}({at})")) / name("τ")
    figures = (final - first) / amount(decay.tau, TIME)
    return _Found((left, named, figures), (decay.final - decay.first) / decay.tau)


def _energy_lost(problem: Problem, solved: Solved, item: Item) -> _Found | None:
    question = question_of(problem, item, solved)
    before, after = (stored(question, before=early) for early in (True, False))
    instant = question.start
    named = name(f"w({instant_text(instant, '−')})") - name(f"w({instant_text(instant, '+')})")
    return _Found((named, amount(before, ENERGY) - amount(after, ENERGY)), (before - after).value())


def _energy_share(problem: Problem, solved: Solved, item: Item) -> _Found | None:
    question = question_of(problem, item, solved)
    part, whole = (energy_taken(question, names) for names in (item.of, whole_of(item)))
    part, whole = (-one if one.value() < 0 else one for one in (part, whole))
    named = name(f"w_{''.join(item.of)}") / name(f"w_{''.join(whole_of(item))}")
    return _Found((named, amount(part, ENERGY) / amount(whole, ENERGY)), part.value() / whole.value())


def _period(problem: Problem, solved: Solved, item: Item) -> _Found | None:
    one, other = phases(question_of(problem, item, solved))
    named = name("t1") + name("t2")
    return _Found((name("T"), named, amount(one, TIME) + amount(other, TIME)), (one + other).value())


def _duty_cycle(problem: Problem, solved: Solved, item: Item) -> _Found | None:
    one, other = phases(question_of(problem, item, solved))
    named = name("t2") / (name("t1") + name("t2"))
    return _Found((named, amount(other, TIME) / amount(one + other, TIME)), (other / (one + other)).value())


class _Damped(NamedTuple):
    """α, ω0 and ω_d, as letters or with their figures."""

    alpha: Formula
    omega0: Formula
    omega_d: Formula


PI = name("π")

_OF_DAMPING: dict[str, tuple[Formula | None, Callable[[_Damped], Formula], Callable[[float, float, float], float]]] = {
    "damping ratio": (name("ζ"), lambda of: of.alpha / of.omega0, lambda a, w0, _: a / w0),
    "quality factor": (name("Q"), lambda of: of.omega0 / (whole(2) * of.alpha), lambda a, w0, _: w0 / (2 * a)),
    "logarithmic decrement": (
        name("Λ"), lambda of: whole(2) * PI * of.alpha / of.omega_d, lambda a, _, wd: 2 * math.pi * a / wd,
    ),
    "peak time": (name("t_p"), lambda of: PI / of.omega_d, lambda _, __, wd: math.pi / wd),
    "percent overshoot": (
        None, lambda of: exponential(-(PI * of.alpha / of.omega_d)), lambda a, _, wd: math.exp(-math.pi * a / wd),
    ),
}  # fmt: skip
"""What follows from α, ω0 and ω_d: the letter, the formula, its value.

The peak is that of a response which starts level and settles; for others the value does not fit, and no line stands there.
"""


def _of_damping(_: Problem, solved: Solved, item: Item) -> _Found | None:
    found = solved.characteristic(_index_after(solved, item))
    sizes = (found.alpha, found.omega0, found.omega_d)
    letter, formula, value = _OF_DAMPING[item.find]
    if any(size is not None and is_symbolic(size) for size in sizes):
        return None
    alpha, omega0, omega_d = (math.nan if size is None else to_float(size) for size in sizes)
    if not alpha or not omega0:
        return None
    named = formula(_Damped(ALPHA, OMEGA0, OMEGA_D))
    figure = partial(amount, dimension=RATE) if item.find == "peak time" else number  # elsewhere their units cancel
    figures = formula(_Damped(*(figure(size or ZERO) for size in sizes)))
    return _Found((named, figures) if letter is None else (letter, named, figures), value(alpha, omega0, omega_d))


def _half_life(_: Problem, solved: Solved, item: Item) -> _Found | None:
    tau = solved.characteristic(_index_after(solved, item)).time_constant
    if tau is None or is_symbolic(tau):
        return None
    logarithm = function("ln", whole(2))
    return _Found((name("τ") * logarithm, amount(tau, TIME) * logarithm), to_float(tau) * math.log(2))


def _dissipated(_: Problem, solved: Solved, item: Item) -> _Found | None:
    """The integral of a power that dies away in a single exponential: at e^(−2t/τ)."""
    index = _index_after(solved, item)
    if len(item.of) != 1:
        return None
    power = Signal(kind="power", of=item.of[0])
    decay = _decay(solved, power, index)
    if decay is None or decay.final:
        return None
    half = amount(2 * decay.tau, TIME) / whole(2)
    named = name(f"{symbol(power)}({decay.at})") * name("τ") / whole(2)
    figures = amount(decay.first, DIMENSIONS["power"]) * half
    return _Found((name(f"w_{item.of[0]}"), named, figures), decay.first * decay.tau)


def _put_in(problem: Problem, solved: Solved, item: Item) -> BoardLine | None:
    """A designed value put in: what it leads to."""
    assert item.goal is not None
    goal = item.goal.item
    met, dimension = question_of(problem, item, solved).answer_to(goal), asked(goal.find).dimension(problem, goal)
    if dimension is None or not isinstance(met, Waveform):
        return None
    return BoardLine(label=f"{goal.text} with this {item.of[0]}", value=met, dimension=dimension)


_FORMULAS: dict[str, Callable[[Problem, Solved, Item], _Found | None]] = {
    "time to reach": _time_to_reach,
    "value at": _value_at,
    "stored energy": _stored_energy,
    "initial slope": _initial_slope,
    "energy lost": _energy_lost,
    "energy share": _energy_share,
    "period": _period,
    "duty cycle": _duty_cycle,
    "half life": _half_life,
    "energy dissipated": _dissipated,
    **dict.fromkeys(_OF_DAMPING, _of_damping),
}
