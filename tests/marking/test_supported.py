"""Of two mistakes that give the same number the one is named first that the student's other answers show; worked out by hand.

R1 ∥ R2 = 4 Ω, R3 = 3 Ω, and E1 adds 4.5 Ω · 2/3 = 3 Ω: 10 Ω; without R3 or with E1 off 7 Ω.
With R4 beside R2: 3 Ω + 3 Ω + 4.5 Ω/2 = 8.25 Ω; with E1 off 6 Ω, without R3 5.25 Ω.
"""

import pytest

from grader.marking.beliefs import with_own_explanation
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = """
title = "Support (invented)"
[[problem]]
id = "hut"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "30 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "6 ohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "12 ohm"},
  {name = "R3", kind = "resistor", between = ["c", "d"], value = "3 ohm"},
  {name = "L1", kind = "inductor", between = ["d", "e"], value = "0.5 H"},
  {name = "E1", kind = "current-controlled voltage source", between = ["e", "g"], gain = "4.5 ohm", control = "R1"},
  {name = "S2", kind = "switch", between = ["c", "f"], closes = "30 ms"},
  {name = "R4", kind = "resistor", between = ["f", "g"], value = "12 ohm"},
]
item = [
  {id = "seen", find = "resistance seen", after = "0 s", points = 2},
  {id = "later", find = "resistance seen", after = "30 ms", points = 2},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "support.toml"))


@pytest.mark.parametrize(
    ("later", "named", "told"),
    [
        ("6 ohm", "dependent-source-switched-off", "Dependent source switched off"),
        ("5.25 ohm", "own-series-resistor-lost", "The resistor in series"),
    ],
)
def test_what_other_answers_show_is_told_first(key, later, named, told):
    written = tuple(
        Written(problem="hut", item=item, text=text) for item, text in (("seen", "7 ohm"), ("later", later))
    )
    marked = with_own_explanation(key, mark_upload(key, Upload(file="u", digest="", student="S", answers=written)))
    seen = marked.marks[0]
    assert seen.mistakes[0] == named
    assert seen.notes[0].startswith(told)
    assert len(seen.notes) == 2
