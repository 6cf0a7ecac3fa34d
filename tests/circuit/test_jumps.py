"""What passes in no time at an action: charge between capacitors, flux between inductors, and that nothing is lost."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.circuit.response import solve
from grader.errors import NotDefined
from grader.values.functions import exp
from grader.values.waveform import TIME, constant
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
    opens,
    q,
    signal,
    voltage,
)

POSITIVE = st.fractions(min_value="1/10", max_value=10, max_denominator=12)
ANY = st.fractions(min_value=-10, max_value=10, max_denominator=12)


def amounts(solved):
    return {(i.element, i.kind): i.amount for i in solved.impulses}


@settings(max_examples=40)
@given(POSITIVE, POSITIVE, ANY, ANY)
def test_two_capacitors_share_their_charge(c1, c2, v1, v2):
    """V = (C1 V1 + C2 V2)/(C1 + C2) (University physics, conservation of charge; common knowledge, no source)."""
    solved = solve(
        circuit(
            C("C1", "a", "g", q(str(c1)), q(str(v1))),
            C("C2", "b", "g", q(str(c2)), q(str(v2))),
            closes("S1", "a", "b"),
            R("R1", "a", "g", 1),
        )
    )
    common = q(str((c1 * v1 + c2 * v2) / (c1 + c2)))
    assert solved.just_after(voltage("C1")) == solved.just_after(voltage("C2")) == constant(common)
    passed = amounts(solved).get(("S1", "charge"), constant(q(0)))
    assert passed == constant(q(str(c1 * v1)) - q(str(c1)) * common)


@settings(max_examples=40)
@given(POSITIVE, POSITIVE, ANY, ANY)
def test_two_inductors_forced_into_one_current_share_their_flux(l1, l2, i1, i2):
    """I = (L1 I1 + L2 I2)/(L1 + L2): the flux around the new loop is kept."""
    solved = solve(
        circuit(
            R("R1", "g", "a", 1),
            L("L1", "a", "b", q(str(l1)), q(str(i1))),
            opens("S1", "b", "g"),
            L("L2", "b", "c", q(str(l2)), q(str(i2))),
            R("R2", "c", "g", 2),
        )
    )
    common = q(str((l1 * i1 + l2 * i2) / (l1 + l2)))
    assert solved.just_after(current("L1")) == solved.just_after(current("L2")) == constant(common)
    assert solved.characteristic().time_constant == (q(str(l1)) + q(str(l2))) / 3


def test_current_interrupted_without_a_path():
    """Opening an inductor's only path leaves its whole flux across the switch."""
    solved = solve(circuit(V("V1", "a", "g", 12), R("R1", "a", "b", 3), opens("S1", "b", "c"), L("L1", "c", "g", 2)))
    assert not solved.just_after(current("L1")).terms
    assert amounts(solved) == {("S1", "flux"): constant(q(8)), ("L1", "flux"): constant(q(-8))}


def test_a_step_straight_onto_a_capacitor():
    """The charge arrives at once, the source gives it."""
    solved = solve(circuit(V("V1", "a", "g", 0, ("0", 5)), C("C1", "a", "g", 2), R("R1", "a", "g", 1)))
    assert amounts(solved) == {("V1", "charge"): constant(q(-10)), ("C1", "charge"): constant(q(10))}
    assert solved.waveform(voltage("C1")) == constant(q(5))


def test_a_current_step_straight_into_an_inductor():
    """The flux arrives at once."""
    solved = solve(circuit(I("I1", "g", "a", 0, ("0", 5)), L("L1", "a", "b", 1), R("R1", "b", "g", 1)))
    assert amounts(solved)["L1", "flux"] == constant(q(5))
    assert solved.waveform(current("L1")) == constant(q(5))


