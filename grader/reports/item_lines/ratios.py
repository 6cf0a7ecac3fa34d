"""What follows from the damping, or from the two phases of a cycle."""

import math
from collections.abc import Callable
from functools import partial
from typing import NamedTuple

from grader.quantities.finds.repeating import Phase, phases
from grader.quantities.question import Question
from grader.reports.item_lines.derivation import Derivation
from grader.reports.item_lines.extremes import PI
from grader.solution import BoardLine
from grader.solution.formula import Formula, amount, exponential, function, name, number, whole
from grader.solution.second import ALPHA, OMEGA0, OMEGA_D
from grader.solution.words import ANGULAR, value_line
from grader.values.dimension import RATE, TIME
from grader.values.scalar import ZERO, is_symbolic, to_float
from grader.values.waveform import Waveform


def period(question: Question) -> Derivation:
    """The sum of both phases."""
    before, (one, other) = _phases(question)
    named = name("t1") + name("t2")
    return Derivation((name("T"), named, amount(one, TIME) + amount(other, TIME)), one + other, before)


def duty_cycle(question: Question) -> Derivation:
    """The second phase over both."""
    before, (one, other) = _phases(question)
    named = name("t2") / (name("t1") + name("t2"))
    share = other / (one + other)
    return Derivation((named, amount(other, TIME) / amount(one + other, TIME)), share.value(), before)


def _phases(question: Question) -> tuple[tuple[BoardLine, ...], tuple[Waveform, Waveform]]:
    """The lines of both phases, and how long they last."""
    found = phases(question)
    lines = tuple(_phase_line(question, count, phase) for count, phase in enumerate(found, start=1))
    return lines, (found.before.lasting, found.after.lasting)


def _phase_line(question: Question, count: int, phase: Phase) -> BoardLine:
    """``τ·ln((x1 − x(∞))/(x2 − x(∞)))``, from one level to the other."""
    signal = question.signal
    dimension = signal.dimension
    first, last = (amount(level, dimension) for level in (phase.first, phase.last))
    label = f"phase {count}, {first.text} to {last.text}"
    sides = [name(f"t{count}")]
    rates = {mode.rate for mode in phase.waveform.modes() if mode.rate}
    final = phase.waveform.limit()
    if len(rates) == 1 and final is not None:
        taus = name(f"τ{count}"), amount(-1 / rates.pop(), TIME)
        rests = name(f"{signal.symbol}(∞)"), amount(final, dimension)
        sides += [tau * function("ln", (first - rest) / (last - rest)) for tau, rest in zip(taus, rests, strict=True)]
    return value_line(*sides, value=phase.lasting, dimension=TIME, label=label)


class _Damped(NamedTuple):
    """α, ω0 and ω_d, as letters or with their figures."""

    alpha: Formula
    omega0: Formula
    omega_d: Formula


_OF_DAMPING: dict[str, tuple[str, Callable[[_Damped], Formula], Callable[[float, float, float], float]]] = {
    "damping ratio": ("ζ", lambda of: of.alpha / of.omega0, lambda a, w0, _: a / w0),
    "quality factor": ("Q", lambda of: of.omega0 / (whole(2) * of.alpha), lambda a, w0, _: w0 / (2 * a)),
    "logarithmic decrement": (
        "Λ", lambda of: whole(2) * PI * of.alpha / of.omega_d, lambda a, _, wd: 2 * math.pi * a / wd,
    ),
    "peak time": ("t_p", lambda of: PI / of.omega_d, lambda _, __, wd: math.pi / wd),
    "percent overshoot": (
        "", lambda of: exponential(-(PI * of.alpha / of.omega_d)), lambda a, _, wd: math.exp(-math.pi * a / wd),
    ),
}  # fmt: skip
"""What follows from α, ω0 and ω_d: the letter, the formula, its value.

The peak is that of a response which starts level and settles; for others the value does not fit, and no line stands there.
"""


def of_damping(question: Question) -> Derivation | None:
    """A quantity that α, ω0 and ω_d give."""
    found = question.solved.characteristic(question.index)
    sizes = (found.alpha, found.omega0, found.omega_d)
    letter, formula, value = _OF_DAMPING[question.item.find]
    if any(size is not None and is_symbolic(size) for size in sizes):
        return None
    alpha, omega0, omega_d = (math.nan if size is None else to_float(size) for size in sizes)
    if not alpha or not omega0:
        return None
    # The units cancel everywhere but in the peak's instant.
    figure = partial(amount, dimension=RATE, unit=ANGULAR) if question.item.find == "peak time" else number
    figures = formula(_Damped(*(figure(size or ZERO) for size in sizes)))
    sides = (formula(_Damped(ALPHA, OMEGA0, OMEGA_D)), figures)
    return Derivation((name(letter), *sides) if letter else sides, value(alpha, omega0, omega_d))
