"""Circuits without a unique finite response: each with the sentence that says why, and the elements named."""

import pytest

from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined
from grader.values.functions import cos, exp
from grader.values.waveform import TIME
from tests.circuit.building import C, I, L, R, V, circuit, closes, coupled, current, dependent, op_amp, opens, voltage

LOOP = "form a loop whose voltages do not add up to zero"
ANY = "form a loop without resistance in which any current could flow"
REST = "there is no steady state before the first action"

REFUSED = {
    "two unequal sources side by side": (
        [V("V1", "a", "g", 5), V("V2", "a", "g", 6), R("R1", "a", "g", 1)],
        ("V1", "V2"),
        LOOP,
    ),
    "two equal sources side by side": (
        [V("V1", "a", "g", 5), V("V2", "a", "g", 5), R("R1", "a", "g", 1)],
        ("V1", "V2"),
        ANY,
    ),
    "a source short-circuited by a switch": (
        [V("V1", "a", "g", 5), closes("S1", "a", "g"), R("R1", "a", "g", 1)],
        ("V1", "S1"),
        LOOP,
    ),
    "three sources in a ring through a closed switch": (
        [
            V("V1", "a", "g", 5),
            V("V2", "b", "a", 1),
            opens("S1", "b", "c"),
            V("V3", "c", "g", 7),
            R("R1", "c", "g", 1),
        ],
        ("V1", "V2", "S1", "V3"),
        LOOP,
    ),
    "two closed switches side by side": (
        [V("V1", "a", "g", 1), R("R1", "a", "b", 2), opens("S1", "b", "g"), opens("S2", "b", "g")],
        ("S1", "S2"),
        ANY,
    ),
    "a current source into an open switch": (
        [I("I1", "g", "a", 5), opens("S1", "a", "b"), R("R1", "b", "g", 1)],
        ("I1", "S1"),
        "current source I1 has no path for its current while switch S1 is open",
    ),
    "two current sources in series": (
        [I("I1", "g", "a", 1), I("I2", "a", "g", 2), R("R1", "a", "b", 1)],
        ("I1", "I2"),
        "current sources I1 and I2 are in series and their currents do not agree",
    ),
    "an inductor across a source since ever": (
        [V("V1", "a", "g", 5), L("L1", "a", "g", 2)],
        ("L1",),
        f"{REST}: the current of L1 would have grown without bound",
    ),
    "an inductor between two sources since ever": (
        [
            V("V1", "a", "g", 5),
            L("L1", "a", "b", 1),
            V("V2", "b", "g", 3),
            closes("S1", "b", "c"),
            R("R1", "c", "g", 1),
        ],
        ("L1",),
        REST,
    ),
    "a capacitor fed by a current source since ever": (
        [I("I1", "g", "a", 5), C("C1", "a", "g", 2)],
        ("C1",),
        f"{REST}: the voltage of C1 would have grown without bound",
    ),
    "resonance since ever": (
        [V("V1", "a", "g", cos(TIME)), L("L1", "a", "b", 1), C("C1", "b", "g", 1)],
        ("L1", "C1"),
        REST,
    ),
    "a source that decays since ever": (
        [V("V1", "a", "g", exp(-TIME)), R("R1", "a", "b", 1), C("C1", "b", "g", 1)],
        ("V1",),
        "V1 has been growing or decaying for all past time",
    ),
    "an unstable circuit driven since ever": (
        [V("V1", "a", "g", 1), R("R1", "a", "b", -1), C("C1", "b", "g", 1)],
        ("R1",),
        f"{REST}: the natural response grows because of R1",
    ),
    "an op amp without feedback": (
        [V("V1", "a", "g", 1), R("R1", "a", "n", 2), op_amp("A1", "g", "n", "o"), R("R2", "o", "g", 1)],
        ("V1", "R1", "A1"),
        "nothing lets op amp A1 hold its inputs at one voltage",
    ),
    "a dependent source that cancels a resistance": (
        [V("V1", "a", "g", 1), R("R1", "a", "b", 1), dependent("D1", "g", "b", "current", "voltage", 1, ("b", "g"))],
        ("V1", "R1", "D1"),
        "with its gain the dependent source D1 leaves no finite solution",
    ),
    "perfectly coupled coils side by side on a source": (
        [V("V1", "a", "g", 0), L("L1", "a", "g", 1), L("L2", "a", "g", 1), coupled("M1", "L1", "L2", 1)],
        ("L1", "L2"),
        "how the current divides among L1 and L2 is not determined",
    ),
    "a capacitance of zero": ([V("V1", "a", "g", 1), R("R1", "a", "b", 1), C("C1", "b", "g", 0)], ("C1",), "positive"),
    "a coupling of something else": (
        [V("V1", "a", "g", 1), R("R1", "a", "b", 1), L("L1", "b", "g", 1), coupled("M1", "L1", "R1", 3)],
        ("M1",),
        "it must name two inductors",
    ),
    "a control that is not there": (
        [V("V1", "a", "g", 1), dependent("D1", "a", "b", "voltage", "current", 2, "R9"), R("R1", "b", "g", 1)],
        ("D1",),
        "D1 is controlled by 'R9'",
    ),
    "a coupling of more than one": (
        [
            V("V1", "a", "g", 1),
            R("R1", "a", "b", 1),
            L("L1", "b", "g", 1),
            L("L2", "c", "g", 4),
            coupled("M1", "L1", "L2", 3),
        ],
        ("M1",),
        "by more than one",
    ),
}