def test_perfectly_coupled_coils_hand_over_their_flux():
    """Opening the primary of a perfect transformer moves its ampere-turns to the secondary at once."""
    solved = solve(
        circuit(
            V("V1", "a", "g", 10),
            R("R1", "a", "b", 5),
            opens("S1", "b", "c"),
            L("L1", "c", "g", 4),
            L("L2", "d", "g", 1),
            R("R2", "d", "g", 3),
            coupled("M1", "L1", "L2", 2),
        )
    )
    # Flux linked by L2 just before: M i1 = 2*2; it is kept: L2 i2 = 4.
    assert solved.just_after(current("L1")) == constant(q(0))
    assert solved.just_after(current("L2")) == constant(q(4))
    assert solved.just_before(signal("flux", "L2")) == solved.just_after(signal("flux", "L2"))


def test_capacitors_in_series_divide_by_charge():
    """Charged from rest, equal charges: v1 : v2 = C2 : C1, with or without a resistance in line, before and after."""
    for line in ([R("R1", "a", "b", 1)], [closes("S0", "z", "g", "9"), R("Rz", "z", "g", 1), R("R1", "a", "b", 0)]):
        solved = solve(
            circuit(V("V1", "a", "g", 12), *line, C("C1", "b", "c", 2), C("C2", "c", "g", 1), changeover("S1", "b", "x", ("0", "y")), R("R2", "y", "g", 1), R("R3", "x", "g", 1))
        )  # fmt: skip
        assert solved.just_before(voltage("C1")) == solved.just_before(voltage("C2")).scaled(q("1/2"))


def test_trapped_charge_stays():
    """Discharging capacitors in series through a resistance leaves the charge that cannot leave the node between."""
    solved = solve(
        circuit(C("C1", "a", "b", 1, 6), C("C2", "b", "g", 2, 0), closes("S1", "a", "c"), R("R1", "c", "g", 3))
    )
    # Charge of the node between: -C1 v1 + C2 v2 = -6 for ever; in the end v1 + v2 = 0.
    assert solved.final(voltage("C1")) == constant(q(2))
    assert solved.final(voltage("C2")) == constant(q(-2))
    assert solved.characteristic().time_constant == 2
    assert solved.characteristic().order == 1


def test_flux_circulating_in_parallel_inductors_stays():
    """The dual: the current that runs around two inductors side by side has no resistance to meet."""
    solved = solve(circuit(L("L1", "a", "g", 4, 6), L("L2", "a", "g", 2, 0), R("R1", "a", "g", 6)))
    assert solved.final(current("L1")) == constant(q(4))
    assert solved.final(current("L2")) == constant(q(-4))


def test_just_before_a_later_switching_is_the_end_of_the_interval_before():
    """4 V on 1 ohm and 1 F from t = 0, 4 - 4 e^(-t); at 2 s the source is bridged by 1 ohm more: i was 4 e^(-2) A."""
    solved = solve(
        circuit(
            V("V1", "a", "g", 4),
            closes("S1", "a", "b", 0),
            R("R1", "b", "c", 1),
            C("C1", "c", "g", 1, 0),
            closes("S2", "b", "d", 2),
            R("R2", "d", "c", 1),
        )
    )
    decay = exp(-TIME)
    assert solved.just_before(voltage("C1"), 2) == (constant(q(4)) - decay.scaled(q(4))).at(q(2))
    assert solved.just_before(current("C1"), 2) == decay.scaled(q(4)).at(q(2))
    assert solved.just_after(current("C1"), 2) == decay.scaled(q(8)).at(q(2))  # through both resistors
    assert solved.just_before(current("R1"), 1) == constant(q(0))


def test_what_has_no_final_value_is_named():
    solved = solve(circuit(L("L1", "a", "g", 1, 0), C("C1", "a", "g", 1, 8)))
    with pytest.raises(NotDefined, match="the voltage of a, g keeps oscillating"):
        solved.final(voltage("a", "g"))
    with pytest.raises(NotDefined, match="the current of L1 keeps oscillating"):
        solved.final(current("L1"))
