"""Responses to alternating sources that follow from own earlier answers, with points worked out by hand.

`coil`: 10 V/(3 + j4) ohm = 2 A at -53.13 degrees, so iss = 1.2 cos(100t) + 1.6 sin(100t) A; tau = 13.33 ms, i(0) = 0.
`tank`: 10 V/(20 - j10) ohm = 0.4 + j0.2 A, over j0.05 S: vss = 4 cos(100t) + 8 sin(100t) V.  With v(0) = 0 and v'(0) = 0
the natural part begins at -4 V with -800 V/s; alpha = 100 1/s, and the roots are -100 ± j100 1/s.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = b"""
title = "Alternating sources (invented)"
course = "TEST"
[[problem]]
id = "coil"
title = "Coil"
text = "S1 closes at t = 0."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "10 cos(100 t) V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "3 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "40 mH"},
]
item = [
  {id = "seen", find = "resistance seen", points = 1},
  {id = "iss", find = "forced part", current = "L1", points = 3},
  {id = "i", find = "expression", current = "L1", points = 4},
  {id = "i10", find = "value at", current = "L1", at = "10 ms", points = 2},
]
[[problem]]
id = "tank"
title = "Coil and capacitor"
text = "C1 is empty and L1 without current. S1 closes at t = 0."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "10 cos(100 t) V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "20 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "d"], value = "100 mH"},
  {name = "C1", kind = "capacitor", between = ["d", "g"], value = "500 uF"},
]
item = [
  {id = "roots", find = "characteristic roots", points = 2},
  {id = "vss", find = "forced part", voltage = "C1", points = 3},
  {id = "v", find = "expression", voltage = "C1", points = 5},
]
"""
PLACES = {"seen": "coil", "iss": "coil", "i": "coil", "i10": "coil", "roots": "tank", "vss": "tank", "v": "tank"}
ISS, VSS = "1.2cos(100t) + 1.6sin(100t) A", "4cos(100t) + 8sin(100t) V"


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "alternating"))


@pytest.mark.parametrize(
    "answers, wanted, possible",
    [
        ({"i": "1.2cos(100t) + 1.6sin(100t) - 1.2e^(-75t) A"}, 4, 4),
        ({"seen": "2 ohm", "iss": ISS, "i": "1.2cos(100t) + 1.6sin(100t) - 1.2e^(-50t) A"}, 4, 4),
        ({"seen": "2 ohm", "i": "1.2cos(100t) + 1.6sin(100t) - 1.2e^(-50t) A"}, 4, 4),
        ({"iss": "1.6cos(100t) + 1.2sin(100t) A", "i": "1.6cos(100t) + 1.2sin(100t) - 1.6e^(-75t) A"}, 4, 4),
        ({"seen": "2 ohm", "iss": "2cos(100t) A", "i": "2cos(100t) - 2e^(-50t) A"}, 4, 4),
        ({"seen": "2 ohm", "i10": "1.267 A"}, 2, 2),
        ({"seen": "2 ohm", "i10": "1.428 A"}, 2, 2),
        ({"roots": "-100 ± j200 1/s", "vss": VSS,
          "v": "4cos(100t) + 8sin(100t) - e^(-100t)(4cos(200t) + 6sin(200t)) V"}, 5, 5),
        ({"vss": "4cos(100t) V", "v": "4cos(100t) - e^(-100t)(4cos(100t) + 4sin(100t)) V"}, 5, 5),
    ],
)  # fmt: skip
def test_what_follows_from_own_answers_counts_in_full(key, answers, wanted, possible):
    *_, last = answers
    mark = marks(key, answers)[last]
    assert (mark.awarded, mark.possible) == (wanted, possible)


@pytest.mark.parametrize(
    "answers",
    [
        {"seen": "2 ohm", "i": "1.2cos(100t) + 1.6sin(100t) - 1.2e^(-100t) A"},
        {"iss": "1.6cos(100t) + 1.2sin(100t) A", "i": "1.6cos(100t) + 1.2sin(100t) - 1.2e^(-75t) A"},
        {"seen": "2 ohm", "i10": "1.1 A"},
        {"roots": "-100 ± j200 1/s", "v": "4cos(100t) + 8sin(100t) - e^(-100t)(4cos(200t) + 12sin(200t)) V"},
    ],
)
def test_what_does_not_follow_does_not(key, answers):
    *_, last = answers
    mark = marks(key, answers)[last]
    assert mark.awarded < mark.possible


def marks(key, answers):
    """The marks of answers by item, as of one upload."""
    written = tuple(Written(problem=PLACES[item], item=item, text=text) for item, text in answers.items())
    found = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    return {mark.item: mark for mark in found}
