"""The steady state before the first action: dc, sinusoidal, and what was conserved since rest."""

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings

from grader.circuit.response import solve
from grader.errors import CircuitError
from grader.values.functions import cos, sin
from grader.values.waveform import TIME, constant
from tests.circuit.building import C, I, L, R, V, changeover, circuit, closes, current, op_amp, opens, q, voltage
from tests.circuit.float_nodal import FloatCircuit, IllConditioned
from tests.circuit.test_against_integration import circuits


def test_dc():
    """A capacitor is open, an inductor short."""
    solved = solve(
        circuit(
            V("V1", "a", "g", 12),
            R("R1", "a", "b", 2),
            L("L1", "b", "c", 1),
            R("R2", "c", "g", 4),
            C("C1", "c", "g", 3),
            opens("S1", "c", "d"),
            R("R3", "d", "g", 4),
        )
    )
    assert solved.waveform(current("L1"), 0) == constant(q(3))
    assert solved.just_before(voltage("C1")) == constant(q(6))
    assert solved.waveform(voltage("C1"), 0) == constant(q(6))


@pytest.mark.parametrize("frequency", ["1", "377", "2/3"])
def test_sinusoid(frequency):
    """Series RL: amplitude V/√(R²+ω²L²), lag atan(ωL/R), from the phasor (common practice, no source)."""
    w = q(frequency)
    wave = sin(TIME.scaled(w)).scaled(q(10))
    solved = solve(circuit(V("V1", "a", "g", wave), R("R1", "a", "b", 3), L("L1", "b", "g", 2), closes("S1", "b", "c"), R("R2", "c", "g", 1)))  # fmt: skip
    size = q(9) + w * w * 4
    expected = (sin(TIME.scaled(w)).scaled(q(30)) - cos(TIME.scaled(w)).scaled(w * 20)).scaled(1 / size)
    assert solved.waveform(current("L1"), 0) == expected
    assert solved.just_before(current("L1")) == expected.at(q(0))


def test_dc_and_sinusoid_together():
    """Superposition."""
    wave = cos(TIME) + constant(q(4))
    solved = solve(
        circuit(V("V1", "a", "g", wave), R("R1", "a", "b", 1), C("C1", "b", "g", 1), closes("S1", "b", "g", "2"))
    )
    half = q("1/2")
    assert solved.waveform(voltage("C1"), 0) == constant(q(4)) + cos(TIME).scaled(half) + sin(TIME).scaled(half)


def test_action_at_another_time_than_zero():
    """The steady state is taken at the first action, whenever that is."""
    solved = solve(circuit(V("V1", "a", "g", cos(TIME)), R("R1", "a", "b", 1), opens("S1", "b", "c", "2"), L("L1", "c", "g", 1), R("R2", "c", "g", 5)))  # fmt: skip
    assert solved.intervals[0].end == solved.intervals[1].start == 2
    assert solved.just_after(current("L1")).value() == pytest.approx(solved.waveform(current("L1"), 0).value(2.0))


def test_from_rest_long_ago():
    """What no current can change keeps what it had: nothing, at rest."""
    beside = solve(circuit(I("I1", "g", "a", 6), R("R1", "a", "g", 1), L("L1", "a", "g", 1), L("L2", "a", "g", 2)))
    assert beside.waveform(current("L1"), 0) == constant(q(4))
    assert beside.waveform(current("L2"), 0) == constant(q(2))
    chain = solve(circuit(V("V1", "a", "g", 12), C("C1", "a", "b", 2), C("C2", "b", "g", 1), R("R1", "b", "c", 1), closes("S1", "c", "g")))  # fmt: skip
    assert chain.waveform(voltage("C2"), 0) == constant(q(8))
    assert chain.final(voltage("C2")) == constant(q(0))


def test_step_sources_rest_before():
    """A source that steps from zero finds everything at rest; from another value, settled to that."""
    net = circuit(V("V1", "a", "g", 3, ("1", 8)), R("R1", "a", "b", 1), C("C1", "b", "g", 1))
    solved = solve(net)
    assert solved.just_before(voltage("C1")) == constant(q(3))
    assert solved.final(voltage("C1")) == constant(q(8))
    assert solved.just_after(current("R1")) == constant(q(5))


def test_initial_values_take_the_place_of_the_steady_state():
    """One given, the other from the steady state; and none needed where all are given."""
    net = circuit(V("V1", "a", "g", 10), R("R1", "a", "b", 5), L("L1", "b", "c", 1), C("C1", "c", "g", 1, 4))
    solved = solve(net)
    assert solved.just_before(voltage("C1")) == constant(q(4))
    assert solved.just_before(current("L1")) == constant(q(0))
    ramp = solve(circuit(V("V1", "a", "g", TIME), R("R1", "a", "b", 5), L("L1", "b", "g", 1, 0)))
    assert ramp.waveform(current("L1")).value(1.0) == pytest.approx((1 - (1 - np.exp(-5)) / 5) / 5)


def test_integrator_at_rest():
    """An op amp integrator waits for its step."""
    solved = solve(circuit(V("V1", "a", "g", 0, ("0", 1)), R("R1", "a", "n", 2), C("C1", "n", "o", 1), op_amp("A1", "g", "n", "o"), changeover("S1", "o", "x", ("1", "y")), R("R2", "x", "g", 1), R("R3", "y", "g", 1)))  # fmt: skip
    assert solved.waveform(voltage("o", "g")).value(1.0) == -0.5


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(circuits(storage=4))
def test_dc_steady_state_solves_the_float_equations(net):
    """x = −A⁻¹ B u of the independent float equations, where their matrix is stable and regular."""
    from msgspec.structs import replace

    elements = tuple(replace(e, initial=None) if e.name[0] in "CL" else e for e in net.elements)
    net = replace(net, elements=elements)
    try:
        stage = FloatCircuit(net, -1.0)
    except IllConditioned:
        assume(False)
    assume(len(stage.A))
    assume(all(len(e.drive.pieces[0][1].terms) <= 1 and e.drive.pieces[0][1].is_constant for e in stage.sources))
    assume(np.linalg.eigvals(stage.A).real.max() < -1e-3)
    try:
        solved = solve(net)
    except CircuitError:
        assume(False)  # a later interval
    x = -np.linalg.solve(stage.A, stage.B @ stage.drive(-1.0))
    for state, expected in zip(stage.states, x, strict=True):
        asked = (voltage if state.name[0] == "C" else current)(state.name)
        assert solved.just_before(asked).value() == pytest.approx(expected, abs=1e-6 * (1 + abs(expected)))


def test_approximations_leave_no_false_remainder():
    """After an interval with cubic roots (50 digits) a charge that is conserved at zero is still found to be zero."""
    net = circuit(
        V("V1", "a", "g", 10),
        R("R1", "a", "b", 1),
        L("L1", "b", "c", 1),
        closes("S1", "c", "x", "0", "1"),
        R("R4", "x", "d", 1),
        C("C1", "d", "e", 1, 0),
        C("C2", "e", "g", 2, 0),
        R("R2", "d", "g", 5),
        C("C3", "c", "g", 1, 0),
    )
    solved = solve(net)
    assert not solved.waveform(voltage("C1"), 1).exact
    assert not solved.final(voltage("C1"), 2).terms
    assert all(term.rate == q("-0.3") for term in solved.waveform(voltage("C1"), 2).terms)
