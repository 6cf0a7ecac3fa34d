"""A name stands for the student's own answer, a function of t, too: by hand i1 = 3(1 - e^(-20t)) A and v2 = 18 V - 6 ohm * i1.

24 V behind 8 ohm feed 24 ohm beside 0.3 H: 6 ohm are seen, tau = 50 ms, and 24 - 8(i1 + v2/24) = v2.  From i1 = 4(1 - e^(-20t)) A
follows v2 = -6 + 24 e^(-20t) V.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = b"""
title = "Latch (invented)"
course = "TEST"
[marking]
follow_through = 1.0
[[problem]]
id = "latch"
title = "Latch"
text = "S1 closes at t = 0."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "8 ohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "24 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.3 H"},
]
item = [
  {id = "i1", find = "expression", current = "L1", points = 4},
  {id = "v2", find = "expression", voltage = "R2", points = 4},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC, "latch.toml"))


@pytest.mark.parametrize("formula", ["18 - 6*i1", "18 - 6 i_1", "(24 - 8*i1)*R2/(R1+R2)", "18 - 6*iL", "18 - 6 i_L1 V"])
@pytest.mark.parametrize("own", ["3(1 - e^(-20t)) A", "4(1 - e^(-20t)) A"])
def test_a_name_stands_for_an_own_function_of_time(key, formula, own):
    written = tuple(Written(problem="latch", item=item, text=text) for item, text in (("i1", own), ("v2", formula)))
    *_, mark = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    assert (mark.awarded, mark.review) == (4, False)


def test_where_there_is_no_own_answer_the_formula_says_the_method(key):
    written = (Written(problem="latch", item="v2", text="18 - 6*i1"),)
    *_, mark = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    assert mark.awarded < 4
    assert any("You gave no answer to 'i1'" in reason for reason in mark.reasons)
