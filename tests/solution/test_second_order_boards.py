"""The worked solution of circuits of second and of higher order."""

import math

import pytest

from grader.circuit.response import solve
from grader.solution import prose_text
from grader.values.functions import cos
from grader.values.waveform import TIME
from tests.circuit.building import (
    C,
    I,
    L,
    R,
    V,
    circuit,
    closes,
    coupled,
    current,
    q,
    voltage,
)

from .boards import board, left, middle, said, text, values


@pytest.mark.parametrize(
    "resistance, kind, names",
    [("40", "underdamped", "B"), ("200", "critically damped", "A"), ("500", "overdamped", "A")],
)
def test_second_order_conditions_and_constants(resistance, kind, names):
    """Series RLC: the two constants solve the two equations, and the expression is made of them."""
    net = circuit(
        V("V1", "a", "g", 10),
        closes("S1", "a", "b"),
        R("R1", "b", "c", resistance),
        L("L1", "c", "d", "0.01"),
        C("C1", "d", "g", "1e-6"),
    )
    steps = board(net, voltage("C1"))
    damping = steps["Sources off: damping"]
    assert "With the sources off this is a series RLC circuit: s^2 + 2·α·s + ω0^2 = 0." in said(damping)
    assert prose_text(damping.conclusion).endswith(f": {kind}.")
    figures = values(damping)
    alpha, omega0 = float(resistance) / 0.02, 1e4
    assert figures["α"] == pytest.approx(alpha)
    assert figures["ω0"] == pytest.approx(omega0)
    response = steps["The response v_C1(t)"]
    found = values(response)
    assert found["v_C1(0+)"] == 0
    assert found["dv_C1/dt(0+)"] == 0
    first, second = (found[name + "1"] for name in names), (found[name + "2"] for name in names)
    (x1,), (x2,) = first, second
    if kind == "underdamped":
        beta = math.sqrt(omega0**2 - alpha**2)
        assert (x1, x2) == pytest.approx((-10, -10 * alpha / beta))
    elif kind == "critically damped":
        assert (x1, x2) == pytest.approx((-10, -10 * alpha))
    else:
        s1, s2 = (-alpha + sign * math.sqrt(alpha**2 - omega0**2) for sign in (1, -1))
        assert x1 + x2 == pytest.approx(-10)
        assert s1 * x1 + s2 * x2 == pytest.approx(0, abs=1e-6 * omega0)
    assert response.lines[-1].value == solve(net).waveform(voltage("C1"))


def test_the_slope_of_a_coupled_coil_counts_the_other_coil():
    """v1 = L1·di1/dt + M·di2/dt and v2 = M·di1/dt + L2·di2/dt, solved by hand: (3·12 − 1·0)/(2·3 − 1²) = 7.2 A/s."""
    net = circuit(
        V("V1", "a", "g", 12),
        closes("S1", "a", "b"),
        R("R1", "b", "c", 6),
        L("L1", "c", "g", 2),
        L("L2", "d", "g", 3),
        R("R2", "d", "g", 4),
        coupled("K", "L1", "L2", 1),
    )
    response = board(net, current("L1"))["The response i_L1(t)"]
    slope = next(line for line in response.lines if left(line) == "di_L1/dt(0+)")
    law, figures = (side.text for side in slope.sides[1:])
    assert law == "(L2·v_L1(0+) − M·v_L2(0+))/(L1·L2 − M^2)"
    assert figures == "(3 H·12 V − 1 H·0 V)/(2 H·3 H − (1 H)^2)"
    assert values(response)["di_L1/dt(0+)"] == pytest.approx(7.2)


def test_parallel_and_other_second_order_circuits():
    """Named where it is one, by its state equations otherwise."""
    parallel = board(
        circuit(I("I1", "g", "a", 0, ("0", 1)), R("R1", "a", "g", 2), L("L1", "a", "g", 1), C("C1", "a", "g", 1)),
        voltage("C1"),
    )
    assert "parallel RLC" in said(parallel["Sources off: damping"])[0]
    assert middle(parallel["Sources off: damping"].lines[0]) == "1/(2·R·C) = 1/(2·2 Ω·1 F)"
    mixed = board(
        circuit(V("V1", "a", "g", 0, ("0", 1)), R("R1", "a", "b", 2), L("L1", "b", "c", 1), C("C1", "c", "g", 1), R("R2", "c", "g", 3)),
        voltage("C1"),
    )  # fmt: skip
    step = mixed["Sources off: damping"]
    assert "s^2 + 2.33333·s + 1.66667 = 0" in text(step)
    assert text(step)[-7:-5] == [  # i' = u − 2 i − v, v' = i − v/3: −(a + d) = 2 + 1/3, a d − b c = 2/3 + 1
        "2·α = −(a + d) = 2 + 0.333333 = 2.33333",
        "ω0^2 = a·d − b·c = −2·(−0.333333) + 1 = 1.66667",
    ]


