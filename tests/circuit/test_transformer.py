"""The ideal transformer, worked by hand: n = 4 turns to 1, dots at the first nodes."""

import pytest

from grader.circuit.elements import Resistor, Signal
from grader.circuit.response import solve
from grader.circuit.series_parallel import combination_text, resistance, structure_between
from grader.errors import RubricError
from grader.reports.schematic import describe, schematic
from grader.rubric.files import read_rubric
from grader.rubric.references import references

LINES = """
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "12 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "16 ohm"},
  {name = "T1", kind = "ideal transformer", primary = ["b", "g"], secondary = ["c", "g"], ratio = 4},
  {name = "R2", kind = "resistor", between = ["c", "d"], value = "1 ohm"},
  {name = "C1", kind = "capacitor", between = ["d", "g"], value = "0.5 F"},
"""
"""Seen from the secondary 12/4 = 3 V behind 16/4^2 = 1 ohm: τ = (1 + 1)·0.5 = 1 s, v = 3 (1 - e^-t) V."""


def rubric(items: str, lines: str = LINES):
    text = f'title = "x"\n[[problem]]\nid = "p"\ntitle = "p"\nground = "g"\nelement = [{lines}]\nitem = [{items}]'
    return read_rubric(text.encode(), "x.toml")


@pytest.mark.parametrize(
    "item, right",
    [
        ('find = "time constant"', "1"),
        ('find = "resistance seen"', "2"),
        ('find = "expression", voltage = "C1"', "-3*exp(-1*t) + 3"),
        ('find = "expression", current = "T1"', "3/8*exp(-1*t)"),  # 1.5 e^-t A of the secondary over 4
        ('find = "initial value", voltage = "T1"', "6"),  # 12 V less 16 ohm times 0.375 A
        ('find = "initial value", voltage = ["c", "g"]', "3/2"),
    ],
)
def test_answers(item, right):
    (found,) = references(rubric(f'{{id = "x", {item}, points = 1}}'))
    assert found.exact == right


def test_power_is_passed_on():
    """What the primary takes the load gets: v1 i1 = v2 i, at every instant."""
    solved = solve(rubric('{id = "x", find = "time constant", points = 1}').problems[0].circuit)
    into = solved.waveform(Signal(kind="voltage", of="T1")) * solved.waveform(Signal(kind="current", of="T1"))
    out = solved.waveform(Signal(kind="voltage", of=("c", "g"))) * solved.waveform(Signal(kind="current", of="R2"))
    assert into == out


def test_turned_winding_turns_the_sign():
    turned = LINES.replace('secondary = ["c", "g"]', 'secondary = ["g", "c"]')
    (found,) = references(rubric('{id = "x", find = "final value", voltage = "C1", points = 1}', turned))
    assert found.exact == "-3"


@pytest.mark.parametrize(
    "good, bad, what",
    [
        ("ratio = 4", "ratio = 0", "cannot be zero"),
        ("ratio = 4", 'ratio = "4 V"', "plain"),
        ('primary = ["b", "g"], ', "", "'primary' is missing"),
        ('primary = ["b", "g"]', 'primary = ["b", "b"]', "two different nodes"),
    ],
)
def test_faults(good, bad, what):
    with pytest.raises(RubricError, match=what):
        rubric('{id = "x", find = "time constant", points = 1}', LINES.replace(good, bad))


def test_drawn_as_two_windings_with_their_dots():
    problem = rubric('{id = "x", find = "expression", current = "T1", points = 1}').problems[0]
    assert "primary of 4 : 1" in schematic(problem)
    assert "secondary of 4 : 1" in schematic(problem)
    assert (
        "T1: ideal transformer, primary between b and g, secondary between c and g, turns 4 : 1, dots at the first nodes."
        in describe(problem.circuit, dict(problem.values))
    )


SEEN = '{id = "x", find = "time constant", points = 1}'


@pytest.mark.parametrize(
    ("lines", "seen", "text", "ohms"),
    [
        (LINES, "C1", "R2 + R1/4²", 2),  # 1 + 16/16
        # From the primary: 4 (6 + 3 ∥ 6) + 2 = 34 ohm behind n = 2.
        (
            """
            {name = "C1", kind = "capacitor", between = ["a", "g"], value = "1 F"},
            {name = "R1", kind = "resistor", between = ["a", "b"], value = "2 ohm"},
            {name = "T1", kind = "ideal transformer", primary = ["b", "g"], secondary = ["c", "h"], ratio = 2},
            {name = "R2", kind = "resistor", between = ["c", "d"], value = "6 ohm"},
            {name = "R3", kind = "resistor", between = ["d", "h"], value = "3 ohm"},
            {name = "R4", kind = "resistor", between = ["d", "h"], value = "6 ohm"},
            {name = "R5", kind = "resistor", between = ["h", "g"], value = "9 ohm"},
            """,
            "C1",
            "R1 + 2²·(R2 + R3 ∥ R4)",
            34,
        ),
        # One behind the other: 5 + (4 + 36/9)/4 = 7 ohm.
        (
            """
            {name = "R1", kind = "resistor", between = ["b", "g"], value = "36 ohm"},
            {name = "T1", kind = "ideal transformer", primary = ["b", "g"], secondary = ["c", "g"], ratio = 3},
            {name = "R2", kind = "resistor", between = ["c", "d"], value = "4 ohm"},
            {name = "T2", kind = "ideal transformer", primary = ["d", "g"], secondary = ["e", "g"], ratio = "-2"},
            {name = "R3", kind = "resistor", between = ["e", "f"], value = "5 ohm"},
            {name = "C1", kind = "capacitor", between = ["f", "g"], value = "1 F"},
            """,
            "C1",
            "R3 + (R2 + R1/3²)/(-2)²",
            7,
        ),
    ],
)
def test_what_stands_behind_a_transformer_is_reflected(lines, seen, text, ohms):
    circuit = rubric(SEEN, lines).problems[0].circuit
    structure = structure_between(circuit, {}, circuit.element(seen).between, {seen})
    assert combination_text(structure) == text
    assert resistance(structure, {e.name: e.value for e in circuit.elements if isinstance(e, Resistor)}) == ohms


def test_a_resistor_from_one_winding_to_the_other_is_not_reflected():
    """Then the transformer is no way through between two parts that it alone joins."""
    across = LINES + '{name = "R3", kind = "resistor", between = ["b", "c"], value = "7 ohm"},'
    circuit = rubric(SEEN, across).problems[0].circuit
    assert structure_between(circuit, {}, ("d", "g"), {"C1"}) is None
