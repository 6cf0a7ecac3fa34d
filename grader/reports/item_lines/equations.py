"""The characteristic polynomial and the differential equation, in letters and with figures."""

from collections.abc import Mapping

from grader.quantities.equations import derivative_text
from grader.quantities.question import Question
from grader.quantities.second_order import coefficients
from grader.reports.item_lines.derivation import TAU, Derivation
from grader.solution import BoardLine
from grader.solution.formula import ZERO, Formula, added, name, number, polynomial_formula, whole
from grader.solution.second import ALPHA, OMEGA0, STANDARD_FORM, S
from grader.values.waveform import Waveform

_FACTORS: dict[int, dict[int, Formula]] = {1: {0: whole(1) / TAU}, 2: {1: whole(2) * ALPHA, 0: OMEGA0**2}}
"""Of first and second order the factors before the lower derivatives, by their order."""


def characteristic_polynomial(question: Question) -> Derivation:
    """``s + 1/τ`` or ``s² + 2αs + ω0²``, then with figures; above second order the figures alone."""
    polynomial = question.solved.characteristic(question.index).polynomial
    letters = {2: (S + whole(1) / TAU,), 3: (STANDARD_FORM,)}.get(len(polynomial), ())
    return Derivation((*letters, polynomial_formula(polynomial), ZERO), _answer(question))


def differential_equation(question: Question) -> Derivation:
    """The polynomial with d/dt for s; on the right what is left of it for the final value."""
    answer, stem = _answer(question), question.signal.symbol
    found = coefficients(answer)
    order, driven = max(found) - 1, -found[0] if 0 in found else None
    before: tuple[BoardLine, ...] = ()
    if order in _FACTORS and 1 in found:
        right = _FACTORS[order][0] * name(f"{stem}(∞)") if driven is not None else ZERO
        before = (BoardLine(sides=(_left(stem, order, _FACTORS[order]), right)),)
    figures = {power - 1: number(value) for power, value in found.items() if 0 < power <= order}
    right = ZERO if driven is None else number(driven)
    return Derivation((_left(stem, order, figures), right), answer, before)


def _answer(question: Question) -> Waveform:
    found = question.answer_to(question.item)
    assert isinstance(found, Waveform)
    return found


def _left(stem: str, order: int, factors: Mapping[int, Formula]) -> Formula:
    """The highest derivative, and the lower ones each with its factor."""
    lower = (factors[each] * name(derivative_text(stem, each)) for each in sorted(factors, reverse=True))
    return added((name(derivative_text(stem, order)), *lower))
