"""Explanations hold of what the student did: of the slip that is charged, and of the other answers of the sheet."""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = b"""
title = "Buoy bell (invented)"
[[problem]]
id = "bell"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "20 u(t) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "40 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "20 mH"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "50 uF"},
]
item = [
  {id = "roots", find = "characteristic roots", points = 2},
  {id = "type", find = "damping type", points = 1},
]
[[problem]]
id = "coil"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], opens = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "6.1 ohm"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "1.9 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.2 H"},
]
item = [
  {id = "kick", find = "initial value", voltage = "L1", points = 1},
]
[[problem]]
id = "ramp"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "8 u(t) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "40 mH"},
]
item = [
  {id = "most", find = "maximum", current = "L1", until = "15 ms", points = 1},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "bell.toml"))


def marks(key, **answers):
    written = tuple(
        Written(problem=problem.id, item=item.id, text=answers[item.id])
        for problem in key.rubric.problems
        for item in problem.items
        if item.id in answers
    )
    return {
        mark.item: mark for mark in mark_upload(key, Upload(file="", digest="", student="S", answers=written)).marks
    }


def test_a_word_is_not_explained_by_what_a_right_answer_beside_it_rules_out(key):
    """Twice the damping gives "overdamped", and other roots than the right ones."""
    alone = marks(key, type="overdamped")["type"]
    assert "damping-factor-two-lost" in alone.mistakes
    beside = marks(key, roots="-1000, -1000 1/s", type="overdamped")["type"]
    assert "damping-factor-two-lost" not in beside.mistakes
    assert beside.mistakes
    wrong = marks(key, roots="-500 + j900, -500 - j900 1/s", type="overdamped")["type"]
    assert "damping-factor-two-lost" in wrong.mistakes


def test_a_sign_that_is_charged_is_explained_first(key):
    """Before the switching nothing is across the coil; after it -3.934 A x 8 ohm = -31.48 V."""
    kick = marks(key, kick="31.5 V")["kick"]
    assert "the sign is not" in " ".join(kick.reasons)
    assert "sign" in kick.mistakes[0]
    assert "sign" in kick.notes[0]


def test_a_final_value_is_no_rounding(key):
    """Until 15 ms the current rises to 2 (1 - e^(-1.5)) = 1.5537 A, which is 2 to one digit; 2 A is where it ends."""
    assert "rounded-too-far" not in marks(key, most="2 A")["most"].mistakes
    assert "rounded-too-far" in marks(key, most="1.6 A")["most"].mistakes
