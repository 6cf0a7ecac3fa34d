"""Keys, levels and instants written as formulas of the elements' names and of earlier items: each worked by hand."""

import math

import pytest

from grader.errors import GraderError
from grader.problem import Rubric
from grader.quantities import asked
from grader.rubric.references import references
from grader.values.dimension import CURRENT, TIME, VOLTAGE
from tests.quantities.building import problem, question
from tests.quantities.test_measured import BRIDGE


def found(circuit: str, *items: str):
    rubric = Rubric(title="", course="", problems=(problem(circuit, *items),), digest="", name="test.toml")
    return references(rubric)[-1]


@pytest.mark.parametrize(
    "key, value, dimension",
    [
        ("Vs*R2/(R1+R2)", 4.0, VOLTAGE),  # 12 * 3/9
        ("Vs/(R1 + R2||R3)", 12 / 7.2, CURRENT),
        ("L1/(R3 + R1||R2)", 2.0, TIME),  # 8/(2 + 2)
        ("3 tau", 6.0, TIME),
        ("tau + 1 s", 3.0, TIME),
    ],
)
def test_stated_value_of_names(key, value, dimension):
    reference = found(BRIDGE, 'id = "tau", find = "time constant"', f'id = "x", find = "stated value", key = "{key}"')
    assert reference.kind == "value"
    assert reference.answer.value() == pytest.approx(value, rel=1e-12)
    assert reference.dimension == dimension


def test_stated_expression_of_names():
    reference = found(BRIDGE, 'id = "x", find = "stated value", key = "Vs/R1*(1-e^(-R1*t/L1))"')
    assert (reference.kind, reference.dimension) == ("expression", CURRENT)
    assert reference.answer.value(1.0) == pytest.approx(2 * (1 - math.exp(-6 / 8)), rel=1e-12)


@pytest.mark.parametrize(
    "item, value",
    [
        ('find = "time to reach", current = "L1", level = "Vs/(8*R1)"', 2 * math.log(1 / (1 - 0.25))),  # of 1 A
        ('find = "time to reach", current = "L1", level = "50 %"', 2 * math.log(2)),
        ('find = "time to reach", current = "R1", level = "50 %"', 2 * math.log(2)),  # from 4/3 A to 5/3 A
        ('find = "value at", current = "L1", at = "L1/(2*R3)"', 1 - math.exp(-1)),
        ('find = "charge passed", current = "L1", until = "L1/(2*R3)"', 2 - 2 * (1 - math.exp(-1))),
    ],
)
def test_levels_and_instants(item, value):
    asked_of = question(BRIDGE, f'id = "x", {item}')
    assert asked(asked_of.item.find).reference(asked_of).value() == pytest.approx(value, rel=1e-12)


def test_share_of_the_own_change():
    """The student's own τ = 5 s: half of any change takes 5 ln 2."""
    reference = found(
        BRIDGE, 'id = "tau", find = "time constant"', 'id = "x", find = "time to reach", current = "L1", level = "50 %"'
    )
    assert any({item for _, item in rule.uses} == {"tau"} for rule in reference.rules)


RISE = 'id = "j", find = "expression", current = "L1"'  # 1 - e^(-t/2) A


@pytest.mark.parametrize(
    "key, value",
    [
        ("2j(2 s)", 2 - 2 * math.exp(-1)),
        ("2 j(2 s)", 2 - 2 * math.exp(-1)),
        ("j((1+2)*1 s)", 1 - math.exp(-1.5)),
        ("3 A - 2j'(0+)*1 s", 2.0),
        ("j(j(2 s)*1 s/1 A)", 1 - math.exp(-0.5 * (1 - math.exp(-1)))),
    ],
)
def test_a_key_names_what_the_reader_finds_in_it(key, value):
    reference = found(BRIDGE, RISE, f'id = "x", find = "stated value", key = "{key}"')
    assert (reference.kind, reference.dimension) == ("value", CURRENT)
    assert reference.answer.value() == pytest.approx(value, rel=1e-12)


def test_a_factor_may_touch_a_name():
    reference = found(BRIDGE, 'id = "tau", find = "time constant"', 'id = "x", find = "stated value", key = "3tau"')
    assert reference.answer.value() == 6


def test_an_instant_before_an_expression_begins_is_refused():
    with pytest.raises(GraderError, match="'-1 s' lies before what 'j' says"):
        found(BRIDGE, RISE, 'id = "x", find = "stated value", key = "j(-1 s)"')


def test_a_fault_in_a_key_is_told_once():
    stated = [
        f'id = "{id}", find = "stated value", key = "{key}"'
        for id, key in [("x", "2 V + stpo"), ("y", "2*x"), ("z", "y + 3 V")]
    ]
    with pytest.raises(GraderError) as told:
        problem(BRIDGE, *stated)
    assert [f"item '{id}'" in str(told.value) for id in "xyz"] == [True, False, False]


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("95%", "95 %"),
        ("2.5 kHz", "2.5 kHz"),
        ("30kV/s", "30 kV/s"),
        ("0.95", "0.95"),
        ("1000 V", "1 kV"),
        ("2*50 %", "1"),
    ],
)
def test_a_key_in_per_cent_in_hertz_or_per_second_is_shown_as_it_stands(key, text):
    reference = found(BRIDGE, 'id = "tau", find = "time constant"', f'id = "x", find = "stated value", key = "{key}"')
    assert reference.text == text
