"""The worked solution: what stands on the board, line by line, and that it never contradicts the solver."""

import math

import pytest
from hypothesis import HealthCheck, assume, given, settings

from grader.circuit.elements import Signal
from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined
from grader.solution import prose_text, worked_solution
from grader.solution.formula import amount
from grader.values.dimension import RESISTANCE
from grader.values.functions import cos, exp
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME, constant
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
    dependent,
    op_amp,
    opens,
    q,
    signal,
    voltage,
)
from tests.circuit.test_against_integration import circuits
from tests.circuit.test_resistive_views import COIL


def board(net, *asked):
    solved = solve(net)
    return {prose_text(step.heading): step for step in worked_solution(net, solved, asked)}


def left(line):
    return line.sides[0].text


def middle(line):
    """What stands between the symbol and the value."""
    return " = ".join(side.text for side in line.sides[1:])


def text(step):
    """Every line without its value."""
    return [f"{line.label}: " * bool(line.label) + " = ".join(side.text for side in line.sides) for line in step.lines]


def said(step):
    return [prose_text(sentence) for sentence in step.sentences]


def values(step):
    return {left(line): line.value.value() for line in step.lines if line.value is not None and line.value.is_constant}


def test_first_order_from_picture_to_expression():
    """All figures worked by hand: 24 V, 2 + 6 ohm, 12 ohm beside 4 ohm with a coil."""
    steps = board(COIL, current("R2"), signal("energy", "L1"))
    assert list(steps) == [
        "Just before t = 0",
        "At t = 0+",
        "As t → ∞",
        "Sources off: time constant",
        "The response",
        "Power and energy",
    ]
    before = steps["Just before t = 0"]
    assert said(before) == ["S1 is open.", "In the dc steady state L1 has no voltage (short circuit)."]
    assert text(before)[:2] == [
        "node m: (v_m − 24 V)/(2 Ω) + (v_m − v_n)/(6 Ω) = 0",
        "node n: (v_n − v_m)/(6 Ω) + v_n/(12 Ω) + v_n/(4 Ω) = 0",
    ]
    assert values(before) == pytest.approx(
        {"v_m": 216 / 11, "v_n": 72 / 11, "i_L1(0−)": 18 / 11, "i_R2(0−)": 6 / 11, "w_L1(0−)": 0.04 * (18 / 11) ** 2}
    )
    after = steps["At t = 0+"]
    assert text(after)[1] == "node p: (v_p − v_n)/(4 Ω) + 1.636 A = 0"
    assert values(after)["i_R2(0+)"] == pytest.approx(0.78787879)
    assert values(steps["As t → ∞"])["i_R2(∞)"] == pytest.approx(2 / 3)
    tau = steps["Sources off: time constant"]
    assert [(left(line), middle(line)) for line in tau.lines] == [
        ("R_th", "R3 + R1 ∥ R2 = 4 Ω + 6 Ω ∥ 12 Ω"),
        ("τ", "L/R_th = 80 mH/(8 Ω)"),
    ]
    assert values(tau) == {"R_th": 8, "τ": 0.01}
    (line,) = steps["The response"].lines
    law, figures = (side.text for side in line.sides[1:])
    assert law == "i_R2(∞) + (i_R2(0+) − i_R2(∞))·e^(−t/τ)"
    assert figures == "666.7 mA + (787.9 mA − 666.7 mA)·e^(−t/(10 ms))"  # 2/3 A, and 4/33 A more at first
    assert line.value == constant(q("2/3")) + exp(TIME.scaled(q(-100))).scaled(q("4/33"))


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
    assert said(damping)[-1].endswith(f": {kind}.")
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


def test_letters_are_bracketed_once_and_the_resistance_seen_is_no_resistor():
    """A resistor called R may stand beside the resistance that the capacitor looks into."""
    names = ("R", "R2", "C")
    r, r2, c = (Symbolic.symbol(name, names) for name in names)
    net = circuit(
        I("I1", "g", "a", 1), opens("S1", "a", "g"), R("R", "a", "g", r), R("R2", "a", "b", r2), C("C", "b", "g", c)
    )
    seen, tau = board(net, voltage("C"))["Sources off: time constant"].lines
    assert (left(seen), middle(seen)) == ("R_th", "R + R2 = R + R2")
    assert middle(tau) == "R_th·C = (R + R2)·C"


