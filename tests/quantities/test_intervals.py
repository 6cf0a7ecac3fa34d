"""Which stretch of time an item speaks of, what its label says of it, and what coupled coils store together."""

import math

import pytest

from grader.quantities import asked
from tests.quantities.building import question

PULSE = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "10 u(t) - 10 u(t - 1 ms) V"},
    {name = "R1", kind = "resistor", between = ["a", "b"], value = "1 kohm"},
    {name = "C1", kind = "capacitor", between = ["b", "g"], value = "1 uF"},
"""
"""τ = 1 ms: charges for one time constant towards 10 V, then discharges for good."""

COILS = """
    {name = "V1", kind = "voltage source", between = ["a", "g"], value = "6 V"},
    {name = "R1", kind = "resistor", between = ["a", "b"], value = "2 ohm"},
    {name = "L1", kind = "inductor", between = ["b", "g"], value = "1 H"},
    {name = "V2", kind = "voltage source", between = ["c", "g"], value = "2 V"},
    {name = "R2", kind = "resistor", between = ["c", "d"], value = "1 ohm"},
    {name = "L2", kind = "inductor", between = ["d", "g"], value = "2 H"},
    {name = "K1", kind = "coupled inductors", inductors = ["L1", "L2"], mutual = "0.5 H"},
"""
"""At rest 3 A in L1 and 2 A in L2."""


def answer(circuit: str, item: str):
    found = question(circuit, item)
    return asked(found.item.find).reference(found)


def label(circuit: str, item: str) -> str:
    return question(circuit, item).item.text


@pytest.mark.parametrize(
    "more, joule",
    [
        # While charging R I^2 τ/2 (1 - e^-2), after it all of C v^2/2 with v = 10 (1 - e^-1): together 0.1 mJ (1 - e^-1).
        ("", 1e-4 * (1 - math.exp(-1))),
        (', until = "1 ms"', 5e-5 * (1 - math.exp(-2))),
        (', from = "1 ms"', 5e-5 * (1 - math.exp(-1)) ** 2),
        (', after = "1 ms"', 5e-5 * (1 - math.exp(-1)) ** 2),
        (', from = "0.5 ms", until = "1 ms"', 5e-5 * (math.exp(-1) - math.exp(-2))),
    ],
)
def test_energy_dissipated_is_counted_for_good(more, joule):
    found = answer(PULSE, f'id = "w", find = "energy dissipated", of = "R1"{more}')
    assert found.value() == pytest.approx(joule, rel=1e-12)


@pytest.mark.parametrize(
    "item, text",
    [
        ('find = "energy dissipated", of = "R1"', "Energy dissipated in R1 from the switching at t = 0 s on"),
        ('find = "energy dissipated", of = "R1", until = "1 ms"', "Energy dissipated in R1 from the switching at t = 0 s until t = 1 ms"),
        ('find = "final value", voltage = "C1"', "Final value: voltage across C1 a long time after the switching at t = 0 s, had nothing acted since"),
        ('find = "final value", voltage = "C1", after = "1 ms"', "Final value: voltage across C1 a long time after the switching at t = 1 ms"),
        ('find = "stored energy", of = "C1"', "Energy stored in C1 a long time after the switching at t = 0 s, had nothing acted since"),
        ('find = "expression", voltage = "C1"', "Voltage across C1 as an expression in t, for 0 < t < 1 ms"),
        ('find = "time constant"', "Time constant τ, after the switching at t = 0 s"),
    ],
)  # fmt: skip
def test_labels_say_which_interval_where_there_are_several(item, text):
    assert label(PULSE, f'id = "x", {item}') == text


def test_one_action_needs_no_such_words():
    assert label("charging", 'id = "x", find = "final value", voltage = "C1"').endswith("C1 after a long time")


def test_coupled_coils_store_their_common_field():
    """1·9/2 + 2·4/2 = 8.5 J of their own, and M i1 i2 = 0.5·3·2 = 3 J."""
    assert answer(COILS, 'id = "w", find = "stored energy", of = ["L1", "L2"]').value() == 11.5
    assert answer(COILS, 'id = "w", find = "stored energy", of = "K1"').value() == 11.5
    assert answer(COILS, 'id = "w", find = "stored energy", of = "L1"').value() == 4.5


def test_a_crossing_is_looked_for_over_actions_where_a_stretch_is_given():
    """v passes 5 V at τ ln 2 upwards and, from 10 (1 - e^-1) V on, at 1 ms + τ ln(2 (1 - e^-1)) downwards."""
    item = 'id = "t", find = "time to reach", voltage = "C1", level = "5 V"'
    assert answer(PULSE, item).value() == pytest.approx(1e-3 * math.log(2), rel=1e-12)
    down = 1e-3 + 1e-3 * math.log(2 * (1 - math.exp(-1)))
    assert answer(PULSE, f'{item}, crossing = 2, until = "5 ms"').value() == pytest.approx(down, rel=1e-12)
    assert answer(PULSE, f'{item}, direction = "falling", from = "0 s"').value() == pytest.approx(down, rel=1e-12)
