"""Circuits for the lines of single items, and those lines as text."""

from grader.circuit.response import solve
from grader.quantities.samples import CIRCUITS
from grader.reports.item_lines import values_step
from grader.rubric.files import read_rubric
from grader.rubric.references import references

RELAY = """
title = "Relay, invented"
[[problem]]
id = "relay"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "%s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "2 H"},
]
item = [
  {id = "i0", find = "initial value", current = "L1", points = 1},
  {id = "reach", find = "time to reach", current = "L1", level = "1.5 A", points = 1},
  {id = "at", find = "value at", current = "R1", at = "1.5 s", points = 1},
  {id = "slope", find = "initial slope", current = "L1", points = 1},
  {id = "fall", find = "initial slope", voltage = "R1", points = 1},
  {id = "energy", find = "stored energy", of = "L1", points = 1},
]
"""


def lines(closes):
    rubric = read_rubric((RELAY % closes).encode(), "relay.toml")
    (problem,) = rubric.problems
    step = values_step(problem, solve(problem.circuit), references(rubric))
    return {line.label: line for line in step.lines}


def shown(line):
    return " = ".join(side.text for side in line.sides)


RINGING = """
title = "Ringing, invented"
[[problem]]
id = "ring"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "10 V", at = "0 s"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "2 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "0.1 F"},
]
item = [
  {id = "at", find = "value at", voltage = "C1", at = "1 s", points = 1},
  {id = "reach", find = "time to reach", voltage = "C1", level = "5 V", points = 1},
]
"""


def board(circuit, *items, of=values_step):
    """The lines under the items of a sample circuit, or of element lines: ``label: side = side = value``."""
    listed = "\n".join(f"[[problem.item]]\npoints = 1\n{item}" for item in items)
    elements = CIRCUITS.get(circuit, circuit)
    text = f'title = "Invented"\n[[problem]]\nid = "p"\nground = "g"\nelement = [{elements}]\n{listed}\n'
    rubric = read_rubric(text.encode(), "invented.toml")
    (problem,) = rubric.problems
    step = of(problem, solve(problem.circuit), references(rubric))
    return [f"{line.label}: {' = '.join(side.text for side in line.chain)}" for line in step.lines]