def test_a_dependent_source_asks_for_a_test_source():
    """1 A into node b, by hand: v/(2 Ω) + v/(2 Ω) − 0.5 S·v = 1 A with the gain turned to the node, so v = 2 V."""
    net = circuit(
        V("V1", "a", "g", 12),
        closes("S1", "a", "c"),
        R("R1", "c", "b", 2),
        R("R2", "b", "g", 2),
        dependent("D1", "g", "b", "current", "voltage", "0.5", ("b", "g")),
        C("C1", "b", "g", "0.1"),
    )
    step = board(net, voltage("C1"))["Sources off: time constant"]
    assert said(step)[-1].startswith("In place of C1, a test source drives 1 A into node b and takes it out of node g;")
    assert text(step)[0] == "node b: v_b/(2 Ω) + v_b/(2 Ω) − 0.5·v_b − 1 A = 0"
    assert values(step) == {"v_b": 2, "v_test": 2, "R_th": 2, "τ": pytest.approx(0.2)}
    drawn = {element.name: element.between for element in step.picture.circuit.elements}
    assert drawn == {"R1": ("g", "b"), "R2": ("b", "g"), "D1": ("g", "b"), "test source": ("g", "b")}
    assert step.picture.grounded


def test_storage_that_the_switch_separates_is_worked_as_two_first_order_circuits():
    """By hand: 20 mH over 5 + 15 ohm, 1 ms; 10 uF beside 5 + 5 ohm, 100 us; 2 A and 10 V carried over."""
    net = circuit(
        V("Vs", "p", "g", 20),
        R("R1", "p", "a", 5),
        opens("S1", "a", "c"),
        R("R4", "c", "g", 15),
        L("L1", "c", "d", "20e-3"),
        R("R2", "d", "g", 5),
        C("C1", "a", "e", "10e-6"),
        R("R3", "e", "g", 5),
    )
    steps = board(net, current("L1"), voltage("C1"), current("R3"))
    assert said(steps["Circuits of their own"])[0].startswith(("L1 and C1 do not act", "C1 and L1 do not act"))
    assert values(steps["Sources off: time constant of L1"]) == pytest.approx({"R_th": 20, "τ_L1": 1e-3})
    assert values(steps["Sources off: time constant of C1"]) == pytest.approx({"R_th": 10, "τ_C1": 1e-4})
    assert "Sources off: damping" not in steps
    assert [line.sides[1].text for line in steps["The response"].lines] == [
        "i_L1(∞) + (i_L1(0+) − i_L1(∞))·e^(−t/τ_L1)",
        "v_C1(∞) + (v_C1(0+) − v_C1(∞))·e^(−t/τ_C1)",
        "i_R3(∞) + (i_R3(0+) − i_R3(∞))·e^(−t/τ_C1)",
    ]


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
    assert " give s^2 + 2.33333·s + 1.66667 = 0, " in said(step)[0]
    assert text(step)[-6:-4] == [  # i' = u − 2 i − v, v' = i − v/3: −(a + d) = 2 + 1/3, a d − b c = 2/3 + 1
        "2·α = −(a + d) = 2 + 0.333333 = 2.33333",
        "ω0^2 = a·d − b·c = −2·(−0.333333) + 1 = 1.66667",
    ]


