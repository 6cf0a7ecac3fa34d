"""Laws every response obeys: Kirchhoff's laws, conservation of energy, continuity of the states, scaling."""

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from grader.circuit.elements import (
    Capacitor,
    CoupledInductors,
    IdealOpAmp,
    IdealTransformer,
    Inductor,
    Resistor,
    Switch,
)
from grader.circuit.network import branch
from grader.circuit.response import MAX_CONSTANTS, _carried, solve
from grader.errors import CircuitError, NotDefined
from grader.values.functions import exp
from grader.values.symbolic import Symbolic
from grader.values.waveform import Waveform, constant
from tests.circuit.building import C, L, R, V, circuit, closes, coupled, current, q, signal, voltage
from tests.circuit.test_against_integration import circuits

LOOSE = settings(max_examples=25, suppress_health_check=list(HealthCheck))


def solved_or_skip(net):
    try:
        return solve(net)
    except CircuitError:
        assume(False)


def is_zero(waveform: Waveform, start) -> bool:
    """Exactly zero where exact; else to rounding at some times of its interval (the coefficients carry 50 digits)."""
    if waveform.exact:
        return not waveform.terms
    return all(abs(waveform.value(float(start.p) / float(start.q) + t)) < 1e-9 for t in (0.0, 0.4, 1.3))


@LOOSE
@given(circuits(storage=2))
def test_kirchhoff_laws_hold_exactly(net):
    """Currents into every node and voltages of every element, as waveforms."""
    solved = solved_or_skip(net)
    for index in range(1, len(solved.intervals)):
        where, start = solved.reduced(index).where, solved.intervals[index].start
        sums: dict[str, Waveform] = {}
        for element in net.elements:
            if isinstance(element, CoupledInductors):
                continue
            a, b = branch(net, element, where)
            flowing = solved.waveform(current(element.name), index)
            sums[a] = sums.get(a, Waveform()) + flowing
            sums[b] = sums.get(b, Waveform()) - flowing
            if isinstance(element, IdealTransformer):  # its other winding carries -n times the current of the first
                a, b = element.secondary
                sums[a] = sums.get(a, Waveform()) - flowing.scaled(element.ratio)
                sums[b] = sums.get(b, Waveform()) + flowing.scaled(element.ratio)
            across = solved.waveform(voltage(element.name), index)
            if isinstance(element, Resistor):
                assert is_zero(across - flowing.scaled(element.value), start)
            if isinstance(element, Capacitor):
                assert is_zero(flowing - across.derivative().scaled(element.value), start)
            if isinstance(element, Switch):
                assert is_zero(across if where[element.name] else flowing, start)
        assert all(is_zero(total, start) for node, total in sums.items() if node != "g")


@LOOSE
@given(circuits(storage=2))
def test_power_adds_up_to_zero(net):
    """Tellegen: what the sources deliver is what the rest takes, at every instant (an op amp's output delivers too)."""
    assume(not any(isinstance(e, IdealOpAmp) and e.non_inverting == e.output for e in net.elements))
    solved = solved_or_skip(net)
    for index in range(1, len(solved.intervals)):
        # An ideal transformer takes no power in all.
        names = [e.name for e in net.elements if not isinstance(e, CoupledInductors | IdealTransformer)]
        total = Waveform()
        for name in names:
            total = total + solved.waveform(signal("power", name), index)
        assert is_zero(total, solved.intervals[index].start)


@LOOSE
@given(circuits(storage=3))
def test_stored_energy_changes_by_the_power_taken(net):
    """d/dt of all stored energy is the power that all storage elements take."""
    solved = solved_or_skip(net)
    for index in range(1, len(solved.intervals)):
        energy, power = Waveform(), Waveform()
        coupled_ones = {n for e in net.elements if isinstance(e, CoupledInductors) for n in e.inductors}
        for element in net.elements:
            if isinstance(element, CoupledInductors) or (
                isinstance(element, Capacitor | Inductor) and element.name not in coupled_ones
            ):
                energy = energy + solved.waveform(signal("energy", element.name), index)
            if isinstance(element, Capacitor | Inductor):
                power = power + solved.waveform(signal("power", element.name), index)
        assert is_zero(energy.derivative() - power, solved.intervals[index].start)


@LOOSE
@given(circuits(storage=4))
def test_states_do_not_jump_without_an_impulse(net):
    """Capacitor voltages and inductor currents are the same on both sides of every action."""
    solved = solved_or_skip(net)
    impulsive = {impulse.time for impulse in solved.impulses}
    for index, interval in enumerate(solved.intervals):
        if index == 0 or interval.start in impulsive:
            continue
        for element in net.elements:
            if isinstance(element, Capacitor | Inductor):
                asked = (voltage if isinstance(element, Capacitor) else current)(element.name)
                gap = solved.just_after(asked, index) - solved.just_before(asked, index)
                assert abs(gap.value()) < 1e-9


