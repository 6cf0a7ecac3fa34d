"""What jumps and what is kept at a switching, on the board."""

import math

import pytest

from grader.circuit.response import solve
from grader.solution import prose_text, worked_solution
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
    op_amp,
    opens,
    q,
    voltage,
)

from .boards import board, said, text, values


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
    steps = worked_solution(solved, [voltage("C1")])
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


def test_the_input_of_an_op_amp_brings_no_charge():
    """2 F at 6 V and 1 F empty, both from the output to the inverting input: 12 C/3 F = 4 V, counted from either end."""
    net = circuit(op_amp("A1", "g", "n", "o"), R("R1", "g", "n", 5), R("R2", "o", "n", 4), C("C1", "o", "n", 2, 6), closes("S1", "o", "p"), C("C2", "p", "n", 1, 0))  # fmt: skip
    step = board(net, voltage("C1"))["At t = 0+"]
    assert "charge at n: −C1·v_C1(0−) − C2·v_C2(0−) = −C1·v_C1(0+) − C2·v_C2(0+)" in text(step)
    assert "v_C1(0+) = v_C2(0+) = 12 C/(2 F + 1 F)" in text(step)
    assert values(step)["v_C1(0+)"] == 4


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