def test_switchings_one_after_another():
    """Each interval starts from the expression of the one before and counts its time from its own action."""
    net = circuit(
        V("V1", "a", "g", 10),
        closes("S1", "a", "b", "0", "1e-3"),
        R("R1", "b", "c", "1e3"),
        R("R2", "c", "g", "4e3"),
        C("C1", "c", "g", "1e-6"),
    )
    solved = solve(net)
    steps = worked_solution(net, solved, [voltage("C1")])
    assert [prose_text(step.heading) for step in steps] == [
        "Just before t = 0",
        "At t = 0+",
        "As t → ∞, if nothing acted any more",
        "Sources off: time constant",
        "The response",
        "Just before t = 1 ms",
        "At t = 1 ms+",
        "As t → ∞",
        "Sources off: time constant",
        "The response",
    ]
    assert values(steps[5])["v_C1(1 ms−)"] == pytest.approx(8 * (1 - math.exp(-1.25)))
    assert text(steps[5])[0] == "v_C1(1 ms−) = (8 − 8e^(−1250·1 ms)) V"  # 1 kΩ beside 4 kΩ, 1 μF: 0.8 ms
    last = steps[-1].lines[0]
    assert [side.text for side in last.sides[1:]] == [  # 8 V (1 − e^(−1.25)) at 1 ms
        "v_C1(∞) + (v_C1(1 ms+) − v_C1(∞))·e^(−(t − 1 ms)/τ)",
        "0 V + (5.708 V − 0 V)·e^(−(t − 1 ms)/(4 ms))",
    ]
    assert last.start == q("1e-3")


def test_higher_order_by_state_equations():
    """Equations, polynomial and roots."""
    net = circuit(
        V("V1", "a", "g", 0, ("0", 10)),
        R("R1", "a", "b", 1),
        L("L1", "b", "c", 1),
        C("C1", "c", "g", 1),
        R("R2", "c", "d", 2),
        C("C2", "d", "g", 1),
    )
    state = board(net, voltage("C2"))["State equations"]
    assert text(state)[:2] == ["di_L1/dt = −i_L1 − v_C1 + g(t)", "from the sources: g(t)"]
    assert text(state)[2:4] == ["dv_C1/dt = i_L1 − 0.5·v_C1 + 0.5·v_C2", "dv_C2/dt = 0.5·v_C1 − 0.5·v_C2"]
    assert "s^3 + 2·s^2 + 2·s + 0.5 = 0" in text(state)
    assert any("± j" in middle(line) for line in state.lines)


def test_jumps_are_told():
    """What passes at the action, and the states after it."""
    net = circuit(V("V1", "a", "g", 12), opens("S0", "a", "b"), C("C1", "b", "g", 2), closes("S1", "b", "c"), C("C2", "c", "g", 1), R("R1", "c", "g", 3))  # fmt: skip
    step = board(net, voltage("C1"))["At t = 0+"]
    assert "keeps the total charge" in said(step)[1]
    found = values(step)
    assert "passes S1: q" in text(step)
    assert found["q"] == 8
    kept = "charge at b: C1·v_C1(0−) + C2·v_C2(0−) = C1·v_C1(0+) + C2·v_C2(0+)"
    assert kept in text(step)
    assert step.lines[text(step).index(kept)].value.value() == 24  # 2 F at 12 V, 1 F empty
    assert found["v_C1(0+)"] == found["v_C2(0+)"] == 8


def test_the_flux_linkage_of_two_coils_on_one_loop_is_kept():
    """1 H with 12 V/(2 Ω) = 6 A is put in line with an empty 2 H: 6 Wb = (1 H + 2 H)·2 A."""
    net = circuit(V("V1", "a", "g", 12), R("R1", "a", "b", 2), L("L1", "b", "c", 1), opens("S1", "c", "g"), L("L2", "d", "c", 2), R("R2", "d", "g", 4))  # fmt: skip
    step = board(net, current("L2"))["At t = 0+"]
    kept = "flux linkage of L1 and L2: L1·i_L1(0−) − L2·i_L2(0−) = L1·i_L1(0+) − L2·i_L2(0+)"
    assert step.lines[text(step).index(kept)].value.value() == 6
    assert values(step)["i_L1(0+)"] == -values(step)["i_L2(0+)"] == 2
    assert "voltage impulse across S1: λ" in text(step)


def test_a_coil_coupled_to_one_that_is_cut_off_keeps_its_flux_linkage():
    """The primary's 12 V/(6 Ω) = 2 A end at once: 1 H·2 A = 2 Wb = 3 H·i_L2."""
    net = circuit(V("V1", "a", "g", 12), opens("S1", "a", "b"), R("R1", "b", "c", 6), L("L1", "c", "g", 2), L("L2", "d", "g", 3), R("R2", "d", "g", 4), coupled("K", "L1", "L2", 1))  # fmt: skip
    step = board(net, current("L2"))["At t = 0+"]
    kept = [one for one in text(step) if one.startswith("flux linkage")]
    assert kept == ["flux linkage of L2: L2·i_L2(0−) + M·i_L1(0−) = L2·i_L2(0+) + M·i_L1(0+)"]
    assert values(step)["i_L2(0+)"] == pytest.approx(2 / 3)


