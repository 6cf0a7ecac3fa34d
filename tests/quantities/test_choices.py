"""Statements to be judged: what counts as true and as false, and what a rubric may say of them."""

import pytest

from grader.errors import RubricError
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.problem import Rubric
from grader.reading.refusals import CannotRead
from grader.reading.words import choose
from grader.uploads.upload import Upload, Written
from tests.quantities.building import problem


def marks(circuit: str, items: tuple[str, ...], answers: dict[str, str]):
    rubric = Rubric(title="", course="", problems=(problem(circuit, *items),), digest="", name="test.toml")
    written = tuple(Written(problem="p", item=item, text=text) for item, text in answers.items())
    return mark_upload(build_key(rubric), Upload(file="u.txt", digest="", student="S1", answers=written)).marks


@pytest.mark.parametrize(
    "text, chosen",
    [("true", "true"), ("False", "false"), ("T", "true"), ("f", "false"), ("FALSE.", "false"), ("it is true", "true"),
     ("wrong", "false"), ("no", "false"), ("No.", "false"), ("yes", "true"), ("right", "true"), ("ja", "true"), ("nein", "false"),
     ("falsch", "false"), ("Wahr", "true"), ("richtig", "true"), ("vrai", "true"), ("faux", "false"), ("sí", "true"),
     ("that is wrong", "false"), ("incorrect", "false")],
)  # fmt: skip
def test_judged(text, chosen):
    assert choose(text, ("true", "false")).choice.option == chosen


def test_the_key_is_one_of_the_two():
    assert problem("", 'id = "s", find = "true or false", key = "True"').items[0].options == ("true", "false")
    with pytest.raises(RubricError, match='must be "true" or "false"'):
        problem("", 'id = "s", find = "true or false", key = "maybe"')


@pytest.mark.parametrize("text", ["not wrong", "maybe", "yes and no"])
def test_not_judged(text):
    with pytest.raises(CannotRead):
        choose(text, ("true", "false"))


HOLDS = 'id = "x", find = "choices", options = ["it rises", "it falls", "it oscillates", "it ends at 0 V"], key = ["it falls", "it ends at 0 V"], points = 2'


@pytest.mark.parametrize(
    "answer, earned",
    [
        ("it falls; it ends at 0 V", 2),
        ("b, d", 2),
        ("(b) and (d)", 2),
        ("BD", 2),
        ("d b", 2),
        ("It ends at 0 V and it falls", 2),
        ("2 and 4", 2),
        ("options b and d", 2),
        ("(b) (d)", 2),
        ("b) & d)", 2),
        ("falls and ends at 0", 2),
        ("only b", 1),
        ("b", 1),
        ("it falls", 1),
        ("a, b, d", 1),  # two right ones less one wrong one
        ("a, b", 0),
        ("a b c d", 0),
        ("a", 0),
        ("none", 0),
    ],
)
def test_all_that_hold(answer, earned):
    """Two points, one for each right option; a wrong one takes one off, and nothing falls below zero."""
    (mark,) = marks("", (HOLDS.replace(", points = 2", ""),), {"x": answer})
    assert mark.awarded * 2 == earned, mark.reasons


def test_faults_of_choices():
    with pytest.raises(RubricError, match="'key' names 'it stays'"):
        problem("", HOLDS.replace(", points = 2", "").replace('"it falls", "it ends', '"it stays", "it ends'))


def test_an_option_may_have_its_share_and_its_mistake():
    """Half of the point for 'stays', and the belief that the rubric names is noted; lettered answers count as well."""
    item = (
        'id = "x", find = "choice", options = ["rises", "stays", "falls"], key = "falls", '
        'known_wrong = [{answer = "stays", share = 0.5, comment = "It cannot jump, but it moves.", mistake = "nothing-jumps"}]'
    )
    (mark,) = marks("", (item,), {"x": "(b)"})
    assert (mark.awarded, mark.mistakes) == (0.5, ("nothing-jumps",))
    assert "It cannot jump, but it moves." in mark.reasons
    assert [one.awarded for answer in ("c", "falls", "a)") for one in marks("", (item,), {"x": answer})] == [1, 1, 0]
    with pytest.raises(RubricError, match="there is no mistake called 'nonsense'"):
        marks("", (item.replace("nothing-jumps", "nonsense"),), {})


def test_a_person_marks_a_sketch_and_a_sentence():
    items = ('id = "s", find = "sketch"', 'id = "w", find = "explanation"', 'id = "b", find = "explanation"')
    sketch, sentence, blank = marks("", items, {"s": "page 2", "w": "The charge has nowhere to go."})
    assert (sketch.verdict, sketch.review, sketch.awarded) == ("for a person", True, 0)
    assert (sentence.verdict, sentence.review, sentence.reading) == (
        "for a person",
        True,
        "The charge has nowhere to go.",
    )
    assert (blank.verdict, blank.review) == ("blank", False)


@pytest.mark.parametrize("text", ["dunno", "-", "?", "idk", "no idea", "n/a"])
def test_an_explanation_that_is_none_is_no_answer(text):
    (mark,) = marks("", ('id = "w", find = "explanation"',), {"w": text})
    assert (mark.verdict, mark.review, mark.reasons) == ("blank", False, ("This counts as no answer.",))


def test_values_at_several_instants_share_the_points():
    """10 (1 - e^(-t/2ms)) V: 0, 6.321, 8.647 V; each a row of its own, with a third of the points."""
    found = problem(
        "charging",
        'id = "v", find = "value at", voltage = "C1", at = ["0 s", "2 ms", "4 ms"], key = ["0 V", "6.321 V", "8.647 V"]',
    )
    assert [(item.id, item.key) for item in found.items] == [("v-1", "0 V"), ("v-2", "6.321 V"), ("v-3", "8.647 V")]
    assert sum(item.points for item in found.items) == pytest.approx(1)
    rows = marks(
        "charging",
        ('id = "v", find = "value at", voltage = "C1", at = ["0 s", "2 ms", "4 ms"]',),
        {"v-1": "0", "v-2": "6.3 V", "v-3": "8 V"},
    )
    assert [round(mark.awarded, 3) for mark in rows] == [0.333, 0.333, 0]
