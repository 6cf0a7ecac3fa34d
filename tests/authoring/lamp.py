"""A lamp whose values are varied."""

import tomllib
from decimal import Decimal
from fractions import Fraction

from grader.authoring.vary import proposals
from grader.rubric.files import read_rubric

TOML = """
title = "Lamp"
[[problem]]
id = "lamp"
text = "A 12 V lamp behind 2 kohm; 12 Volunteers watch."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "2 kohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "4 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "3 uF"},
]
item = [
  {id = "end", find = "final value", voltage = "C1", points = 1, key = "8 V", accept = "8000 mV"},
  {id = "tau", find = "time constant", points = 1, key = "4 ms"},
  {id = "word", find = "choice", options = ["rises", "falls"], key = "rises", points = 1},
]
"""


def proposed(toml=TOML, problem="lamp", ranges=None, count=2, seed=0):
    tables = tomllib.loads(toml, parse_float=Decimal)
    rubric = read_rubric(toml.encode(), "lamp.toml")
    return proposals(rubric, tables, problem, ranges or {}, count=count, seed=seed)


def value(problem, name):
    element = problem.circuit.element(name)
    exact = element.drive.pieces[0][1].number if name == "Vs" else element.value
    return Fraction(int(exact.p), int(exact.q))


def few_digits(value):
    """Whether three significant digits say it exactly: then a thousand times something of 1 to 999 is whole."""
    while value < 100:
        value *= 10
    while value >= 1000:
        value /= 10
    return value.denominator == 1


TWICE = """
title = "T"
[[problem]]
id = "p"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {after = "18 V"}},
  {name = "S1", kind = "changeover switch", common = "b", from = "a", to = "g", at = "8 ms"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "2 uF"},
]
item = [
  {id = "end", find = "value at", voltage = "C1", at = "8 ms", points = 1},
  {id = "half", find = "time to reach", voltage = "C1", after = "8 ms", level = "50 %", points = 1},
]
"""
