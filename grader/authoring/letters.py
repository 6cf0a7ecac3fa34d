"""How clean the answers of a problem are for thousands of values at once: solved in letters, then worked out in floating point.

An estimate, which says where to look: what is proposed is solved again exactly.
"""

from collections.abc import Iterator, Sequence

import numpy as np
from flint import fmpq, fmpq_mpoly
from msgspec.structs import replace
from numpy.typing import NDArray

from grader.circuit.elements import Element, Passive
from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined
from grader.problem import Problem
from grader.quantities import Answer, asked
from grader.quantities.catalogue import question_of
from grader.quantities.design import with_value
from grader.rubric.personal import valued
from grader.values.laplace import VARIABLE, fraction
from grader.values.scalar import Scalar, Surd
from grader.values.symbolic import Symbolic
from grader.values.waveform import Piecewise

Numbers = NDArray[np.complex128]

MOST_DIGITS = 6
"""Digits beyond a few that are told apart: a number with more has no end, as far as cleanness goes."""

NEAR = 1e-7
"""How near to a whole number floating point comes."""


class Lettered:
    """The answers of a problem whose elements `names` have letters for values; those that letters leave open are left out.

    Raises
    ------
    NotDefined, CircuitError
        If the circuit cannot be solved in letters.
    """

    def __init__(self, problem: Problem, names: Sequence[str]) -> None:
        assert problem.circuit is not None
        self._names = tuple(names)
        circuit = problem.circuit.altered(self._lettered)
        problem, solved = replace(problem, circuit=circuit), solve(circuit)
        self._answers: list[Answer] = []
        for item in problem.items:
            try:
                self._answers.append(asked(item.find).reference(question_of(problem, item, solved)))
            except (CircuitError, NotDefined, ValueError, ZeroDivisionError):
                continue

    def _lettered(self, one: Element) -> Element:
        if one.name not in self._names:
            return one
        letter = Symbolic.symbol(one.name, self._names)
        return replace(one, value=letter) if isinstance(one, Passive) else with_value(valued(one), letter)

    def roughness(self, values: NDArray[np.float64], few: int, few_of_rates: int) -> NDArray[np.float64]:
        """Digits beyond a few that the answers need, for each row of values (SI base units, in the order of the names)."""
        total = np.zeros(len(values))
        with np.errstate(all="ignore"):
            for answer in self._answers:
                for number, is_rate in _numbers(answer):
                    found = _worked_out(number, values)
                    parts = [found.real, found.imag]
                    digits = sum(_digits(part, few_of_rates if is_rate else few) for part in parts)
                    if is_rate and not found.imag.any():
                        digits = np.minimum(digits, _digits(1 / found.real, few_of_rates))
                    total += digits
        return total


def _numbers(answer: Answer) -> Iterator[tuple[Scalar, bool]]:
    """The numbers that an answer is written with, and whether each is a rate."""
    if isinstance(answer, str):
        return
    if isinstance(answer, tuple):
        for root in answer:
            for part in root:
                yield from ((number, True) for number, _ in _numbers(part))
        return
    for waveform in [piece for _, piece in answer.pieces] if isinstance(answer, Piecewise) else [answer]:
        for term in waveform.terms:
            for number in (term.cosine, term.sine):
                yield from ((coefficient, False) for coefficient in _coefficients(number))
            yield from ((term.rate, True), (term.frequency, True))


def _coefficients(number: Scalar) -> tuple[Scalar, ...]:
    """The number itself; of a function of s those of its two polynomials."""
    if not isinstance(number, Symbolic) or VARIABLE not in number.names:
        return (number,)
    found = fraction(number)
    return (*found.top, *found.bottom)


def _worked_out(number: Scalar, values: NDArray[np.float64]) -> Numbers:
    if isinstance(number, Surd):
        parts = (np.sqrt(_worked_out(root, values)) * _worked_out(size, values) for root, size in number.parts)
        total: Numbers = np.sum(list(parts), axis=0)
        return total
    if isinstance(number, Symbolic):
        return _polynomial(number.top, values) / _polynomial(number.bottom, values)
    return np.full(len(values), float(fmpq(number)), dtype=np.complex128)


def _polynomial(polynomial: fmpq_mpoly, values: NDArray[np.float64]) -> Numbers:
    total = np.zeros(len(values), dtype=np.complex128)
    for exponents, coefficient in polynomial.to_dict().items():
        total += float(fmpq(coefficient)) * np.prod(values ** np.array(exponents, dtype=float), axis=1)
    return total


def _digits(numbers: NDArray[np.float64], few: int) -> NDArray[np.float64]:
    """Digits beyond a few that numbers need."""
    size = np.abs(numbers)
    size = size / 10.0 ** (np.floor(np.log10(np.where(size > 0, size, 1))) + 1 - few)
    needed = np.full(len(size), float(MOST_DIGITS))
    for more in range(MOST_DIGITS - 1, -1, -1):
        scaled = size * 10.0**more
        needed = np.where(np.abs(scaled - np.round(scaled)) < NEAR * 10.0**more, more, needed)
    return np.where(np.isfinite(numbers), needed, MOST_DIGITS)
