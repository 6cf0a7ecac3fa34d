"""What a key holds: the parts of an expression, verdicts on foreseen answers, and records that nothing changes."""

import pickle

import pytest

from grader.marking.beliefs import with_own_explanation
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.marking.marks import BLANK, CORRECT, FOR_A_PERSON, INCORRECT, PARTLY
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

RUBRIC = """
title = "Parts (invented)"
[[problem]]
id = "first"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "20 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "5 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "50 mH"},
]
item = [
  {id = "seen", find = "resistance seen", points = 1},
  {id = "tau", find = "time constant", points = 1},
  {id = "i", find = "expression", current = "L1", points = 4},
  {id = "vs", find = "expression", voltage = "Vs", points = 1},
  {id = "is", find = "transform", current = "L1", points = 1},
  {id = "vls", find = "transform", voltage = "L1", points = 1},
  {id = "vrs", find = "transform", voltage = "Vs", points = 1},
  {id = "why", find = "sketch", points = 1},
]

[[problem]]
id = "pulse"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "20 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s", opens = "10 ms"},
  {name = "R1", kind = "resistor", between = ["b", "g"], value = "5 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "50 mH", initial = "0 A"},
]
item = [
  {id = "i", find = "response", current = "L1", points = 5},
  {id = "why", find = "sketch", points = 1},
]

[[problem]]
id = "over"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "15 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "50 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "d"], value = "1 H"},
  {name = "C1", kind = "capacitor", between = ["d", "g"], value = "2.5 mF"},
]
item = [{id = "i", find = "expression", current = "L1", points = 4}]

[[problem]]
id = "ring"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "15 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "6 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "d"], value = "0.1 H"},
  {name = "C1", kind = "capacitor", between = ["d", "g"], value = "4 mF"},
]
item = [
  {id = "alpha", find = "damping coefficient", points = 1},
  {id = "omega0", find = "undamped natural frequency", points = 1},
  {id = "roots", find = "characteristic roots", points = 2},
  {id = "v", find = "expression", voltage = "C1", points = 6},
]

[[problem]]
id = "tank"
ground = "g"
element = [
  {name = "L1", kind = "inductor", between = ["a", "g"], value = "0.1 H", initial = "0 A"},
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "4 mF", initial = "8 V"},
]
item = [{id = "v", find = "expression", voltage = "C1", points = 4}]

[[problem]]
id = "foreseen"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "20 V"},
  {name = "R1", kind = "resistor", between = ["a", "c"], value = "5 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "50 mH"},
]
item = [{id = "i", find = "final value", current = "L1", points = 2, known_wrong = [
  {answer = "7 A", share = 1, comment = "As good."},
  {answer = "8 A", share = 0.5, comment = "Half."},
  {answer = "9 A", share = 0, comment = "Nothing."},
]}]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(RUBRIC.encode(), "parts.toml"))


def marked(key, problem, **answers):
    written = tuple(Written(problem=problem, item=item, text=text) for item, text in answers.items())
    upload = Upload(file="u.txt", digest="", student="S1", answers=written)
    return {mark.item: mark for mark in mark_upload(key, upload).marks if mark.problem == problem}


@pytest.mark.parametrize(
    ("problem", "item", "parts"),
    [
        ("first", "i", "initial value, final value, time constant, form"),
        ("first", "vs", "initial value, final value"),  # 20 V for ever
        ("first", "is", "poles, gain"),  # 400/(s (s + 100)) has no zero
        ("first", "vls", "poles, gain"),  # 20/(s + 100)
        ("first", "vrs", "poles, gain"),
        ("over", "i", "initial value, initial slope, final value, time constant, form"),
        ("ring", "v", "initial value, initial slope, final value, time constant, frequency, form"),
        ("tank", "v", "initial value, initial slope, frequency, form"),  # it never settles
    ],
)
def test_an_expression_is_split_by_what_it_says(key, problem, item, parts):
    """Two free constants need two start values."""
    assert ", ".join(name for name, _ in key.item(problem, item).parts) == parts


def test_a_response_is_worth_the_same_on_each_interval(key):
    assert [one.points for one in key.item("pulse", "i").intervals] == [2.5, 2.5]


def test_what_a_person_decides_waits_for_one(key):
    mark = marked(key, "first", why="rises to 4 A")["why"]
    assert (mark.verdict, mark.review, mark.awarded, mark.reading) == (FOR_A_PERSON, True, 0, "rises to 4 A")
    blank = marked(key, "first")["why"]
    assert (blank.verdict, blank.review) == (BLANK, False)


def test_where_one_way_of_writing_cannot_be_read_the_next_is_tried(key):
    written = Written(problem="first", item="tau", text="1e400 s", alternatives=("10 ms",))
    marks = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=(written,))).marks
    assert next(mark for mark in marks if mark.item == "tau").verdict == CORRECT


def test_what_is_explained_by_nothing_is_explained_one_way(key):
    for answer in ("10 ms", "13 ms"):
        mark = marked(key, "first", tau=answer)["tau"]
        assert (mark.mistakes, mark.tied) == ((), 1)


@pytest.mark.parametrize(
    ("answer", "verdict", "points"), [("7 A", CORRECT, 2), ("8 A", PARTLY, 1), ("9 A", INCORRECT, 0)]
)
def test_a_foreseen_answer_earns_its_share(key, answer, verdict, points):
    mark = marked(key, "foreseen", i=answer)["i"]
    assert (mark.verdict, mark.awarded) == (verdict, points)


@pytest.mark.parametrize(("alpha", "roots", "points"), [("18", "-18 ± j46.65", 2), ("-18", "18 ± j46.65", 0)])
def test_roots_that_grow_follow_from_nothing(key, alpha, roots, points):
    """omega0 = 50/s, alpha = 30/s; sqrt(50² - 18²) = 46.65."""
    assert marked(key, "ring", alpha=f"{alpha} 1/s", omega0="50 rad/s", roots=f"{roots} 1/s")["roots"].awarded == points


def test_what_an_own_answer_led_to_is_explained_by_it(key):
    """R/L with the own 8 ohm: 8/0.05 = 160, whatever the items are called."""
    mark = marked(key, "first", seen="8 ohm", tau="160 s")["tau"]
    assert mark.mistakes[0] == "rl-time-constant-inverted"


@pytest.mark.parametrize(("digits", "said"), [("4 A", "1 significant figure;"), ("4.0 A", "2 significant figures;")])
def test_figures_are_counted_in_english(digits, said):
    rubric = RUBRIC.replace("[[problem]]", "[marking]\nsignificant_figures = 3\n[[problem]]", 1)
    mark = marked(build_key(read_rubric(rubric.encode(), "figures.toml")), "foreseen", i=digits)["i"]
    assert any(said in reason for reason in mark.reasons)


def test_a_key_goes_to_other_processes(key):
    assert pickle.loads(pickle.dumps(key)).item("ring", "v").parts == key.item("ring", "v").parts


def test_a_key_that_has_marked_and_explained_goes_to_another_process():
    """What it remembers by then goes with it."""
    used = build_key(read_rubric(RUBRIC.encode(), "r.toml"))
    answers = (
        Written(problem="first", item="seen", text="v(0-) = 5 ohm"),
        Written(problem="first", item="tau", text="0.25 s"),
    )
    marked = mark_upload(used, Upload(file="a.txt", digest="", student="S1", answers=answers))
    with_own_explanation(used, marked)
    assert used.remembered
    assert (
        mark_upload(pickle.loads(pickle.dumps(used)), Upload(file="a.txt", digest="", student="S1", answers=answers))
        == marked
    )