@pytest.mark.parametrize("title", REFUSED)
def test_refused(title):
    """The circuit is refused with its sentence and the elements responsible."""
    elements, names, words = REFUSED[title]
    with pytest.raises(CircuitError) as caught:
        solve(circuit(*elements))
    assert words in str(caught.value)
    assert caught.value.elements == names
    assert all(name in str(caught.value) for name in names if name != "R1")


def test_a_voltage_across_a_gap_is_not_defined():
    """Within a floating part voltages are defined, against the rest they are not."""
    solved = solve(circuit(V("V1", "a", "g", 1), R("R1", "a", "g", 2), R("R2", "x", "y", 1), C("C1", "x", "y", 1, 3)))
    assert solved.just_after(voltage("x", "y")).value() == 3
    with pytest.raises(NotDefined, match="nothing refers nodes 'x' and 'y' to the rest of the circuit"):
        solved.waveform(voltage("x", "a"))


def test_a_transformer_with_a_floating_secondary():
    """Currents and voltages within the secondary need no connection to ground."""
    solved = solve(
        circuit(
            V("V1", "a", "g", 0, ("0", 10)),
            R("R1", "a", "b", 1),
            L("L1", "b", "g", 4),
            L("L2", "c", "d", 1),
            R("R2", "c", "d", 1),
            coupled("M1", "L1", "L2", 2),
        )
    )
    # Perfect coupling: 10 V divide between 1 ohm and 4 ohm (1 ohm seen through two to one), worked by hand.
    assert solved.just_after(voltage("R2")).value() == pytest.approx(4)
    assert solved.characteristic().time_constant == 5


@pytest.mark.parametrize(
    "elements, asked, words",
    [
        ([V("V1", "a", "g", 0, ("0", 5)), L("L1", "a", "g", 2)], current("L1"), "grows without bound"),
        (
            [V("V1", "a", "g", 12), closes("S1", "a", "b"), L("L1", "b", "c", 1), C("C1", "c", "g", 1)],
            voltage("C1"),
            "keeps oscillating",
        ),
        ([V("V1", "a", "g", 0, ("0", 1)), R("R1", "a", "b", -1), C("C1", "b", "g", 1)], voltage("C1"), "grows"),
        ([V("V1", "a", "g", 0, ("0", cos(TIME))), L("L1", "a", "b", 1), C("C1", "b", "g", 1)], voltage("C1"), "grows"),
    ],
)
def test_no_final_value(elements, asked, words):
    """A response that grows or never settles has a waveform but no final value."""
    solved = solve(circuit(*elements))
    assert solved.waveform(asked).terms
    with pytest.raises(NotDefined, match=words):
        solved.final(asked)


def test_an_isolated_capacitor_is_taken_as_uncharged_and_said_so():
    """Only where nothing at all can charge it: a source that happens to deliver nothing is no reason for a note."""
    isolated = solve(circuit(V("V1", "a", "g", 5), R("R1", "a", "b", 1), closes("S1", "b", "c"), C("C1", "c", "g", 2)))
    assert isolated.notes == ("before the first action no current can reach C1, so it is taken as uncharged",)
    assert not isolated.just_before(voltage("C1")).terms
    resting = solve(circuit(V("V1", "a", "g", 0, ("0", 5)), R("R1", "a", "b", 1), C("C1", "b", "g", 2)))
    assert resting.notes == ()
    shorted = solve(circuit(V("V1", "a", "g", 1), R("R1", "a", "b", 2), L("L1", "b", "g", 1), opens("S1", "b", "g")))
    assert shorted.notes == ("before the first action no voltage can reach L1, so it is taken to carry no current",)
    given = solve(circuit(R("R1", "a", "b", 1), closes("S1", "b", "c"), C("C1", "c", "g", 2, 7), R("R2", "a", "g", 1)))
    assert given.notes == ()
    assert given.just_before(voltage("C1")).value() == 7


def test_signals_the_circuit_does_not_have():
    """A wrong name or a wrong kind is one sentence."""
    solved = solve(circuit(V("V1", "a", "g", 5), R("R1", "a", "b", 1), C("C1", "b", "g", 2)))
    from circuit.building import signal

    for wrong, words in [
        (current("R9"), "no element 'R9'"),
        (voltage("a", "z"), "no node 'z'"),
        (signal("energy", "R1"), "'R1' has no energy"),
        (signal("flux", "C1"), "'C1' has no flux"),
    ]:
        with pytest.raises(CircuitError, match=words):
            solved.waveform(wrong)
