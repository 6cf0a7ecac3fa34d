"""Element values and frequencies with square roots or rounded constants in them: exact where they can be, marked where not."""

import math

import pytest

from grader.circuit.resistance import time_constant
from grader.circuit.response import solve
from grader.values.functions import cos, exp
from grader.values.scalar import ONE, sqrt
from grader.values.waveform import TIME, Waveform, constant
from tests.circuit.building import C, I, L, R, V, circuit, current, q, voltage
from tests.circuit.float_nodal import FloatCircuit

ROOT2, ROOT3 = sqrt(q(2)), sqrt(q(3))


def test_first_order_stays_exact():
    """A resistance of √3 ohm."""
    net = circuit(V("V1", "a", "g", 0, ("0", 6)), R("R1", "a", "b", ROOT3), L("L1", "b", "g", 2))
    assert time_constant(net) == 2 / ROOT3
    found = solve(net).waveform(current("L1"))
    assert found.exact
    assert found == constant(6 / ROOT3) - constant(6 / ROOT3) * exp(TIME.scaled(-ROOT3 / 2))


@pytest.mark.parametrize(
    "resistance, kind", [(ROOT2 * 2, "critically damped"), (ROOT2, "underdamped"), (ROOT2 * 3, "overdamped")]
)
def test_damping_is_decided_exactly(resistance, kind):
    """L = 2 H, C = 1 F: critical at 2√2 ohm."""
    net = circuit(
        V("V1", "a", "g", 0, ("0", 1)), R("R1", "a", "b", resistance), L("L1", "b", "c", 2), C("C1", "c", "g", 1)
    )
    solved = solve(net)
    assert solved.characteristic().damping == kind
    assert solved.waveform(voltage("C1")).exact
    stage = FloatCircuit(net, 0.0)
    x = stage.run([0.0, 0.0], 0.0, [0.0, 1.5])[-1]
    assert solved.waveform(voltage("C1")).value(1.5) == pytest.approx(x[1], abs=1e-8)


def test_where_the_radical_nests_it_is_approximated_and_marked():
    """A quadratic with an irrational discriminant."""
    net = circuit(
        I("I1", "g", "a", 0, ("0", 1)),
        R("R1", "a", "g", ROOT2),
        R("R2", "a", "b", 1),
        L("L1", "b", "g", 2),
        C("C1", "a", "g", ROOT3),
    )
    found = solve(net).waveform(voltage("C1"))
    assert not found.exact
    x = FloatCircuit(net, 0.0).run([0.0, 0.0], 0.0, [0.0, 2.0])[-1]
    assert found.value(2.0) == pytest.approx(x[1], abs=1e-8)
    assert solve(net).final(current("R1")).value() == pytest.approx(1 / (1 + math.sqrt(2)))


def test_a_rounded_frequency_marks_the_answer():
    """Two pi times fifty hertz is given to 50 digits by whoever reads the rubric: the answer is no more exact than that."""
    hum = Waveform(cos(TIME.scaled(q("314.159265358979"))).terms, exact=False)
    net = circuit(V("V1", "a", "g", 0, ("0", hum)), R("R1", "a", "b", 1), L("L1", "b", "g", "0.01"))
    assert not solve(net).waveform(current("L1")).exact
    # An irrational frequency whose square is rational is no trouble.
    found = solve(
        circuit(V("V1", "a", "g", 0, ("0", cos(TIME.scaled(ROOT2)))), R("R1", "a", "b", 1), L("L1", "b", "g", 1))
    )
    assert found.waveform(current("L1")).exact
    # One whose square is not is rounded, and says so.
    odd = cos(TIME.scaled(ROOT2 + ONE))
    found = solve(circuit(V("V1", "a", "g", 0, ("0", odd)), R("R1", "a", "b", 1), L("L1", "b", "g", 1)))
    assert not found.waveform(current("L1")).exact
