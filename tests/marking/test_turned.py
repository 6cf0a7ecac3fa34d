"""A sign turned, and what is said of it: to the student, of the student's beliefs, and in the audit of the class.

`amp`, worked by hand: 0.5 V into 10 kΩ, 40 kΩ and 50 nF from - input to output: v = -2 (1 - e^(-500t)) V, -1000 V/s at first.
`fill`: 12 V into 3 kΩ and 2 μF, 6 kΩ across it: 8 V in the end, 4 mA at first; 12 V is foreseen for a quarter of the points.
"""

import pytest

from grader.marking.beliefs import is_wrong, with_own_explanation
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.reports.audit_gather import gather
from grader.reports.audit_lines import line_of
from grader.reports.faults import UNIT_ALONE
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = b"""
title = "Signs (invented)"
course = "TEST"

[[problem]]
id = "amp"
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
  {id = "slope", find = "initial slope", voltage = "RL", points = 2},
  {id = "vf", find = "final value", voltage = "RL", points = 2},
]

[[problem]]
id = "fill"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "3 kohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "6 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "2 uF"},
]
item = [
  {id = "vf", find = "final value", voltage = "C1", points = 2, known_wrong = [{answer = "12 V", share = 0.25, comment = "Some of it falls across R1."}]},
  {id = "i", find = "final value", current = "R2", points = 2},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "signs.toml"))


def marked(key, problem, answers):
    written = tuple(Written(problem=problem, item=item, text=text) for item, text in answers.items())
    return with_own_explanation(key, mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)))


def marks_of(key, problem, answers):
    return [mark for mark in marked(key, problem, answers).marks if mark.place[0] == problem and mark.answer]


def test_a_direction_kept_elsewhere_explains_the_first_sign_alone(key):
    """Its exponent, of the wrong sign, would give 1000 V/s as well."""
    alone, *_ = marks_of(key, "amp", {"slope": "1000 V/s"})
    slope, vf = marks_of(key, "amp", {"slope": "1000 V/s", "vf": "2 V"})
    assert alone.tied > 1
    assert {"growing-power", "inverting-sign-lost"} <= {*alone.mistakes}
    assert (slope.mistakes[0], slope.tied) == ("inverting-sign-lost", 1)
    assert "inverting amplifier" in " ".join(slope.notes)
    assert (slope.awarded, vf.awarded) == (1, 2)


def test_what_follows_but_for_its_sign_is_told_as_that(key):
    """Own 9 V over 6 kΩ: 1.5 mA."""
    _, i = marks_of(key, "fill", {"vf": "9 V", "i": "-1.5 mA"})
    assert (i.awarded, i.mistakes) == (1, ("sign-turned",))


def test_only_a_unit_is_counted_as_a_unit(key):
    """Foreseen 12 V: 1.5 points lost; a turned sign: 1; a missing unit: 0.5."""
    lines = [
        line_of(student, "", mark, personal=False)
        for student, answers in {
            "S1": {"vf": "12 V"},
            "S2": {"vf": "9 V", "i": "-1.5 mA"},
            "S3": {"vf": "8"},
        }.items()
        for mark in marks_of(key, "fill", answers)
    ]
    assert [is_wrong(line.mark) for line in lines] == [True, True, True, False]
    audit = gather(lines).figures("class")
    (unit,) = [one for one in audit.mistakes if one.id == UNIT_ALONE.id]
    assert (unit.lost, unit.students) == (0.5, ("S3",))
    assert audit.lost.unit_and_sign == 1.5
