"""Characteristic polynomial, roots and damping, decided exactly; higher orders against numpy's roots."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.circuit.characteristic import characteristic
from grader.circuit.polynomial import factored, power, times
from grader.circuit.response import solve
from grader.values.scalar import ONE, sqrt, to_float
from tests.circuit.building import C, I, L, R, V, circuit, closes, op_amp, q, voltage


def series(r, el, c):
    return circuit(V("V1", "a", "g", 0, ("0", 1)), R("R1", "a", "b", r), L("L1", "b", "c", el), C("C1", "c", "g", c))


def parallel(r, el, c):
    return circuit(I("I1", "g", "a", 0, ("0", 1)), R("R1", "a", "g", r), L("L1", "a", "g", el), C("C1", "a", "g", c))


@pytest.mark.parametrize("capacitance, kind", [("6", "overdamped"), ("3", "critically damped"), ("2", "underdamped")])
def test_kind_of_response(capacitance, kind):
    """Series 4 ohm and 12 H with three capacitances: Yousafzai, Electric Circuits (one reading of the source, weak)."""
    assert solve(series(4, 12, capacitance)).characteristic().damping == kind


def test_critical_damping_is_decided_exactly():
    """R = 2 √(L/C) is critical and nothing else is, however near."""
    assert solve(series("2", "1", "1")).characteristic().damping == "critically damped"
    assert solve(series("2.000000000000000000000001", "1", "1")).characteristic().damping == "overdamped"
    assert solve(series("1.999999999999999999999999", "1", "1")).characteristic().damping == "underdamped"


def test_series_and_parallel_formulas():
    """α = R/(2L) in series and 1/(2RC) in parallel, ω0 = 1/√(LC) (common practice, no source)."""
    found = solve(series(40, "0.01", "1e-6")).characteristic()
    assert (found.alpha, found.omega0, found.zeta) == (2000, 10000, q("1/5"))
    assert found.omega_d == sqrt(q("96000000"))
    assert found.polynomial == (1, 4000, q("1e8"))
    found = solve(parallel(40, "0.01", "1e-6")).characteristic()
    assert (found.alpha, found.omega0) == (12500, 10000)
    assert found.omega_d is None
    assert [root.real for root in found.roots] == [-5000, -20000]


def test_published_figures():
    """Laboratory figures for L = 0.25 H, C = 0.1 µF: R. Wang, E84 notes (values as printed)."""
    found = solve(series("10e3", "0.25", "1e-7")).characteristic()
    assert found.alpha == 20000
    assert to_float(found.roots[0].real) == pytest.approx(-1026.33, abs=5e-3)
    assert solve(series("150", "0.25", "1e-7")).characteristic().alpha == 300
    assert to_float(found.omega0) == pytest.approx(6324.55, abs=1e-2)  # printed value is cut, not rounded
    critical = sqrt(q("0.25") / q("1e-7")) * 2
    assert to_float(critical) == pytest.approx(3162.27766, abs=5e-6)


def test_lossless():
    """Two coils and two capacitors without resistance: roots exactly on the imaginary axis although no radical is used."""
    net = circuit(
        V("V1", "a", "g", 0, ("0", 1)),
        L("L1", "a", "b", 1),
        C("C1", "b", "g", 1),
        L("L2", "b", "c", 1),
        C("C2", "c", "g", 1),
    )
    found = solve(net).characteristic()
    assert found.order == 4
    assert all(root.real == 0 and not root.exact for root in found.roots)
    golden = (1 + 5**0.5) / 2
    assert sorted(to_float(r.imaginary) for r in found.roots) == pytest.approx([golden - 1, golden])


def test_trapped_charge_does_not_count():
    """Two capacitors in series in an RLC loop: second order, with their series capacitance."""
    net = circuit(
        V("V1", "a", "g", 0, ("0", 1)),
        R("R1", "a", "b", 2),
        L("L1", "b", "c", 1),
        C("C1", "c", "d", 3),
        C("C2", "d", "g", 6),
    )
    found = solve(net).characteristic()
    assert found.order == 2
    assert found.omega0 * found.omega0 == q("1/2")
    # An integrator's root of zero is no trapped charge.
    integrator = circuit(
        V("V1", "a", "g", 0, ("0", 1)), R("R1", "a", "n", 2), op_amp("A1", "g", "n", "o"), C("C1", "n", "o", 1)
    )
    assert [root.real for root in solve(integrator).characteristic().roots] == [0]


def test_intervals_have_their_own():
    """Before, between and after."""
    net = circuit(
        V("V1", "a", "g", 1), R("R1", "a", "b", 1), C("C1", "b", "g", 1), closes("S1", "b", "c"), R("R2", "c", "g", 1)
    )
    solved = solve(net)
    assert [solved.characteristic(k).time_constant for k in (0, 1)] == [1, q("1/2")]
    assert solved.final(voltage("C1")).value() == 0.5


COEFFICIENT = st.integers(-6, 6).map(q)


@settings(max_examples=60)
@given(st.lists(COEFFICIENT, min_size=1, max_size=5))
def test_roots_are_those_numpy_finds(lower):
    """Any monic polynomial, multiplicities counted."""
    polynomial = (*lower, ONE)
    found = []
    for root in characteristic(polynomial).roots:
        real, imaginary = to_float(root.real), to_float(root.imaginary)
        pair = [complex(real, imaginary), complex(real, -imaginary)] if imaginary else [complex(real)]
        found += pair * root.multiplicity
    expected = np.roots([float(c.p) / float(c.q) for c in reversed(polynomial)])
    assert len(found) == len(expected)
    for root in found:
        nearest = np.abs(expected - root).min()
        assert nearest < 2e-2  # numpy splits multiple roots by the fifth root of the rounding error


@given(st.lists(COEFFICIENT, min_size=1, max_size=2), st.lists(COEFFICIENT, min_size=1, max_size=2))
def test_factors_multiply_back(a, b):
    """Over the rationals, exactly."""
    whole = times(power((*a, ONE), 2), (*b, ONE))
    product = (ONE,)
    for factor, count in factored(whole):
        product = times(product, power(factor, count))
    assert product == whole
