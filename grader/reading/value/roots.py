"""Characteristic roots: complex numbers, exact, as pairs of real and imaginary part."""

from collections.abc import Mapping
from typing import TypeAlias

from msgspec import Struct

from grader.reading.tree import Node, Roots
from grader.reading.value.complex_number import Complex, as_complex
from grader.reading.value.evaluate import EvaluationError, worth_of
from grader.reading.value.worth import square_root
from grader.values.dimension import Dimension
from grader.values.scalar import ZERO, Scalar
from grader.values.waveform import NotAWaveform, Waveform, constant

Pair: TypeAlias = tuple[Waveform, Waveform]
"""Real and imaginary part, numbers in 1/s."""


NEITHER = "A root is a number, and the equation of the roots a polynomial of second degree; this is neither."


class RootsFound(Struct, frozen=True, kw_only=True):
    """The roots of an answer, in the order written; ``dimension`` of the unit written, None where none was."""

    roots: tuple[Pair, ...]
    dimension: Dimension | None = None


def evaluate_roots(tree: Node, names: Mapping[str, Waveform] | None = None) -> RootsFound:
    """Work the roots of an answer out.

    Parameters
    ----------
    tree : Node
        Of a reading of roots (a single value counts as one root).  A polynomial in t stands for the characteristic one,
        the t for its s: its zeros are the roots.
    names : mapping, optional
        Values of names that occur.

    Raises
    ------
    EvaluationError, ZeroDivisionError
        As `grader.reading.value.evaluate.evaluate`; also where t occurs otherwise.
    """
    roots: list[Pair] = []
    dimension: Dimension | None = None
    for root in tree.roots if isinstance(tree, Roots) else (tree,):
        try:
            value, own = worth_of(root, names or {})
        except NotAWaveform:
            raise EvaluationError(NEITHER) from None
        dimension = own or dimension
        number = as_complex(value)
        if number.re.is_constant and number.im.is_constant:
            roots.append((number.re, number.im))
        else:
            roots.extend(_zeros(number))
    return RootsFound(roots=tuple(roots), dimension=dimension)


def _zeros(polynomial: Complex) -> tuple[Pair, ...]:
    """The zeros of a real quadratic polynomial; `EvaluationError` if it is none."""
    coefficients: list[Scalar] = [ZERO, ZERO, ZERO]
    for term in polynomial.re.terms:
        if term.power > 2 or any((term.rate, term.frequency, term.offset, term.phase)):
            raise EvaluationError(NEITHER)
        coefficients[term.power] = term.cosine
    c, b, a = coefficients
    if polynomial.im.terms or not a:
        raise EvaluationError(NEITHER)
    half = constant(-b / (2 * a))
    root = as_complex(square_root(constant((b * b - 4 * a * c) / (4 * a * a))))
    return (half + root.re, root.im), (half - root.re, -root.im)
