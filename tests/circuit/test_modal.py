"""Waveforms from matrices, against the matrix exponential of scipy; characteristic polynomials by hand."""

import numpy as np
import pytest
from flint import fmpq
from scipy.linalg import expm

from grader.circuit.modal import (
    PowerSequence,
    certainly_decays,
    certainly_negative,
    characteristic_polynomial,
    modes,
    numeric_roots,
    waveform,
)
from grader.circuit.polynomial import factored
from grader.values.functions import exp
from grader.values.scalar import to_float
from grader.values.symbolic import Symbolic
from grader.values.waveform import constant

MATRICES = {
    "one rate": [[-2]],
    "two rates": [[0, 1], [-6, -5]],
    "a double rate": [[0, 1], [-9, -6]],
    "two equal rates apart": [[-3, 0], [0, -3]],
    "swinging": [[0, 1], [-25, -8]],
    "lossless": [[0, 1], [-9, 0]],
    "roots with a radical": [[0, 1], [-3, -5]],
    "nothing changes one": [[0, 1], [0, -3]],
    "a triple rate": [[0, 1, 0], [0, 0, 1], [-8, -12, -6]],
    "a swing twice": [[0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1], [-25, -20, -14, -4]],
    "a rate and a swing": [[0, 1, 0], [0, 0, 1], [-10, -9, -4]],
    "a cubic": [[0, 1, 0], [0, 0, 1], [-1, -6, -5]],
    "a cubic that swings": [[0, 1, 0], [0, 0, 1], [-3, -2, -1]],
    "four imaginary roots": [[0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1], [-1, 0, -3, 0]],
    "full": [[-3, 1, 2], [1, -4, 1], [2, 0, -5]],
}


def rows(matrix):
    return [{j: fmpq(value) for j, value in enumerate(row) if value} for row in matrix]


def response(matrix, start, row):
    own = rows(matrix)
    factors = tuple(dict(factored(characteristic_polynomial(own, len(matrix)))).items())
    sequence = PowerSequence.of(own, start, len(matrix), exact=True)
    return waveform(row, sequence, modes(factors))


@pytest.mark.parametrize("name", MATRICES)
def test_a_signal_is_that_of_the_matrix_exponential(name):
    matrix = MATRICES[name]
    start = [3, -2, 5, 7][: len(matrix)]
    row = {0: fmpq(2), len(matrix) - 1: fmpq(-1, 2)} if len(matrix) > 1 else {0: fmpq(2)}
    found = response(matrix, [constant(fmpq(x)) for x in start], row)
    weights = np.zeros(len(matrix))
    for column, value in row.items():
        weights[column] += float(value)
    for time in (0.0, 0.2, 0.9, 2.5):
        expected = weights @ expm(np.array(matrix, dtype=float) * time) @ np.array(start, dtype=float)
        assert found.value(time) == pytest.approx(expected, rel=1e-9, abs=1e-9)
    assert found.exact is (name not in {"a cubic", "a cubic that swings", "four imaginary roots", "full"})


def test_a_constant_that_no_rational_gives_stays_exact():
    """z0 = (e^-5, 2): both parts of the sum keep theirs."""
    fifth = exp(constant(fmpq(-5)))
    found = response([[0, 1], [-6, -5]], [fifth, constant(fmpq(2))], {0: fmpq(1)})
    assert found.exact
    expected = expm(np.array([[0, 1], [-6, -5]]) * 0.7) @ np.array([np.exp(-5), 2])
    assert found.value(0.7) == pytest.approx(expected[0], rel=1e-12)


def test_what_a_signal_does_not_hold_drops_out():
    """Started along one eigenvector, (1, -2) of the rate -2, there is no term of the other."""
    found = response([[0, 1], [-6, -5]], [constant(fmpq(1)), constant(fmpq(-2))], {0: fmpq(1)})
    assert [(term.cosine, term.rate) for term in found.terms] == [(1, -2)]


def test_without_losses_nothing_decays_and_nothing_grows():
    """s^4 + 3 s^2 + 1 has no real part in any root, though no formula gives the roots."""
    found = response(MATRICES["four imaginary roots"], [constant(fmpq(x)) for x in (3, -2, 5, 7)], {0: fmpq(1)})
    assert {term.rate for term in found.terms} == {0}
    assert sorted(to_float(term.frequency) for term in found.terms) == pytest.approx([0.618034, 1.618034], rel=1e-6)