def test_two_capacitors_with_nothing_beside_them_stay_as_they_are():
    net = circuit(C("C1", "a", "g", 1, 12), closes("S1", "a", "b"), C("C2", "b", "g", 2, 0))
    steps = board(net, voltage("C1"))
    assert "v_C1(0+) = v_C2(0+) = 12 C/(1 F + 2 F)" in text(steps["At t = 0+"])
    assert said(steps["The response"]) == ["Nothing drives a current any more: everything stays as it is."]


def test_forced_response_of_a_sinusoid():
    """Natural and forced response apart; no final value."""
    net = circuit(V("V1", "a", "g", cos(TIME)), closes("S1", "a", "b"), R("R1", "b", "c", 1), C("C1", "c", "g", 1))
    steps = board(net, voltage("C1"))
    assert said(steps["As t → ∞"]) == ["The voltage of C1 keeps oscillating, so it has no final value."]
    *found, forced, whole = steps["The response"].lines
    assert [side.text for line in found for side in line.sides] == [
        "ω", "τ·v_C1' + v_C1", "v_C1,f(t)", "A·cos(ω·t) + B·sin(ω·t)", "A + ω·τ·B", "B − ω·τ·A", "A", "B",
    ]  # fmt: skip
    # τ = 1 s and ω = 1/s, by hand: A + B = 1 and B − A = 0.
    assert values(steps["The response"]) == {"ω": 1, "A + ω·τ·B": 1, "B − ω·τ·A": 0, "A": 0.5, "B": 0.5}
    assert left(forced) == "v_C1,f(t)"
    assert whole.value - forced.value == exp(-TIME).scaled(q("-1/2"))


def test_sources_away_from_ground_dependent_sources_and_op_amps():
    """Supernodes, controlled terms, and equal inputs."""
    net = circuit(
        I("I1", "g", "a", "5e-3"),
        R("R1", "a", "g", "1e3"),
        V("V2", "b", "a", 3),
        dependent("D1", "b", "g", "current", "voltage", "1e-3", ("a", "g")),
        closes("S1", "b", "d"),
        R("R3", "d", "e", 1000),
        L("L1", "e", "g", "0.1"),
    )
    lines = text(board(net, current("L1"))["As t → ∞"])
    assert lines[0] == "node a and b: −5 mA + v_a/(1 kΩ) + 0.001·v_a + v_b/(1 kΩ) = 0"
    assert lines[1] == "V2: v_b − v_a = 3 V"
    net = circuit(V("V1", "a", "g", 3), R("R1", "a", "n", "1e3"), op_amp("A1", "g", "n", "o"), R("R2", "n", "o", "2e3"), closes("S1", "n", "x"), C("C1", "x", "o", "1e-6"))  # fmt: skip
    lines = text(board(net, voltage("o", "g"))["As t → ∞"])
    assert lines[:2] == ["node n: (v_n − 3 V)/(1 kΩ) + (v_n − v_o)/(2 kΩ) = 0", "A1: v_n = 0"]


def test_products_and_roots_of_letters_are_written_as_on_a_board():
    names = ("R", "L")
    r, el = (Symbolic.symbol(name, names) for name in names)
    assert amount(r * q(2), RESISTANCE).text == "2·R"
    assert amount(r * r / el, RESISTANCE).text == "R^2/L"


