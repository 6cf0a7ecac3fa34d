"""A rubric without a fault, to read as it stands or with one thing changed (invented)."""

from pathlib import Path

import pytest

from grader.errors import RubricError
from grader.rubric.files import read_rubric

RUBRICS = Path(__file__).parents[2] / "rubrics"

GOOD = """
title = "Valve driver"
course = "EE 118"

[marking]
tolerance = "5 %"
unit_costs = 0.5

[[problem]]
id = "valve"
title = "Valve"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "28 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "4k7"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "20 mH"},
]
item = [
  {id = "tau", find = "time constant", points = 2},
  {id = "i", find = "expression", current = "L1", points = 4, parts = {"initial value" = 1, "form" = 3}, tolerance = 0.01},
]
"""


def read(text: str):
    return read_rubric(text.encode(), "valve.toml")


def element(line: str, more: str = ""):
    """The element of one line, in the circuit above."""
    text = GOOD.replace("element = [\n", f"element = [\n  {more}\n  {line},\n")
    return read(text).problems[0].circuit.elements[1 if more else 0]


def faults(text: str) -> tuple[str, ...]:
    with pytest.raises(RubricError) as caught:
        read(text)
    return caught.value.faults


# -- what is read --------------------------------------------------------------------------------
