"""Which nodes a schematic names: those that the text and the questions speak of, and no others."""

import re

import pytest

from grader.reports.paper import questions
from grader.reports.schematic import schematic
from grader.rubric.files import read_rubric

LADDER = """
title = "Ladder"
[[problem]]
id = "ladder"
ground = "g"
text = {text}
element = [
  {{name = "V1", kind = "voltage source", between = ["a", "g"], value = "24 V"}},
  {{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"}},
  {{name = "R2", kind = "resistor", between = ["b", "c"], value = "10 kohm"}},
  {{name = "R4", kind = "resistor", between = ["c", "d"], value = "10 kohm"}},
  {{name = "C1", kind = "capacitor", between = ["d", "g"], value = "5 uF"}},
]
item = [{{id = "asked", points = 1, {item}}}]
"""


@pytest.mark.parametrize(
    ("item", "text", "named"),
    [
        ('find = "time constant"', "C1 is empty. S1 closes at t = 0, a moment that begins an interval.", ""),
        ('find = "initial value", voltage = ["c", "d"]', "", "cd"),
        ('find = "open-circuit voltage", between = ["c", "g"]', "", "cg"),
        ('find = "resistance between", between = ["c", "d"]', "", "cd"),
        ('find = "impedance", between = ["b", "g"]', "", "bg"),
        ('find = "time constant", hint = "Join node d to ground."', "", "d"),
        ('find = "time constant", text = "How fast does v_b rise?"', "", "b"),
        ('find = "time constant"', "A load may be connected between a and g.", "ag"),
    ],
)
def test_every_node_that_is_spoken_of_is_named_in_the_drawing(item, text, named):
    (problem,) = read_rubric(LADDER.format(item=item, text=repr(text)).encode(), "ladder.toml").problems
    drawn = re.findall(r'<tspan font-style="italic">(\w+)</tspan></text>', schematic(problem))
    assert sorted(drawn) == sorted(named)


def test_a_value_too_long_for_its_place_stands_below_in_the_same_drawing():
    """Five levels are more than `LONGEST` characters and more than one line."""
    levels = "waveform = '1 u(t) + 2 u(t - 2 ms) + 3 u(t - 5 ms) - 6 u(t - 9 ms) V'"
    item = 'find = "time constant"'
    (problem,) = read_rubric(
        LADDER.format(item=item, text="''").replace('value = "24 V"', levels).encode(), "ladder.toml"
    ).problems
    lines = re.findall(r'<text x="[^"]*" y="([^"]*)"[^>]*>([^<]*)</text>', schematic(problem))
    drawn = [text for _, text in lines]
    below = " ".join(text for _, text in sorted(lines, key=lambda one: float(one[0]))[-2:])
    assert below == "V1: 0 V, 1 V from t = 0, 3 V from t = 2 ms, 6 V from t = 5 ms, 0 V from t = 9 ms"
    assert drawn[drawn.index("V1") + 1] == "see below"


def test_a_question_has_a_minus_and_no_hyphen_before_a_level():
    item = 'find = "time to reach", voltage = "C1", level = "-2 V"'
    rubric = read_rubric(LADDER.format(item=item, text="''").replace('"24 V"', '"-24 V"').encode(), "ladder.toml")
    assert "reaches −2 V" in questions(rubric)["ladder", "asked"]


@pytest.mark.parametrize(("initial", "marked"), [("-3 V", 2), ("0 V", 1)])
def test_the_sign_of_what_is_stored_at_the_beginning_can_be_seen(initial, marked):
    text = LADDER.format(item='find = "time constant"', text="''").replace('"5 uF"', f'"5 uF", initial = "{initial}"')
    (problem,) = read_rubric(text.encode(), "ladder.toml").problems
    drawn = re.findall(r'<tspan font-style="italic">v</tspan><tspan[^>]*>(\w+)</tspan>', schematic(problem))
    assert drawn == ["C1"] * (marked - 1)