def test_letters():
    """With letters for values the same lines stand there."""
    names = ("V", "R", "L")
    v, r, el = (Symbolic.symbol(name, names) for name in names)
    steps = board(circuit(V("V1", "a", "g", constant(v)), closes("S1", "a", "b"), R("R1", "b", "c", r), L("L1", "c", "g", el)), current("L1"))  # fmt: skip
    assert text(steps["At t = 0+"])[0] == "node c: (v_c − V)/R = 0"
    assert middle(steps["Sources off: time constant"].lines[-1]) == "L/R_th = L/R"
    last = steps["Sources off: time constant"].lines[-1]
    assert last.value == constant(el / r)
    assert [side.text for side in last.chain] == ["τ", "L/R_th", "L/R"]  # said once


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(circuits(storage=3))
def test_every_circuit_has_a_worked_solution(net):
    """For anything the solver solves, with the solver's own values at its end."""
    asked = [e.name for e in net.elements if e.name[0] in "RCL"]
    try:
        solved = solve(net)
        for index in range(1, len(solved.intervals)):
            solved.characteristic(index)
    except (CircuitError, NotDefined):
        assume(False)
    signals = [current(asked[0]), signal("power", asked[-1]), voltage(asked[-1])]
    steps = worked_solution(net, solved, signals)
    shown = [
        line.value
        for step in steps
        for line in step.lines
        if line.sides[0].text.endswith("(t)") and line.value is not None
    ]
    for index in range(1, len(solved.intervals)):
        for asked_signal in signals:
            assert solved.waveform(asked_signal, index) in shown
    assert all(step.heading and (step.sentences or step.lines) for step in steps)


def test_the_circuit_that_a_storage_element_looks_into_is_given_to_be_drawn():
    """6 ohm beside 12 ohm, and 4 ohm on the way to the coil: 4 + 4 = 8 ohm; the sources are gone."""
    picture = board(COIL, current("R2"))["Sources off: time constant"].picture
    assert picture.title == "Sources off: L1 and R3 + R1 ∥ R2"
    ends = {element.name: element.between for element in picture.circuit.elements}
    assert set(ends) == {"L1", "R1", "R2", "R3"}
    assert ends["R1"] == ends["R2"]
    assert {ends["R3"][0], ends["R1"][1]} == set(ends["L1"])
    assert ends["R3"][1] == ends["R1"][0]


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


def test_a_current_follows_from_the_node_voltages():
    """24 V over 6 ohm into 12 ohm beside 4 ohm: 8 V in the end, 2 A in the coil; a capacitor's current before its slope."""
    end = board(COIL, current("L1"), voltage("R3"))["As t → ∞"]
    assert "i_L1(∞) = v_n/(4 Ω)" in text(end)
    assert values(end)["i_L1(∞)"] == 2
    net = circuit(
        V("V1", "a", "g", 6), closes("S1", "a", "b"), R("R1", "b", "c", 3), C("C1", "c", "g", "0.5"),
        R("R2", "c", "d", 1), L("L1", "d", "g", 1),
    )  # fmt: skip
    lines = text(board(net, voltage("C1"))["The response v_C1(t)"])
    assert "i_C1(0+) = 6 V/(3 Ω)" in lines  # neither the capacitor's voltage nor the coil's current is there yet


def test_a_charge_stands_by_its_voltage():
    """10 V on 40 mF: 0.4 C."""
    net = circuit(V("V1", "a", "g", 0, ("0", 10)), R("R1", "a", "b", 6), C("C1", "b", "g", "0.04"))
    (charge,) = [
        line for line in board(net, Signal(kind="charge", of="C1"))["As t → ∞"].lines if left(line) == "q_C1(∞)"
    ]
    assert " = ".join(side.text for side in charge.chain) == "q_C1(∞) = C1·v_C1(∞) = 40 mF·10 V = 400 mC"


def test_what_charges_a_capacitor_at_first_is_named():
    """In a series circuit the coil's current, which is held; beside a source what the coil does not take of it."""
    series = circuit(
        V("V1", "a", "g", 0, ("0", 10)), R("R1", "a", "b", 6), L("L1", "c", "b", 1), C("C1", "c", "g", "0.04")
    )
    assert "i_C1(0+) = −i_L1(0+)" in text(board(series, voltage("C1"))["The response v_C1(t)"])
    beside = circuit(
        I("I1", "g", "a", 0, ("0", 2)), R("R1", "a", "g", 6), L("L1", "a", "g", 1), C("C1", "a", "g", "0.04")
    )
    assert "i_C1(0+) = I1 − i_L1(0+) = 2 A" in text(board(beside, voltage("C1"))["The response v_C1(t)"])


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
