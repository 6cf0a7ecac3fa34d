"""The circuit as a resistive one, the resistance seen, time constants and combined storage elements."""

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from grader.circuit.equivalent import equivalent_capacitance, equivalent_inductance
from grader.circuit.ports import resistance_between
from grader.circuit.resistance import resistance_seen, time_constant
from grader.circuit.response import solve
from grader.circuit.statics import OFF, OPEN, SHORT, as_current, as_voltage, dc, held_roles, scaled
from grader.errors import CircuitError, NotDefined
from grader.values.scalar import to_float
from grader.values.waveform import constant
from tests.circuit.building import (
    C,
    I,
    L,
    R,
    V,
    changeover,
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

# Invented: 24 V, R4 bridged by a switch, R1 to node n, there R2 to ground beside R3 in line with a coil.
COIL = circuit(
    V("Vs", "a", "g", 24),
    R("R4", "a", "m", 2),
    closes("S1", "a", "m"),
    R("R1", "m", "n", 6),
    R("R2", "n", "g", 12),
    R("R3", "n", "p", 4),
    L("L1", "p", "g", "0.08"),
)


def i2(static):
    return static.value(current("R2")).value()


def test_right_and_wrong_pictures():
    """All worked by hand with current dividers: before, at 0+, in the end, and circuits drawn wrongly."""
    il = solve(COIL).just_before(current("L1"))
    assert il == constant(q("18/11"))
    assert i2(dc(COIL, None)) == pytest.approx(0.54545454)
    assert i2(dc(COIL, q(0), held_roles(COIL, {"L1": il}))) == pytest.approx(0.78787879)
    assert i2(dc(COIL, q(0))) == pytest.approx(2 / 3)
    assert i2(dc(COIL, q(0), {"L1": OPEN})) == pytest.approx(4 / 3)
    assert i2(dc(COIL, q(0), {"L1": OPEN, "S1": OPEN, "Vs": scaled(q(-1))})) == pytest.approx(-1.2)
    assert i2(dc(COIL, q(0), {"Vs": OFF})) == 0
    assert i2(dc(COIL, q(0), {"L1": as_voltage(constant(q(24)))})) == pytest.approx(5 / 3)
    assert i2(dc(COIL, q(0), {"R2": SHORT, "L1": as_current(constant(q(1)))})) == pytest.approx(3)
    assert dc(COIL, q(0)).value(signal("energy", "L1")).value() == pytest.approx(0.16)


def test_changeover_thrown():
    """A changeover switch stands where its actions put it."""
    net = circuit(
        V("V1", "a", "g", 10),
        V("V2", "b", "g", 4),
        changeover("S1", "c", "a", ("0", "b")),
        R("R1", "c", "d", 1),
        R("R2", "d", "g", 1),
    )
    assert dc(net, None).value(voltage("R2")).value() == 5
    assert dc(net, q(0)).value(voltage("R2")).value() == 2


def test_sources_at_a_time():
    """Stepped and varying sources: the value they settle to, or that at a time."""
    from grader.values.functions import cos, exp
    from grader.values.waveform import TIME

    net = circuit(V("V1", "a", "g", 2, ("1", constant(q(5)) + exp(-TIME))), R("R1", "a", "g", 1))
    assert dc(net, None).value(current("R1")).value() == 2
    assert dc(net, q(1)).value(current("R1")).value() == 5
    assert dc(net, q(1), sources_at=q(1)).value(current("R1")) == constant(q(5)) + exp(constant(q(-1)))
    wave = circuit(V("V1", "a", "g", cos(TIME)), R("R1", "a", "g", 1))
    with pytest.raises(NotDefined, match="V1 delivers does not settle"):
        dc(wave, None)


def test_what_the_laws_leave_open():
    """Shorts side by side are no fault until their currents are asked for; contradictions are."""
    net = circuit(V("V1", "a", "g", 6), R("R1", "a", "b", 2), L("L1", "b", "g", 1), L("L2", "b", "g", 3))
    assert dc(net, None).value(current("R1")).value() == 3
    with pytest.raises(NotDefined, match="L1 and L2 form a loop without resistance"):
        dc(net, None).value(current("L1"))
    with pytest.raises(CircuitError, match="V1, R1 and L1 form a loop"):
        dc(net, None, {"R1": SHORT})


def test_resistance_seen():
    """Thévenin resistances worked by hand."""
    assert resistance_seen(COIL, 0) == q("8.8")
    assert resistance_seen(COIL) == 8
    assert time_constant(COIL) == q("0.01")
    assert resistance_seen(COIL, by="Vs") == 9
    assert resistance_seen(COIL, treat={"Vs": OPEN}) == 16
    assert resistance_seen(COIL, treat={"R3": SHORT}) == 4
    assert resistance_between(COIL, ("n", "g"), q(0), {"L1": OPEN}) == 4
    with pytest.raises(NotDefined, match="no finite resistance is seen"):
        resistance_between(COIL, ("p", "g"), q(0), {"R3": OPEN, "L1": OPEN})


def test_dependent_sources_work_on():
    """A capacitor beside R1 and a source that draws g v: 1/R = 1/R1 + g; a gain may turn it negative."""
    for gain, expected in (("1/4", "4/3"), ("-3/4", "-4")):
        net = circuit(
            V("V1", "a", "g", 1),
            R("R1", "a", "b", 2),
            dependent("D1", "b", "g", "current", "voltage", gain, ("b", "g")),
            C("C1", "b", "g", 3, 0),
        )
        assert resistance_seen(net) == q(expected)
    assert resistance_seen(net, treat={"D1": OFF}) == 2
    with pytest.raises(NotDefined, match="grows"):
        time_constant(net)


def test_op_amp_stage_sees_its_feedback_resistance():
    """Inverting stage with R2 beside C: τ = R2 C, the input resistance without say."""
    net = circuit(
        V("V1", "a", "g", 0, ("0", 1)),
        R("R1", "a", "n", 5),
        op_amp("A1", "g", "n", "o"),
        R("R2", "n", "o", 3),
        C("C1", "n", "o", 2),
    )
    assert resistance_seen(net) == 3
    assert time_constant(net) == 6


def test_several_storage_elements_as_one():
    """In series, in parallel, coupled, and with resistances between them."""
    spread = circuit(
        V("V1", "a", "g", 24), R("R1", "a", "b", 6), L("L1", "b", "c", 2), R("R2", "c", "d", 12), L("L2", "d", "g", 4)
    )
    assert equivalent_inductance(spread) == 6
    assert resistance_seen(spread) == 18
    assert time_constant(spread) == q("1/3")
    opposed = circuit(*spread.elements, coupled("M1", "L1", "L2", "-1"))
    assert equivalent_inductance(opposed) == 4
    assert resistance_seen(opposed) == 18
    beside = circuit(I("I1", "g", "a", 1), R("R1", "a", "g", 6), L("L1", "a", "g", 2), L("L2", "a", "g", 4))
    assert equivalent_inductance(beside) == q("4/3")
    assert resistance_seen(beside) == 6
    assert time_constant(beside) == q("2/9")
    caps = circuit(
        V("V1", "a", "g", 24), R("R1", "a", "b", 6), C("C1", "b", "c", 2), R("R2", "c", "d", 12), C("C2", "d", "g", 4)
    )
    assert equivalent_capacitance(caps) == q("4/3")
    assert equivalent_capacitance(caps, "V1") == q("4/3")
    assert resistance_seen(caps) == 18
    mixed = circuit(
        V("V1", "a", "g", 9), R("R1", "a", "b", 5), C("C1", "b", "c", 3), C("C2", "c", "g", 6), C("C3", "b", "g", 1)
    )
    assert equivalent_capacitance(mixed) == 3
    assert resistance_seen(mixed) == 5
    assert time_constant(mixed) == 15


@pytest.mark.parametrize(
    "coupling, dots, expected",
    [("1/2", 1, 7), ("1/2", -1, 5), (None, 1, 6)],
)
def test_coupled_coils_in_series(coupling, dots, expected):
    """L1 + L2 ± 2M (common practice, no source)."""
    second = ("b", "g") if dots > 0 else ("g", "b")
    elements = [I("I1", "g", "a", 0), L("L1", "a", "b", 2), L("L2", *second, 4)]
    if coupling:
        elements.append(coupled("M1", "L1", "L2", coupling))
    assert equivalent_inductance(circuit(*elements), "I1") == expected
    assert equivalent_inductance(circuit(*elements), ("a", "g")) == expected


def test_coupled_coils_in_parallel():
    """(L1 L2 − M²)/(L1 + L2 − 2M) (common practice, no source)."""
    net = circuit(I("I1", "g", "a", 0), L("L1", "a", "g", 2), L("L2", "a", "g", 4), coupled("M1", "L1", "L2", 1))
    assert equivalent_inductance(net, "I1") == q("7/4")


KY = "K. K. Yousafzai, Electric Circuits (Urdu textbook, LaTeX source), chapter on capacitors and inductors, end problems"


def test_published_combinations():
    """Series and parallel capacitors and inductors: one reading of the source each (weak)."""
    beside = [C(f"C{c}", "a", "g", f"{c}e-6") for c in (10, 2, 7, 3)]
    assert equivalent_capacitance(circuit(*beside), ("a", "g")) == q("22e-6"), KY
    chain = [L(f"L{k}", f"n{k}", f"n{k + 1}", value) for k, value in enumerate(("12e-3", "3e-3", "7e-3", "5e-3"))]
    assert equivalent_inductance(circuit(*chain, ground="n4"), ("n0", "n4")) == q("27e-3"), KY
    divided = solve(circuit(V("V1", "a", "g", 21), C("C1", "a", "b", "6e-6"), C("C2", "b", "g", "12e-6")))
    assert divided.just_after(voltage("C1")) == constant(q(14)), KY
    assert divided.just_after(voltage("C2")) == constant(q(7)), KY


def test_published_stored_energy():
    """OpenStax, University Physics Volume 2, chapter 10: two capacitors long after closing, 0.72 J and 0.338 J."""
    solved = solve(
        circuit(
            V("V1", "a", "g", 12),
            closes("S1", "a", "x"),
            R("R1", "x", "b", 100),
            C("C1", "b", "c", "10e-3"),
            R("R2", "c", "g", 100),
            R("R3", "b", "d", 100),
            C("C2", "d", "g", "4.7e-3"),
        )
    )
    assert solved.final(signal("energy", "C1")).value() == pytest.approx(0.72, abs=5e-3)
    assert solved.final(signal("energy", "C2")).value() == pytest.approx(0.338, abs=5e-4)


def test_not_one_storage_element():
    """Said by name, and `by` picks one; its own time constant where it has one."""
    net = circuit(
        V("V1", "a", "g", 0, ("0", 1)),
        R("R1", "a", "b", 1),
        C("C1", "b", "g", 1),
        R("R2", "a", "c", 2),
        C("C2", "c", "g", 3),
    )
    with pytest.raises(CircuitError, match="C1, C2 do not act as one storage element"):
        resistance_seen(net)
    with pytest.raises(NotDefined, match="no single time constant"):
        time_constant(net)
    assert resistance_seen(net, by="C2") == 2
    assert time_constant(net, by="C2") == 6
    assert time_constant(net, by="C1") == 1
    rlc = circuit(V("V1", "a", "g", 0, ("0", 1)), R("R1", "a", "b", 1), L("L1", "b", "c", 1), C("C1", "c", "g", 1))
    with pytest.raises(NotDefined, match="2 natural exponentials"):
        time_constant(rlc, by="C1")


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(circuits(storage=1))
def test_one_storage_element_has_the_time_constant_of_what_it_sees(net):
    """τ = R C or L/R, R found by sending in a current, τ from the characteristic root: two independent ways."""
    stored = [e for e in net.elements if e.name[0] in "CL"]
    assume(stored)
    try:
        solved = solve(net)
        seen, tau = resistance_seen(net), time_constant(net)
    except (CircuitError, NotDefined):
        assume(False)
    value = stored[0].value
    assert tau == (seen * value if stored[0].name.startswith("C") else value / seen)
    assert to_float(tau) > 0
    assert solved.characteristic().order == 1


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(circuits(storage=3), st.integers(0, 2))
def test_first_instant_by_two_ways(net, which):
    """Values at 0+ from the state equations are those of the resistive circuit with the states held."""
    try:
        solved = solve(net)
        index = min(which + 1, len(solved.stages))
        names = [e.name for e in net.elements if e.name[0] in "CL"]
        states = {n: solved.just_after((voltage if n[0] == "C" else current)(n), index) for n in names}
        start = solved.intervals[index].start
        picture = dc(net, start, held_roles(net, states), sources_at=start)
        shown = {e.name: picture.value(current(e.name)) for e in net.elements if e.name.startswith("R")}
    except (CircuitError, NotDefined):
        assume(False)  # constraints among the states: held values alone do not settle it
    for name, value in shown.items():
        difference = value - solved.just_after(current(name), index)
        assert abs(difference.value()) < 1e-9
        assert not difference.exact or not difference.terms


def test_opening_switch_changes_what_is_seen():
    """Interval by interval."""
    net = circuit(V("V1", "a", "g", 1), opens("S1", "a", "b", "0", "1"), R("R1", "b", "c", 2), R("R2", "c", "g", 2), C("C1", "c", "g", 1))  # fmt: skip
    assert [resistance_seen(net, k) for k in (0, 1, 2)] == [1, 2, 1]
    assert [time_constant(net, k) for k in (0, 1, 2)] == [1, 2, 1]
