"""Charge and energy up to an instant, followed from own values and expressions, with points worked out by hand.

`fill`: 10 V, 1 kΩ, 2 μF: v = 10 (1 - e^(-500t)) V.  With an own 8 (1 - e^(-500t)) V: 8 (1 - e^-2) = 6.917 V after 4 ms, 2 μF times
that 13.83 μC, times 10 V 138.3 μJ, less 2 μF (6.917 V)^2/2 = 47.85 μJ 90.5 μJ.  With an own 10 (1 - e^(-250t)) V: 6.321 V, 12.64 μC,
126.4 μJ, 126.4 - 39.96 = 86.5 μJ; by the own current (10 V - v)/1 kΩ = 10 e^(-250t) mA as well 25.28 μC and 172.9 μJ.
`beside`: 6 mA into 3 kΩ beside 1 kΩ and 2 μF: v = 18 (1 - e^(-125t)) V; 48 μC in 8 ms less 2 μF v(8 ms).  With an own
15 (1 - e^(-125t)) V: 9.482 V, 48 - 18.96 = 29.04 μC, times 3 kΩ 6 mA 522.7 μJ.
`coil`: 2 A decays in 40 Ω from 0.5 H, i = 2 e^(-80t) A; q = L (i(0) - i)/R.  With an own 1 A after 10 ms: 0.5 (2 - 1)/40 = 12.5 mC,
heat 1 J - 0.25 J = 0.75 J.
`pulse`: what charges C1 leaves it again, 0 C in all; 0.5 V/10 kΩ is 50 μA, times tau = 0.5 ms 25 nC, of which 2 % are 0.5 nC.
`turn`: the op amp's output is v = -2 (1 - e^(-500t)) V and C1 holds 50 nF from n to o; with an own +1.554 V after 3 ms: -77.7 nC.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = b"""
title = "Up to an instant (invented)"
course = "TEST"

[[problem]]
id = "fill"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "2 uF"},
]
item = [
  {id = "tau", find = "time constant", points = 1},
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "vend", find = "value at", voltage = "C1", at = "4 ms", points = 1},
  {id = "q", find = "charge passed", current = "R1", until = "4 ms", points = 2},
  {id = "w", find = "energy delivered", of = "Vs", until = "4 ms", points = 2},
  {id = "heat", find = "energy dissipated", of = "R1", until = "4 ms", points = 2},
]

[[problem]]
id = "beside"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], value = "6 mA"},
  {name = "S1", kind = "switch", between = ["a", "g"], opens = "0 s", closes = "8 ms"},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "3 kohm"},
  {name = "R2", kind = "resistor", between = ["a", "b"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "2 uF"},
]
item = [
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "q", find = "charge passed", current = "R1", until = "8 ms", points = 2},
  {id = "w", find = "energy delivered", of = "Is", until = "8 ms", points = 2},
]

[[problem]]
id = "coil"
ground = "g"
element = [
  {name = "Is", kind = "current source", between = ["g", "a"], value = "2 A"},
  {name = "S1", kind = "switch", between = ["a", "g"], closes = "0 s"},
  {name = "S2", kind = "switch", between = ["a", "b"], opens = "0 s"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "0.5 H"},
  {name = "R1", kind = "resistor", between = ["g", "b"], value = "40 ohm"},
]
item = [
  {id = "i", find = "value at", current = "L1", at = "10 ms", points = 2},
  {id = "q", find = "charge passed", current = "R1", until = "10 ms", points = 2},
  {id = "heat", find = "energy dissipated", of = "R1", until = "10 ms", points = 2},
]

[[problem]]
id = "turn"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "0.5 u(t) V"},
  {name = "Rin", kind = "resistor", between = ["a", "n"], value = "10 kohm"},
  {name = "Rf", kind = "resistor", between = ["n", "o"], value = "40 kohm"},
  {name = "C1", kind = "capacitor", between = ["n", "o"], value = "50 nF"},
  {name = "A1", kind = "ideal op amp", non_inverting = "g", inverting = "n", output = "o"},
  {name = "RL", kind = "resistor", between = ["o", "g"], value = "2 kohm"},
]
item = [
  {id = "vo", find = "value at", voltage = "RL", at = "3 ms", points = 2},
  {id = "q", find = "charge passed", current = "C1", until = "3 ms", points = 2},
]

[[problem]]
id = "pulse"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "0.5 u(t) - 0.5 u(t - 3 ms) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "10 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "50 nF"},
]
item = [{id = "q", find = "charge passed", current = "C1", points = 2}]
"""
SLOWER = "10(1-e^(-250t)) V"


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "until.toml"))


@pytest.mark.parametrize(
    ("problem", "answers", "expected"),
    [
        ("fill", {"q": "17.29 uC", "w": "172.9 uJ", "heat": "98.2 uJ"}, [2, 2, 2]),
        ("fill", {"v": "8(1-e^(-500t)) V", "q": "13.83 uC", "w": "138.3 uJ", "heat": "90.5 uJ"}, [3, 2, 2, 2]),
        ("fill", {"v": "8(1-e^(-500t)) V", "q": "21.83 uC"}, [3, 2]),  # of (10 V - v)/1 kohm
        ("fill", {"vend": "7 V", "q": "14 uC", "w": "140 uJ", "heat": "91 uJ"}, [0, 2, 2, 2]),
        ("fill", {"tau": "4 ms", "v": SLOWER, "q": "12.64 uC", "w": "126.4 uJ", "heat": "86.5 uJ"}, [0, 4, 2, 2, 2]),
        ("fill", {"tau": "4 ms", "v": SLOWER, "w": "126.4 uJ"}, [0, 4, 2]),
        ("fill", {"tau": "4 ms", "v": SLOWER, "q": "25.28 uC", "heat": "172.9 uJ"}, [0, 4, 2, 2]),
        ("fill", {"tau": "4 ms", "v": SLOWER, "q": "30 uC", "heat": "150 uJ"}, [0, 4, 0, 0]),
        ("beside", {"v": "15(1-e^(-125t)) V", "q": "29.04 uC", "w": "522.7 uJ"}, [3, 2, 2]),
        ("beside", {"v": "15(1-e^(-125t)) V", "q": "29.04 nC"}, [3, 1]),  # a power of ten: half
        ("beside", {"q": "30 uC", "w": "540 uJ"}, [0, 2]),
        ("coil", {"i": "1 A", "q": "12.5 mC", "heat": "0.75 J"}, [0, 2, 2]),
        ("coil", {"i": "1 A", "q": "25 mC", "heat": "0.25 J"}, [0, 0, 0]),
        ("pulse", {"q": "0.1 nC"}, [2]),
        ("pulse", {"q": "100 uC"}, [0]),
        ("turn", {"vo": "1.554 V", "q": "-77.7 nC"}, [1, 2]),  # the sign is charged once: half of the first
    ],
)
def test_points(key, problem, answers, expected):
    assert [mark.awarded for mark in marks_of(key, problem, answers)] == expected


def marks_of(key, problem, answers):
    written = tuple(Written(problem=problem, item=item, text=text) for item, text in answers.items())
    marks = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    return [mark for mark in marks if mark.problem == problem and mark.item in answers]


def test_no_power_of_ten_is_told_where_the_digits_are_others(key):
    """Own 13.83 uC; a thousand-millionth of it is as good as nothing beside any charge here, and so is 0.1 nC, but of other digits."""
    *_, mark = marks_of(key, "fill", {"v": "8(1-e^(-500t)) V", "q": "0.1 nC"})
    assert (mark.awarded, mark.mistakes) == (0, ())
