"""How long exact state equations take, as ratios to the plain way (symbolic matrices) in the same run.

Run with ``python -m pytest -m benchmark -s tests/circuit``.  Prints, asserts no times.
"""

from time import perf_counter

import pytest

from grader.circuit.characteristic import characteristic
from grader.circuit.modal import characteristic_polynomial
from grader.circuit.network import equations, layout
from grader.circuit.response import reduced_at, solve
from grader.values.scalar import ZERO
from tests.circuit.building import C, L, R, V, circuit, closes, voltage

SIX = circuit(
    V("V1", "a", "g", 10),
    closes("S1", "a", "b"),
    R("R1", "b", "c", "6.8e3"),
    L("L1", "c", "d", "0.1"),
    R("R2", "d", "g", "2.2e3"),
    C("C1", "d", "g", "4.7e-8"),
)


def ladder(sections: int):
    """A source, a switch and sections of R, L, R, C: 4 n + 2 elements, and a load."""
    elements = [V("V1", "n0", "g", 12), closes("S1", "n0", "a0")]
    for k in range(sections):
        elements += [
            R(f"Ra{k}", f"a{k}", f"b{k}", str(100 + 7 * k)),
            L(f"L{k}", f"b{k}", f"a{k + 1}", f"{10 + k}e-3"),
            R(f"Rb{k}", f"a{k + 1}", "g", f"{1000 + 3 * k}"),
            C(f"C{k}", f"a{k + 1}", "g", f"{1 + k}e-6"),
        ]
    return circuit(*elements, R("Rload", f"a{sections}", "g", "330"))


def best(work, repeats):
    """The shortest of several runs, in seconds."""
    times = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def plain_way(net):
    """The same equations solved with sympy's Matrix over symbolic numbers."""
    import sympy

    reduced = reduced_at(net, ZERO)
    columns = layout(net, reduced.where)
    stated, _ = equations(net, columns, reduced.where, {"V1": {columns.first_source_column: ZERO + 12}})
    width = columns.first_source_column + 1
    size = len(columns.unknowns)
    matrix = sympy.zeros(len(stated), width)
    for i, equation in enumerate(stated):
        for column, value in equation.row.items():
            matrix[i, column] = sympy.Rational(int(value.p), int(value.q))
    return matrix[:, :size].LUsolve(matrix[:, size:])


@pytest.mark.benchmark
@pytest.mark.parametrize("title, net", [("6 elements", SIX), ("27 elements", ladder(6))])
def test_state_equations(title, net):
    """State equations, and the whole response of a voltage."""
    reduced = best(lambda: reduced_at(net, ZERO), 20)
    plain = best(lambda: plain_way(net), 1)
    order = reduced_at(net, ZERO).order
    whole = best(lambda: solve(net).waveform(voltage("R2" if net is SIX else "Rload")), 2)
    print(
        f"\n{title}, order {order}: state equations {1e3 * reduced:.2f} ms, plain way {1e3 * plain:.1f} ms, "
        f"ratio {plain / reduced:.0f}; whole response {1e3 * whole:.2f} ms"
    )
    found = reduced_at(net, ZERO)
    assert characteristic(characteristic_polynomial(found.derivatives, order)).order == order