@LOOSE
@given(circuits(storage=2), st.sampled_from(["2", "1/3", "10"]))
def test_impedance_scaling(net, factor):
    """Resistances and inductances times k, capacitances over k: voltages driven by voltage sources stay."""
    from msgspec.structs import replace

    assume(not any(type(e).__name__ in ("CurrentSource", "DependentSource") for e in net.elements))
    k = q(factor)
    changed = []
    for e in net.elements:
        if isinstance(e, Resistor):
            changed.append(replace(e, value=e.value * k))
        elif isinstance(e, Inductor):
            changed.append(replace(e, value=e.value * k, initial=e.initial / k))
        elif isinstance(e, Capacitor):
            changed.append(replace(e, value=e.value / k))
        elif isinstance(e, CoupledInductors):
            changed.append(replace(e, mutual=e.mutual * k))
        else:
            changed.append(e)
    before, after = solved_or_skip(net), solve(replace(net, elements=tuple(changed)))
    for index in range(1, len(before.intervals)):
        for name in (e.name for e in net.elements if isinstance(e, Resistor)):
            assert is_zero(
                before.waveform(voltage(name), index) - after.waveform(voltage(name), index),
                before.intervals[index].start,
            )


def test_final_value_is_what_the_waveform_tends_to():
    """After many time constants."""
    solved = solve(circuit(V("V1", "a", "g", 0, ("0", 9)), R("R1", "a", "b", 2), L("L1", "b", "g", "1/2")))
    assert solved.final(current("L1")).value() == pytest.approx(solved.waveform(current("L1")).value(20), rel=1e-12)


@pytest.mark.parametrize("multiples, reached", [(1, 0.632), (2, 0.865), (3, 0.950), (4, 0.982), (5, 0.993)])
@pytest.mark.parametrize(
    "net, asked",
    [
        (circuit(V("V1", "a", "g", 0, ("0", 1)), R("R1", "a", "b", 3), C("C1", "b", "g", "1/7")), voltage("C1")),
        (circuit(V("V1", "a", "g", 0, ("0", 3)), R("R1", "a", "b", 3), L("L1", "b", "g", "5/2")), current("L1")),
    ],
)
def test_universal_time_constant_figures(net, asked, multiples, reached):
    """63.2 % after one time constant … 99.3 % after five, 36.8 % left after one.

    US Army subcourse MM07047, percent of the source on a charging capacitor (1, 2, 4, 5 time constants); OpenStax,
    University Physics Volume 2, sections 10.5 and 14.4 (0.632 and 0.368); three time constants recomputed.
    """
    solved = solve(net)
    tau = solved.characteristic().time_constant
    found = solved.waveform(asked).at(tau * multiples).value()
    assert found == pytest.approx(reached, abs=5e-4)
    assert 1 - found == pytest.approx(1 - reached, abs=5e-4)


def test_energy_of_coupled_coils():
    """½L1i1² + ½L2i2² + M i1 i2, and what the resistances take in all is what was stored."""
    net = circuit(
        L("L1", "a", "g", 2, 3),
        R("R1", "a", "g", 1),
        L("L2", "b", "g", 4, -1),
        R("R2", "b", "g", 2),
        coupled("M1", "L1", "L2", 1),
    )
    solved = solve(net)
    assert solved.just_after(signal("energy", "M1")) == constant(q("8"))  # 9 + 2 - 3
    taken = 0.0
    for name in ("R1", "R2"):
        integral = solved.waveform(signal("power", name)).antiderivative()
        taken += integral.limit().value() - integral.at(q(0)).value()
    assert taken == pytest.approx(8)


def test_source_energy_is_dissipated_and_stored():
    """Charging a capacitor through a resistance: half of what the source gives is lost, whatever the resistance."""
    for resistance in ("1", "50", "1/3"):
        solved = solve(
            circuit(V("V1", "a", "g", 0, ("0", 10)), R("R1", "a", "b", resistance), C("C1", "b", "g", "1/4"))
        )
        lost = solved.waveform(signal("power", "R1")).antiderivative()
        assert lost.limit().value() - lost.at(q(0)).value() == pytest.approx(0.5 * 0.25 * 100)
        assert solved.final(signal("energy", "C1")).value() == pytest.approx(0.5 * 0.25 * 100)


def test_several_actions_one_after_another():
    """Closing, opening and closing again equals solving by hand interval by interval (first order, worked here)."""
    solved = solve(
        circuit(V("V1", "a", "g", 10), R("R1", "a", "b", 1), closes("S1", "b", "c", "0", "1", "3"), R("R2", "c", "g", 4), C("C1", "c", "g", 1))
    )  # fmt: skip
    import math

    v1 = 8 * (1 - math.exp(-1 / 0.8))
    v2 = v1 * math.exp(-2 / 4)
    v3 = 8 + (v2 - 8) * math.exp(-(5 - 3) / 0.8)
    assert solved.waveform(voltage("C1"), 1).value(1) == pytest.approx(v1)
    assert solved.waveform(voltage("C1"), 2).value(3) == pytest.approx(v2)
    assert solved.waveform(voltage("C1"), 3).value(5) == pytest.approx(v3)
    assert solved.waveform(voltage("C1"), 3).exact