@pytest.mark.parametrize(
    ("matrix", "coefficients"),
    [
        ([[-2]], [2, 1]),
        ([[0, 1], [-6, -5]], [6, 5, 1]),
        ([[1, 2], [3, 4]], [-2, -5, 1]),
        ([[-3, 1, 2], [1, -4, 1], [2, 0, -5]], [37, 42, 12, 1]),
        ([[0, 0], [0, 0]], [0, 0, 1]),
    ],
)
def test_a_characteristic_polynomial(matrix, coefficients):
    """Lowest power first; of the 3 by 3 one: trace -12, principal minors 11 + 11 + 20, determinant -37."""
    assert list(characteristic_polynomial(rows(matrix), len(matrix))) == coefficients
    wider = [{**row, len(matrix): fmpq(9), len(matrix) + 1: fmpq(4)} for row in rows(matrix)]
    assert list(characteristic_polynomial(wider, len(matrix))) == coefficients


@pytest.mark.parametrize(("name", "intricate"), [("one rate", False), ("swinging", False), ("a cubic", True)])
def test_a_third_order_that_does_not_split_is_intricate(name, intricate):
    own = rows(MATRICES[name])
    (mode,) = modes(tuple(dict(factored(characteristic_polynomial(own, len(own)))).items()))
    assert mode.intricate is intricate


@pytest.mark.parametrize(
    ("polynomial", "decays"),
    [
        ([3, 1], True),
        ([-3, 1], False),
        ([0, 1], False),
        ([25, 8, 1], True),
        ([25, 0, 1], False),
        ([25, -8, 1], False),
        ([1, 6, 5, 1], True),
        ([6, 1, 1, 1], False),  # 1 · 1 < 6
        ([1, 1, 1, 1], False),  # on the axis: (s + 1)(s^2 + 1)
        ([1, 1, 1.5, 1], True),
        ([1, 2, 3, 2, 1], True),  # (s^2 + s + 1)^2
        ([1, 0, 3, 0, 1], False),
        ([5, 1, 3, 2, 1], False),
    ],
)
def test_roots_in_the_left_half_plane(polynomial, decays):
    """Lowest power first; by Routh's array, and by numpy's roots."""
    factor = tuple(fmpq(round(2 * value), 2) for value in polynomial)
    assert certainly_decays(factor) is decays
    assert bool(max(np.roots(polynomial[::-1]).real) < -1e-9) is decays


@pytest.mark.parametrize(
    ("polynomial", "on_the_axis"),
    [
        ([1, 0, 3, 0, 1], 4),
        ([1, 0, 9, 0, 6, 0, 1], 6),
        ([1, 0, 1, 0, 1, 0, 2], 2),  # 2 x^3 + x^2 + x + 1 with x = s^2 has one negative root
        ([1, 6, 5, 1], 0),
        ([3, 2, 1, 1], 0),
    ],
)
def test_roots_on_the_axis_have_no_real_part_at_all(polynomial, on_the_axis):
    roots = numeric_roots(tuple(map(fmpq, polynomial)))
    assert len(roots) == len(polynomial) - 1
    assert sum(root.real == 0 for root in roots) == on_the_axis
    assert sorted(complex(root).real for root in roots) == pytest.approx(
        sorted(np.roots(polynomial[::-1]).real), abs=1e-9
    )


def test_letters_that_surely_decay():
    a, b = (Symbolic.symbol(name, ("a", "b")) for name in "ab")
    assert certainly_decays((a, fmpq(1)))
    assert certainly_decays((a * b, a + b, fmpq(1)))
    assert not certainly_decays((a * b, a - b, fmpq(1)))
    assert not certainly_decays((-a, fmpq(1)))


def test_the_sign_of_letters():
    a, b = (Symbolic.symbol(name, ("a", "b")) for name in "ab")
    assert certainly_negative(-a)
    assert certainly_negative((-a - b) / (a + b * b))
    assert not certainly_negative(a)
    assert not certainly_negative(b - a)
    assert not certainly_negative(-a / (a - b))
    assert certainly_negative(fmpq(-1))
    assert not certainly_negative(fmpq(0))
    assert not certainly_negative(fmpq(1))
