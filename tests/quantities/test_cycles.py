"""Circuits that repeat, by hand and against published values; elements from a given response."""

import math

import pytest

from grader.errors import NotDefined, RubricError
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.problem import Rubric
from grader.quantities import asked
from grader.rubric.references import references
from grader.uploads.upload import Upload, Written
from tests.quantities.building import problem, question

TIMER = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "9 V"},
    {name = "R1", kind = "resistor", between = ["a", "b"], value = "10 kohm"},
    {name = "R2", kind = "resistor", between = ["b", "c"], value = "47 kohm"},
    {name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF"},
    {name = "S1", kind = "switch", between = ["b", "g"], closes = "0 s"},
"""
"""A timer's astable circuit: charged through both resistors, discharged through R2, between a third and two thirds of Vs."""

THIRDS = 'voltage = "C1", by = "S1", low = "Vs/3", high = "2*Vs/3"'

COMPARATOR = """
    {name = "Vp", kind = "voltage source", between = ["p", "g"], value = "10 V"},
    {name = "Vn", kind = "voltage source", between = ["n", "g"], value = "-10 V"},
    {name = "S1", kind = "changeover switch", common = "o", from = "p", to = "n", at = "0 s"},
    {name = "R1", kind = "resistor", between = ["o", "c"], value = "1 kohm"},
    {name = "C1", kind = "capacitor", between = ["c", "g"], value = "0.25 uF"},
"""
"""An op amp's oscillator: its output stands at 10 V or -10 V, and half of it is fed back."""

HALVES = 'voltage = "C1", by = "S1", low = "-5 V", high = "5 V"'

RELAY = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
    {name = "S1", kind = "changeover switch", common = "b", from = "a", to = "g", at = "0 s"},
    {name = "R1", kind = "resistor", between = ["b", "c"], value = "100 ohm"},
    {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.5 H"},
"""
"""A relay with hysteresis: towards 120 mA until 60 mA, towards 0 until 20 mA, τ = 5 ms."""

BETWEEN = 'current = "L1", by = "S1", low = "20 mA", high = "60 mA"'

RISES, FALLS = 5e-3 * math.log(100 / 60), 5e-3 * math.log(3)


def value(circuit: str, item: str) -> float:
    found = question(circuit, f'id = "x", {item}')
    return asked(found.item.find).reference(found).value()


@pytest.mark.parametrize(
    "circuit, item, right, within",
    [
        # T = 0.693 (RA + 2 RB) C and D = RB/(RA + 2 RB) of the discharge: data sheets of the 555 timer.
        (TIMER, f'find = "period", {THIRDS}', 0.693 * 104e3 * 1e-6, 1e-3),
        (TIMER, f'find = "duty cycle", {THIRDS}', 47 / 104, 1e-12),
        # GATE 2015, electrical engineering, set 2, question 39: 0.55 ms (2 RC ln 3).
        (COMPARATOR, f'find = "period", {HALVES}', 0.55e-3, 2e-3),
        (COMPARATOR, f'find = "period", {HALVES}', 0.5e-3 * math.log(3), 1e-12),
        (COMPARATOR, f'find = "duty cycle", {HALVES}', 0.5, 1e-12),
        (RELAY, f'find = "period", {BETWEEN}', RISES + FALLS, 1e-12),
        (RELAY, f'find = "duty cycle", {BETWEEN}', FALLS / (RISES + FALLS), 1e-12),
    ],
)
def test_by_hand_and_published(circuit, item, right, within):
    assert value(circuit, item) == pytest.approx(right, rel=within)


@pytest.mark.parametrize(
    "item, sentence",
    [
        ('current = "L1", by = "S1", low = "20 mA", high = "130 mA"', "goes to neither level"),
        ('current = "L1", by = "S1", low = "60 mA", high = "20 mA"', "'low' must lie below 'high'"),
        ('voltage = "R1", by = "S1", low = "1 V", high = "2 V"', "its own voltage or current is watched"),
        ('current = "L1", by = "R1", low = "20 mA", high = "60 mA"', "'by' must name the switch"),
    ],
)
def test_what_does_not_repeat(item, sentence):
    with pytest.raises(NotDefined, match=sentence):
        value(RELAY, f'find = "period", {item}')


def test_levels_must_be_readable():
    with pytest.raises(RubricError, match="'low' and 'high'"):
        problem(RELAY, 'id = "x", find = "period", current = "L1", by = "S1", low = "20 V", high = "60 mA"')


def test_duty_follows_from_the_own_period():
    """5.493 ms of the student's own 10 ms are 54.9 %."""
    items = (f'id = "T", find = "period", {BETWEEN}', f'id = "x", find = "duty cycle", {BETWEEN}')
    rubric = Rubric(title="", course="", problems=(problem(RELAY, *items),), digest="", name="test.toml")
    written = tuple(Written(problem="p", item=item, text=text) for item, text in {"T": "10 ms", "x": "54.9 %"}.items())
    marks = mark_upload(build_key(rubric), Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    assert [mark.awarded for mark in marks] == [0, 1]


def test_elements_from_a_given_response():
    """v = 72 e^(-500t) V and i = 9 e^(-500t) mA: 8 kΩ, 0.25 µF, 2 ms, 648 µJ (a textbook's problem, values from memory)."""
    lines = """
        {name = "C1", kind = "capacitor", between = ["a", "g"], value = "unknown", initial = "72 V"},
        {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
        {name = "R1", kind = "resistor", between = ["b", "g"], value = "unknown"},
    """
    items = (
        'id = "R", find = "element value", of = "R1", so_that = {find = "initial value", current = "R1", is = "9 mA"}',
        'id = "C", find = "element value", of = "C1", so_that = {find = "time constant", is = "2 ms"}',
        'id = "w", find = "stored energy", of = "C1", at = "0 s"',
        'id = "v", find = "expression", voltage = "C1"',
    )
    rubric = Rubric(title="", course="", problems=(problem(lines, *items),), digest="", name="test.toml")
    assert [one.text for one in references(rubric)] == ["8 kΩ", "250 nF", "648 μJ", "72e^(−500t) V"]