def test_many_actions():
    """Twelve actions on a second-order circuit: exact as long as that is short, close to integration throughout."""
    from circuit.float_nodal import FloatCircuit

    times = [str(k) + "/10" for k in range(12)]
    net = circuit(
        V("V1", "a", "g", 10),
        closes("S1", "a", "b", *times),
        R("R1", "b", "c", 1),
        L("L1", "c", "d", "1/20", 0),
        C("C1", "d", "g", "1/10", 0),
        R("R2", "d", "g", 3),
        R("R3", "b", "g", 2),
    )
    solved = solve(net)
    import numpy as np

    x = np.zeros(2)
    for index, interval in enumerate(solved.intervals[1:], start=1):
        start = float(interval.start.p) / float(interval.start.q)
        end = start + 0.1
        x = FloatCircuit(net, start).run(x, start, [start, end])[-1]
        assert solved.waveform(current("L1"), index).value(end) == pytest.approx(x[0], abs=1e-7)
        assert solved.waveform(voltage("C1"), index).value(end) == pytest.approx(x[1], abs=1e-7)
    assert solved.waveform(voltage("C1"), 2).exact


def test_a_third_order_is_asked_at_its_start_and_end_without_its_roots():
    """10 V on 1 ohm, 1 F, then 1 H to 1 F and 2 ohm: s^3 + 1.5 s^2 + 2.5 s + 1.5 has no rational root.

    By hand, from rest: v1' = (10 - v1)/1 - i, i' = v1 - v2, v2' = i - v2/2; in the end 20/3 V and 10/3 A.  At 8 s, by the end
    of which nothing is at rest, the source is bridged by 1 ohm more: v1' = (10 - v1)/0.5 - i.
    """
    solved = solve(
        circuit(
            V("V1", "a", "g", 10),
            closes("S1", "a", "b", 0),
            R("R1", "b", "c", 1),
            C("C1", "c", "g", 1, 0),
            L("L1", "c", "d", 1, 0),
            C("C2", "d", "g", 1, 0),
            R("R2", "d", "g", 2),
            closes("S2", "b", "e", 8),
            R("R3", "e", "c", 1),
        )
    )
    slopes = [solved.derivative(s) for s in (voltage("C1"), current("L1"), voltage("C2"), current("R1"))]
    assert slopes == [constant(q(n)) for n in (10, 0, 0, -10)]
    seconds = [solved.derivative(s, order=2) for s in (voltage("C1"), current("L1"), voltage("C2"))]
    assert seconds == [constant(q(n)) for n in (-10, 10, 0)]
    assert solved.final(voltage("C1")) == solved.final(voltage("C2")) == constant(q("20/3"))
    assert solved.final(current("L1")) == constant(q("10/3"))
    assert solved.characteristic().order == 3
    v1, i = (solved.just_before(s, 2).value() for s in (voltage("C1"), current("L1")))
    assert v1 == pytest.approx(solved.waveform(voltage("C1"), 1).value(8))
    assert solved.derivative(voltage("C1"), 2).value() == pytest.approx(2 * (10 - v1) - i)
    assert solved.final(voltage("C1"), 2).value() == pytest.approx(8)  # 2 ohm of 2.5


def test_a_first_order_is_asked_of_its_waveform():
    """5 - 5 e^(-2t) A from t = 1 s: slope 10 A/s, then -20 A/s^2; just before nothing flows."""
    solved = solve(
        circuit(V("V1", "a", "g", 5), closes("S1", "a", "b", 1), R("R1", "b", "c", 1), L("L1", "c", "g", "1/2", 0))
    )
    assert solved.derivative(current("L1")) == constant(q(10))
    assert solved.derivative(current("L1"), order=2) == constant(q(-20))
    assert solved.just_after(voltage("L1")) == constant(q(5))
    assert not solved.just_before(voltage("L1")).terms
    assert solved.final(current("L1")) == constant(q(5))
    assert solved.characteristic().time_constant == q("1/2")


@pytest.mark.parametrize(("step", "says"), [(0, "keeps oscillating"), (1, "grows without bound")])
def test_why_there_is_no_final_value(step, says):
    """A coil and a capacitor without losses swing; 1 V on a coil for ever is a current without bound."""
    net = (
        circuit(V("V1", "a", "g", 0, ("0", 1)), L("L1", "a", "g", 1, 0))
        if step
        else circuit(L("L1", "a", "g", 1, 0), C("C1", "a", "g", 1, 8))
    )
    with pytest.raises(NotDefined, match=f"the current of L1 {says}, so it has no final value; ask for its expression"):
        solve(net).final(current("L1"))


def test_constants_are_carried_exactly_while_they_are_few():
    constants = [exp(constant(q(-k))) for k in range(1, MAX_CONSTANTS + 2)]
    few, many = sum(constants[1:], start=Waveform()), sum(constants, start=Waveform())
    assert _carried(few) is few
    carried = _carried(many)
    assert (carried.is_number, carried.exact) == (True, False)
    assert carried.value() == pytest.approx(many.value(), rel=1e-14)
    inexact = Waveform(few.terms, exact=False)
    assert _carried(inexact).is_number
    letters = many + constant(Symbolic.symbol("V0", ("V0",)))
    assert _carried(letters) is letters
