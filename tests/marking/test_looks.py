"""When a person looks at a mark, what is said then, and how sure a mistake named by the rubric is."""

from pathlib import Path

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import load_rubric, read_rubric
from grader.uploads.upload import Upload, Written

READING, ANSWER = "A person will check how this answer should be read.", "A person will check this answer."


def marked(rubric, place, text):
    problem, item = place.split(".")
    upload = Upload(file="u.txt", digest="", student="S1", answers=(Written(problem=problem, item=item, text=text),))
    return next(
        mark for mark in mark_upload(build_key(rubric), upload).marks if (mark.problem, mark.item) == (problem, item)
    )


@pytest.fixture(scope="module")
def rules():
    return load_rubric(Path(__file__).with_name("rules.toml"))


@pytest.mark.parametrize(
    ("place", "text", "share", "sentence"),
    [
        ("tank.v", "6 + 24 e^(-500) V", 1, READING),  # the t was put in
        ("tank.v", "7 - 3 e^(-50) V", 0.25, READING),  # the form alone is right
        ("tank.v", "3 e^(-50) V", 0, ""),  # nothing is right, however it is read
        ("coil.w", "0.5 C v^2", 0, ANSWER),
        ("coil.final", "0.3 A = 10 A + 1 A", 0, READING),  # either side may be the answer
        ("coil.final", "-300 mA, lower end is minus", 0.5, ANSWER),  # words tell a direction
        ("twice.v", "20(1-e^(-125t)) V for t > 8 ms", 1, ANSWER),  # of the interval that follows
        ("twice.v", "20(1-e^(-125t)) V for t < 8 ms", 1, ""),
        ("tank.v", "6 + 24 e^(-500t) V", 1, ""),
        ("tank.v", "3 e^(-50t) V", 0, ""),
    ],
)
def test_a_person_looks_where_a_reading_earns_something_or_nothing_decides(rules, place, text, share, sentence):
    mark = marked(rules, place, text)
    assert mark.awarded == pytest.approx(share * mark.possible)
    assert mark.review is bool(sentence)
    assert [said for said in (READING, ANSWER) if said in mark.reasons] == [sentence][: bool(sentence)]


STEPS = "20(1-e^(-125t)) V for 0 < t < {0}; 15 - 2.358 e^(-(t-8ms)/6ms) V for t > {0}"


@pytest.mark.parametrize(
    ("place", "instant", "points"),
    [
        # Within 2 % of the instant at which the circuit changes an expression's range may end or begin.
        ("twice.v", "8 ms", 4),
        ("twice.v", "7.9 ms", 4),
        ("twice.v", "7.8 ms", 1),
        ("twice.v", "8.5 ms", 4),
        ("twice.v2", "7.5 ms", 4),
        ("twice.v2", "8 ms", 4),
        ("twice.v2", "8.1 ms", 4),
        ("twice.v2", "8.2 ms", 2),  # what holds from 8 ms on counts as well
    ],
)
def test_the_ends_of_a_range_are_as_inexact_as_a_value(rules, place, instant, points):
    assert marked(rules, place, STEPS.format(instant)).awarded == pytest.approx(points)


FORESEEN = """
title = "Foreseen (invented)"
[[problem]]
id = "p"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "20 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "5 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "50 mH"},
]
item = [
  {id = "tau", find = "time constant", points = 4, known_wrong = [
    {answer = "100 s", share = 0.25, comment = "That is R/L.", mistake = "rl-time-constant-inverted"},
    {answer = "7 s", share = 1, comment = "As in the old sheet."},
    {answer = "8 s", share = 0, comment = "No."},
  ]},
  {id = "held", find = "choice", points = 1, options = ["current", "voltage"], key = "current", known_wrong = [
    {answer = "voltage", share = 0, comment = "A coil holds its current.", mistake = "rest-assumed"},
  ]},
]
"""


@pytest.mark.parametrize(
    ("item", "text", "points", "verdict", "mistakes", "to_the_digit"),
    [
        ("tau", "100 s", 1, "partly correct", ("rl-time-constant-inverted",), True),
        ("tau", "7 s", 4, "correct", (), False),
        ("tau", "8 s", 0, "incorrect", (), False),
        ("held", "voltage", 0, "incorrect", ("rest-assumed",), False),  # of two words one is soon met by chance
    ],
)
def test_a_foreseen_answer_is_marked_as_the_rubric_says(item, text, points, verdict, mistakes, to_the_digit):
    mark = marked(read_rubric(FORESEEN.encode(), "foreseen.toml"), f"p.{item}", text)
    assert (mark.awarded, mark.verdict, mark.mistakes) == (points, verdict, mistakes)
    assert mark.to_the_digit is to_the_digit
