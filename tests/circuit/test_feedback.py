"""Which op amps latch: told from the circuit by hand."""

import pytest

from grader.circuit.feedback import positive_feedback
from grader.rubric.files import read_rubric

INVERTING = """
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "1 V"},
  {name = "R1", kind = "resistor", between = ["a", "n"], value = "1 kohm"},
  {name = "R2", kind = "resistor", between = ["n", "o"], value = "10 kohm"},
  {name = "U1", kind = "ideal op amp", non_inverting = "PLUS", inverting = "MINUS", output = "o"},
"""
BOTH = """
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "1 V"},
  {name = "R0", kind = "resistor", between = ["a", "p"], value = "1 kohm"},
  {name = "R1", kind = "resistor", between = ["p", "o"], value = "POS"},
  {name = "R2", kind = "resistor", between = ["n", "g"], value = "1 kohm"},
  {name = "R3", kind = "resistor", between = ["n", "o"], value = "1 kohm"},
  {name = "U1", kind = "ideal op amp", non_inverting = "p", inverting = "n", output = "o"},
"""


def latching(lines: str) -> list[str]:
    text = f'title = "x"\n[[problem]]\nid = "p"\nground = "g"\nelement = [{lines}]\nitem = [{{id = "a", find = "final value", voltage = ["o", "g"], points = 1}}]'
    circuit = read_rubric(text.encode(), "x.toml").problems[0].circuit
    return positive_feedback(circuit, None)


@pytest.mark.parametrize("kind, value", [("resistor", "10 kohm"), ("capacitor", "1 uF")])
def test_swapped_inputs(kind, value):
    lines = INVERTING.replace('R2", kind = "resistor"', f'R2", kind = "{kind}"').replace("10 kohm", value)
    assert latching(lines.replace("PLUS", "g").replace("MINUS", "n")) == []
    assert latching(lines.replace("PLUS", "n").replace("MINUS", "g")) == ["U1"]


@pytest.mark.parametrize("resistance, latches", [("9 kohm", False), ("0.5 kohm", True)])
def test_both_ways_at_once(resistance, latches):
    """Half of the output comes back to -; to + one tenth, or two thirds."""
    assert latching(BOTH.replace("POS", resistance)) == (["U1"] if latches else [])
