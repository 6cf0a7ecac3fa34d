"""The lines of the worked solution that belong to single items: a time to reach, a value at, an energy, a first slope.

A formula stands there only where it gives the reference answer; elsewhere the answer stands alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import NamedTuple

from flint import fmpq

from grader.circuit.elements import Capacitor, Inductor, Signal, Storage
from grader.circuit.response import Solved
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.rubric.references import Reference
from grader.solution import BoardLine, SolutionStep
from grader.solution.words import DIMENSIONS, instant_text, symbol
from grader.values.dimension import CAPACITANCE, CURRENT, INDUCTANCE, TIME, VOLTAGE, Dimension
from grader.values.scalar import is_symbolic, to_float
from grader.values.text import value_text
from grader.values.waveform import Waveform


class _Formula(NamedTuple):
    """What the line is about, the formula (with its figures behind ``=``), and the value that it gives (SI)."""

    left: str
    text: str
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
    return SolutionStep(heading="The values asked", lines=tuple(lines)) if lines else None


def _line(problem: Problem, solved: Solved, item: Item, reference: Reference) -> BoardLine | None:
    answer = reference.answer
    if item.find not in _FORMULAS or not isinstance(answer, Waveform) or answer.is_symbolic:
        return None
    try:
        formula = _FORMULAS[item.find](problem, solved, item)
    except NotDefined:
        return None
    if formula is None or not math.isclose(formula.value, answer.value(), rel_tol=1e-6, abs_tol=1e-15):
        return None
    return BoardLine(label=item.id, left=formula.left, middle=formula.text, value=answer, dimension=reference.dimension)


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


def _figure(value: float, dimension: Dimension) -> str:
    """A value with its unit; a negative one in brackets."""
    text = value_text(value, dimension).replace("-", "−", 1)
    return f"({text})" if text.startswith("−") else text


def _time_to_reach(_: Problem, solved: Solved, item: Item) -> _Formula | None:
    assert item.signal is not None
    decay = _decay(solved, item.signal, _index_after(solved, item))
    if decay is None or decay.first == decay.final:
        return None
    dimension, name = DIMENSIONS[item.signal.kind], symbol(item.signal)
    if item.level is not None:
        level = to_float(item.level)
    else:
        assert item.level_share is not None
        level = decay.first + (decay.final - decay.first) * to_float(item.level_share)
    ratio = (decay.first - decay.final) / (level - decay.final) if level != decay.final else 0.0
    if ratio <= 0:
        return None
    since = f"{value_text(decay.start, TIME)} + " if decay.start else ""
    target, first, final = (_figure(value, dimension) for value in (level, decay.first, decay.final))
    letters = f"{since}τ·ln([{name}({decay.at}) − {name}(∞)]/[{target} − {name}(∞)])"
    numbers = f"{since}{value_text(decay.tau, TIME)}·ln([{first} − {final}]/[{target} − {final}])"
    return _Formula("t", f"{letters} = {numbers}", decay.start + decay.tau * math.log(ratio))


def _value_at(_: Problem, solved: Solved, item: Item) -> _Formula | None:
    assert item.signal is not None
    assert item.at is not None
    decay = _decay(solved, item.signal, _index_at(solved, item.at))
    if decay is None:
        return None
    dimension = DIMENSIONS[item.signal.kind]
    passed = to_float(item.at) - decay.start
    first, final = (_figure(value, dimension) for value in (decay.first, decay.final))
    power = f"e^(−{value_text(passed, TIME)}/{value_text(decay.tau, TIME)})"
    value = decay.final + (decay.first - decay.final) * math.exp(-passed / decay.tau)
    return _Formula(f"{symbol(item.signal)}({instant_text(item.at)})", f"{final} + [{first} − {final}] {power}", value)


def _stored_energy(problem: Problem, solved: Solved, item: Item) -> _Formula | None:
    assert problem.circuit is not None
    at = item.at
    letters, numbers, total = [], [], 0.0
    for name in item.of:
        element = problem.circuit.element(name)
        if not isinstance(element, Storage) or is_symbolic(element.value):
            return None
        plates = isinstance(element, Capacitor)
        own = Signal(kind="voltage" if plates else "current", of=name)
        state = (
            solved.final(own, _index_after(solved, item))
            if at is None
            else solved.waveform(own, _index_at(solved, at)).at(at)
        ).value()
        size = value_text(to_float(element.value), CAPACITANCE if plates else INDUCTANCE)
        figure = value_text(state, VOLTAGE if plates else CURRENT).replace("-", "−", 1)
        letters.append(f"½·{name}·{symbol(own)}²")
        numbers.append(f"½·{size}·({figure})²")
        total += to_float(element.value) * state**2 / 2
    when = "∞" if at is None else instant_text(at)
    left = f"w_{item.of[0]}({when})" if len(item.of) == 1 else f"w({when})"
    return _Formula(left, f"{' + '.join(letters)} = {' + '.join(numbers)}", total)


def _initial_slope(problem: Problem, solved: Solved, item: Item) -> _Formula | None:
    assert problem.circuit is not None
    assert item.signal is not None
    index, name = _index_after(solved, item), symbol(item.signal)
    opened = solved.intervals[index].start
    assert opened is not None
    at = instant_text(opened, "+")
    element = problem.circuit.element(item.signal.of) if isinstance(item.signal.of, str) else None
    plates = isinstance(element, Capacitor) and item.signal.kind == "voltage"
    if plates or (isinstance(element, Inductor) and item.signal.kind == "current"):
        assert isinstance(element, Storage)
        driving = Signal(kind="current" if plates else "voltage", of=element.name)
        drive = solved.just_after(driving, index)
        if drive.is_symbolic or is_symbolic(element.value):
            return None
        size = value_text(to_float(element.value), CAPACITANCE if plates else INDUCTANCE)
        numbers = f"{_figure(drive.value(), DIMENSIONS[driving.kind])}/({size})"
        text = f"{symbol(driving)}({at})/{element.name} = {numbers}"
        return _Formula(f"d{name}/dt({at})", text, drive.value() / to_float(element.value))
    decay = _decay(solved, item.signal, index)
    if decay is None:
        return None
    first, final = (_figure(value, DIMENSIONS[item.signal.kind]) for value in (decay.first, decay.final))
    text = f"[{name}(∞) − {name}({at})]/τ = [{final} − {first}]/({value_text(decay.tau, TIME)})"
    return _Formula(f"d{name}/dt({at})", text, (decay.final - decay.first) / decay.tau)


_FORMULAS: dict[str, Callable[[Problem, Solved, Item], _Formula | None]] = {
    "time to reach": _time_to_reach,
    "value at": _value_at,
    "stored energy": _stored_energy,
    "initial slope": _initial_slope,
}
