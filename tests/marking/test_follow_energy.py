"""Energies that are fixed multiples of one another follow; worked out by hand before any program saw them.

`sled`: 20 V steps on 1 kΩ, 3 kΩ and 10 μF: 4 mJ delivered, 2 mJ stored, 1.5 mJ of heat in R2, 0.5 mJ in R1.  Of an own 4 J
three eighths are 1.5 J, three quarters of (4 J - 2 mJ) 2.9985 J; of an own 2 mJ three eighths are 0.75 mJ; a third of an own 1 mJ 0.333 mJ.
`kiln`: 0.4 H at 3 A on 10 Ω ∥ 40 Ω, tau = 50 ms: 1.8 J (1 - e^(-0.8)) = 0.9912 J in 20 ms, four fifths of it, 0.793 J, in R1, 0.1982 J in R2.
`winch`: 40 V on 8 Ω and 0.4 H for 50 ms, then on 8 Ω and 12 Ω: 12/20 of what is stored at 50 ms turns to heat in R2, of an own 4 J 2.4 J; i(50 ms) = 5 A
makes 5 J, 3 J in R2.  `tanks`: 3 μF at 20 V joined to 2 μF at 5 V: of an own 12.5 V, 5 μF (12.5 V)²/2 = 390.6 μJ.
`gust`: 12 e^(-2t) V from 0 on 2 Ω, 4 Ω and 1 H: i = 3 (e^(-2t) - e^(-6t)) A, 36 (1/4 - 1/8) = 4.5 J delivered, 3 J in R2.
"""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

RUBRIC = """
title = "Energies (invented)"
[[problem]]
id = "sled"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "20 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "1 kohm"},
  {name = "R2", kind = "resistor", between = ["b", "c"], value = "3 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "10 uF"},
]
item = [
  {id = "w", find = "energy delivered", of = "Vs", points = 2},
  {id = "h2", find = "energy dissipated", of = "R2", points = 2},
  {id = "h1", find = "energy dissipated", of = "R1", points = 2},
]
[[problem]]
id = "kiln"
ground = "g"
element = [
  {name = "L1", kind = "inductor", between = ["g", "a"], value = "0.4 H", initial = "3 A"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "g"], value = "10 ohm"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "40 ohm"},
]
item = [
  {id = "h1", find = "energy dissipated", of = "R1", until = "20 ms", points = 2},
  {id = "h2", find = "energy dissipated", of = "R2", until = "20 ms", points = 2},
]
[[problem]]
id = "winch"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "40 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s", opens = "50 ms"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "8 ohm"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "12 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.4 H"},
]
item = [
  {id = "i50", find = "value at", current = "L1", at = "50 ms", points = 2},
  {id = "i", find = "expression", current = "L1", after = "50 ms", points = 2},
  {id = "w", find = "stored energy", of = "L1", at = "50 ms", points = 2},
  {id = "h2", find = "energy dissipated", of = "R2", from = "50 ms", points = 2},
]
[[problem]]
id = "tanks"
ground = "g"
element = [
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "3 uF", initial = "20 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "C2", kind = "capacitor", between = ["b", "g"], value = "2 uF", initial = "5 V"},
  {name = "R1", kind = "resistor", between = ["b", "g"], value = "16 kohm"},
]
item = [
  {id = "v", find = "initial value", voltage = "C1", points = 2},
  {id = "w", find = "stored energy", of = ["C1", "C2"], at = "0 s", points = 2},
]
[[problem]]
id = "gust"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "12 e^(-2 t) u(t) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "2 ohm"},
  {name = "R2", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "1 H"},
]
item = [
  {id = "i", find = "expression", current = "L1", points = 3},
  {id = "w", find = "energy delivered", of = "Vs", points = 2},
  {id = "h2", find = "energy dissipated", of = "R2", points = 2},
]
"""

ROWS = [
    ("sled", {"w": "4 J"}, "h2", "1.5 J", 2),
    ("sled", {"w": "4 J"}, "h2", "2.9985 J", 2),
    ("sled", {"w": "4 J"}, "h2", "2.2 J", 0),
    ("sled", {"w": "2 mJ"}, "h2", "0.75 mJ", 2),
    ("sled", {"w": "4 mJ"}, "h2", "0.75 mJ", 0),
    ("sled", {"w": "4 mJ", "h2": "1 mJ"}, "h1", "0.333 mJ", 2),
    ("sled", {"w": "4 mJ", "h2": "1 mJ"}, "h1", "0.4 mJ", 0),
    ("kiln", {"h1": "0.5 J"}, "h2", "0.125 J", 2),
    ("kiln", {"h1": "0.5 J"}, "h2", "0.15 J", 0),
    ("kiln", {"h1": "0.793 J"}, "h2", "0.125 J", 0),
    ("winch", {"w": "4 J"}, "h2", "2.4 J", 2),
    ("winch", {"w": "4 J"}, "h2", "2 J", 0),
    ("winch", {"i50": "5 A"}, "w", "5 J", 2),
    ("winch", {"i50": "5 A"}, "h2", "3 J", 2),
    ("winch", {"i": "5 e^(-50(t-0.05)) A"}, "w", "5 J", 2),
    ("tanks", {"v": "12.5 V"}, "w", "390.6 uJ", 2),
    ("tanks", {"v": "12.5 V"}, "w", "234.4 uJ", 0),
    ("tanks", {"v": "20 V"}, "w", "390.6 uJ", 0),
    ("gust", {"w": "4.5 kJ"}, "h2", "3 kJ", 2),
    ("gust", {"w": "9 J"}, "h2", "6 J", 2),
    ("gust", {"w": "4.5 J"}, "h2", "6 J", 0),
]


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "energy.toml"))


@pytest.mark.parametrize(("problem", "own", "item", "text", "points"), ROWS)
def test_an_energy_in_proportion_to_an_own_one_follows(key, problem, own, item, text, points):
    answers = {f"{problem}.{id}": said for id, said in own.items()} | {f"{problem}.{item}": text}
    assert marks_of(key, answers)[f"{problem}.{item}"].awarded == points


@pytest.mark.parametrize(
    ("own", "told", "named"), [("e^(-2t) - 5 e^(-6t) A", True, False), ("3 e^(-2t) - 3 e^(-6t) A", False, True)]
)
def test_what_follows_and_is_minus_the_right_value_by_chance_is_told_as_what_it_is(key, own, told, named):
    """12 V times e^(-2t) - 5 e^(-6t) A: 12 (1/4 - 5/8) = -4.5 J, which no source of a circuit at rest delivers; half of 2 points for the sign."""
    mark = marks_of(key, {"gust.i": own, "gust.w": "-4.5 J"})["gust.w"]
    assert mark.awarded == 1
    assert ("follows from your own answer to 'i'" in " ".join(mark.reasons)) == told
    assert bool(mark.mistakes) == named
