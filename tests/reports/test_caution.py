"""Cautions stand where a circuit would be dangerous to build, and not elsewhere."""

import pytest
from flint import fmpq

from grader.circuit.elements import (
    Capacitor,
    ChangeoverSwitch,
    Circuit,
    CurrentSource,
    Drive,
    Inductor,
    Resistor,
    Switch,
    VoltageSource,
)
from grader.reports.caution import CAPACITOR, GOVERNS, INDUCTOR, KICK, NOT_AS_IT_STANDS, SUPPLY, cautions
from grader.values.functions import sin
from grader.values.waveform import TIME, constant


def source(volts):
    return VoltageSource(name="V1", between=("a", "g"), drive=Drive(pieces=((None, constant(fmpq(volts))),)))


def mains(peak):
    wave = sin(TIME.scaled(fmpq(377))).scaled(fmpq(peak))
    return VoltageSource(name="V1", between=("a", "g"), drive=Drive(pieces=((None, wave),)))


def switch(opens):
    return Switch(name="S1", between=("a", "b"), before=opens, actions=((fmpq(0), not opens),))


COIL = Inductor(name="L1", between=("b", "g"), value=fmpq(1, 10))
PLATES = Capacitor(name="C1", between=("b", "g"), value=fmpq(1, 1000))
OVER = ChangeoverSwitch(name="S1", common="b", before="a", actions=((fmpq(0), "g"),))
SUPPLY_OF_CURRENT = CurrentSource(name="I1", between=("g", "b"), drive=Drive(pieces=((None, constant(fmpq(2, 1000))),)))


@pytest.mark.parametrize(
    ("elements", "expected"),
    [
        ([source(12), switch(opens=False), COIL], ()),
        ([source(12), switch(opens=True), COIL], (NOT_AS_IT_STANDS, INDUCTOR, GOVERNS)),
        ([source(12), OVER, COIL], (NOT_AS_IT_STANDS, INDUCTOR, GOVERNS)),
        ([source(12), switch(opens=True), PLATES], ()),
        ([source(59), PLATES], ()),
        ([source(60), PLATES], (NOT_AS_IT_STANDS, CAPACITOR, SUPPLY, GOVERNS)),
        ([source(-60), PLATES], (NOT_AS_IT_STANDS, CAPACITOR, SUPPLY, GOVERNS)),
        (
            [Capacitor(name="C1", between=("b", "g"), value=fmpq(1), initial=fmpq(400))],
            (NOT_AS_IT_STANDS, CAPACITOR, GOVERNS),
        ),
        (
            [SUPPLY_OF_CURRENT, Resistor(name="R1", between=("b", "g"), value=fmpq(50000)), PLATES],
            (NOT_AS_IT_STANDS, CAPACITOR, GOVERNS),
        ),
        ([mains(325), COIL], (NOT_AS_IT_STANDS, SUPPLY, GOVERNS)),
        ([mains(10), COIL], ()),
    ],
)
def test_cautions(elements, expected):
    assert cautions(Circuit(elements=tuple(elements), ground="g")) == expected


@pytest.mark.parametrize(("ohms", "expected"), [(20, ()), (30000, (NOT_AS_IT_STANDS, CAPACITOR, GOVERNS))])
def test_a_resistor_across_a_current_source_bounds_what_it_gives(ohms, expected):
    """2 mA through 20 ohm and 30 kohm: 40 mV and 60 V by hand, whatever resistance stands elsewhere."""
    shunt = Resistor(name="R1", between=SUPPLY_OF_CURRENT.between, value=fmpq(ohms))
    far = Resistor(name="R2", between=("b", "x"), value=fmpq(50000))
    plates = Capacitor(name="C1", between=("x", "g"), value=fmpq(1))
    assert cautions(Circuit(elements=(SUPPLY_OF_CURRENT, shunt, far, plates), ground="g")) == expected


@pytest.mark.parametrize(("ohms", "expected"), [(10, ()), (19, ()), (20, (NOT_AS_IT_STANDS, KICK, GOVERNS))])
def test_a_coil_with_another_path_is_held_against_the_voltage_it_reaches(ohms, expected):
    """12 V through 4 ohm leave 3 A, which the resistor beside the coil takes over: 30, 57 and 60 V by hand."""
    elements = (
        source(12),
        Resistor(name="R1", between=("a", "c"), value=fmpq(4)),
        Switch(name="S1", between=("c", "b"), before=True, actions=((fmpq(0), False),)),
        Resistor(name="R2", between=("b", "g"), value=fmpq(ohms)),
        COIL,
    )
    assert cautions(Circuit(elements=elements, ground="g")) == expected


def test_no_circuit_no_caution():
    assert cautions(None) == ()