def test_higher_order_by_state_equations():
    """Equations, polynomial and roots; before them the node equations that the state equations come from, by hand."""
    net = circuit(
        V("V1", "a", "g", 0, ("0", 10)),
        R("R1", "a", "b", 1),
        L("L1", "b", "c", 1),
        C("C1", "c", "g", 1),
        R("R2", "c", "d", 2),
        C("C2", "d", "g", 1),
    )
    state = board(net, voltage("C2"))["State equations"]
    assert text(state)[:8] == [
        "node b: (v_b − 10 V)/(1 Ω) + i_L1 = 0",
        "v_b",  # 10 − i_L1
        "v_L1 = v_b − v_C1",
        "di_L1/dt = v_L1/L1",
        "i_C1 = i_L1 − (v_C1 − v_C2)/(2 Ω)",
        "dv_C1/dt = i_C1/C1",
        "i_C2 = −(v_C2 − v_C1)/(2 Ω)",
        "dv_C2/dt = i_C2/C2",
    ]
    assert text(state)[8:10] == ["di_L1/dt = −i_L1 − v_C1 + f_L1(t)", "from the sources: f_L1(t)"]
    assert text(state)[10:12] == ["dv_C1/dt = i_L1 − 0.5·v_C1 + 0.5·v_C2", "dv_C2/dt = 0.5·v_C1 − 0.5·v_C2"]
    assert "s^3 + 2·s^2 + 2·s + 0.5 = 0" in text(state)
    assert any("± j" in middle(line) for line in state.lines)


def test_a_sinusoid_in_a_second_order_circuit_by_undetermined_coefficients():
    """alpha = 1/s, w0^2 = 4/s^2 and w = 2/s, by hand: 4 B = 4 * 10 V and -4 A = 0."""
    net = circuit(
        V("V1", "a", "g", cos(TIME.scaled(q(2))).scaled(q(10))),
        closes("S1", "a", "b"),
        R("R1", "b", "c", 2),
        L("L1", "c", "d", 1),
        C("C1", "d", "g", "0.25"),
    )
    step = board(net, voltage("C1"))["The response v_C1(t)"]
    assert text(step)[1] == "v_C1'' + 2·α·v_C1' + ω0^2·v_C1"
    found = values(step)
    assert found["(ω0^2 − ω^2)·A + 2·α·ω·B"] == 40
    assert (found["A"], found["B"]) == (0, 10)
    lines = text(step)
    assert "as one cosine" in [line.label for line in step.lines]
    assert "M = √(A^2 + B^2) = 10 V" in lines
    assert "φ = −90 °" in lines  # 10 sin ωt = 10 cos(ωt − 90°)


def test_the_roots_have_their_law():
    """1 H and 1/9 F at 10 Ω: −5 ± √(25 − 9), −1 and −9; 1/25 F at 6 Ω: −3 ± j4."""

    def roots(resistance, capacitance):
        net = circuit(
            V("V1", "a", "g", 0, ("0", 1)), R("R1", "a", "b", resistance), L("L1", "b", "c", 1),
            C("C1", "c", "g", capacitance),
        )  # fmt: skip
        lines = text(board(net, voltage("C1"))["Sources off: damping"])
        return [line for line in lines if line.startswith("s")]

    assert roots(10, q("1/9")) == ["s1 = −α + √(α^2 − ω0^2) = −1 1/s", "s2 = −α − √(α^2 − ω0^2) = −9 1/s"]
    for fast, slow in ((7, 2), (11, 3), (q("1/3"), q("1/5")), (10, 9)):  # s² + (fast + slow) s + fast·slow
        for line in roots(q(fast) + slow, 1 / (q(fast) * slow)):
            size = -float(line.rsplit(" = ", 1)[1].removesuffix(" 1/s").replace("−", "-"))
            assert size == pytest.approx(float(slow if "−α + √" in line else fast), rel=1e-3)
    assert roots(6, q("1/25")) == ["s = −α ± j·ω_d = (−3 ± j4) 1/s"]
    assert roots(6, q("1/9")) == ["s = −α = −3 1/s"]
