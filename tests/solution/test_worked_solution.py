"""The worked solution: what stands on the board, line by line, and that it never contradicts the solver."""

import pytest
from hypothesis import HealthCheck, assume, given, settings

from grader.circuit.elements import Signal
from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined
from grader.solution import worked_solution
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
    current,
    dependent,
    op_amp,
    opens,
    q,
    signal,
    transformer,
    voltage,
)
from tests.circuit.test_against_integration import circuits
from tests.circuit.test_resistive_views import COIL

from .boards import board, left, middle, said, text, values


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


def test_what_stands_behind_a_transformer_is_reflected():
    """12 Ω behind two turns for one count as 12/2² = 3 Ω: 7 Ω, and 70 mH make 10 ms of it."""
    net = circuit(
        V("V1", "a", "g", 28),
        closes("S1", "a", "b"),
        R("R1", "b", "c", 12),
        transformer("T1", ("c", "g"), ("d", "g"), 2),
        R("R2", "d", "e", 4),
        L("L1", "e", "g", "0.07"),
    )
    step = board(net, current("L1"))["Sources off: time constant"]
    assert text(step)[0] == "R_th = R2 + R1/2^2 = 4 Ω + 12 Ω/2^2"
    assert values(step) == {"R_th": 7, "τ": pytest.approx(0.01)}
    assert said(step)[-1] == "Seen through an ideal transformer, a resistance changes by the square of the turns ratio."
    assert [(e.name, getattr(e, "value", None)) for e in step.picture.circuit.elements][1:] == [("R2", 4), ("R1/2²", 3)]


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
    assert text(step)[0] == "node b: v_b/(2 Ω) + v_b/(2 Ω) − 500 mS·v_b − 1 A = 0"
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


def test_forced_response_of_a_sinusoid():
    """Natural and forced response apart; no final value."""
    net = circuit(V("V1", "a", "g", cos(TIME)), closes("S1", "a", "b"), R("R1", "b", "c", 1), C("C1", "c", "g", 1))
    steps = board(net, voltage("C1"))
    assert said(steps["As t → ∞"]) == ["The voltage of C1 keeps oscillating, so it has no final value."]
    *found, forced, whole = steps["The response"].lines
    assert [side.text for line in found for side in line.sides] == [
        "ω", "τ·v_C1' + v_C1", "v_C1,f(t)", "A·cos(ω·t) + B·sin(ω·t)", "A + ω·τ·B", "B − ω·τ·A", "A", "B",
        "A·cos(ω·t) + B·sin(ω·t)", "M·cos(ω·t + φ)", "M", "√(A^2 + B^2)", "707.1 mV", "cos(φ)", "A/M", "0.7071",
        "sin(φ)", "−B/M", "−0.7071", "φ", "−45 °",
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
    assert lines[0] == "node a and b: −5 mA + v_a/(1 kΩ) + 1 mS·v_a + v_b/(1 kΩ) = 0"
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
    steps = worked_solution(solved, signals)
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


def test_a_short_joins_two_nodes_and_the_board_says_so():
    """By hand: 10 V over 5 ohm, a coil and 3 ohm times the current of R1: 10 = 5 i + 3 i, i = 1.25 A; E1 is at node d."""
    net = circuit(
        V("V1", "a", "g", 10),
        closes("S1", "a", "b"),
        R("R1", "b", "c", 5),
        L("L1", "c", "d", "0.1"),
        dependent("E1", "d", "g", "voltage", "current", "3", "R1"),
    )
    end = board(net, voltage("L1"), current("L1"))["As t → ∞"]
    assert text(end)[:2] == ["v_d = v_c", "E1: v_c = 3 Ω·i_R1"]
    assert "v_L1(∞)" in text(end)  # its value alone, no difference of the same voltage
    assert values(end)["i_L1(∞)"] == pytest.approx(1.25)
