"""Answers put together from pieces at random, marked as every kind of item: each gets a mark and a sentence."""

from pathlib import Path
from random import Random

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import load_rubric
from grader.uploads.upload import Upload, Written
from tests.reading.test_fuzz import PIECES

RUBRICS = Path(__file__).parents[2] / "rubrics"
NAMES = ("harbour_bell", "bilge_filter", "weir_gauge")
"""Between them of nearly every find, responses, transforms and equations among them."""


@pytest.fixture(scope="module")
def keys():
    return [build_key(load_rubric(RUBRICS / f"{name}.toml")) for name in NAMES]


def mark_at_random(keys, random, count):
    for _ in range(count):
        key = random.choice(keys)
        problem = random.choice(key.rubric.problems)
        item = random.choice(problem.items)
        between = random.choice(("", " "))
        text = between.join(random.choice(PIECES) for _ in range(random.randint(1, 12)))
        written = Written(problem=problem.id, item=item.id, text=text)
        marks = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=(written,))).marks
        (mark,) = [one for one in marks if (one.problem, one.item) == (problem.id, item.id)]
        assert 0 <= mark.awarded <= mark.possible, text
        assert mark.reasons or mark.parts, text


@pytest.mark.parametrize(
    "text", ["j*(s+2)", "e^(-j2s)", "sqrt(s)j", "2∠30/(s+1)", "10/(js+5)", "5/(s+1-j2) + 5/(s+1+j2)"]
)
def test_a_function_of_s_with_an_imaginary_unit_is_marked(keys, text):
    key = keys[NAMES.index("bilge_filter")]
    (item, *_) = [
        key_item for _, items in key.problems for key_item in items if key_item.reference.find == "transfer function"
    ]
    written = Written(problem=item.problem, item=item.id, text=text)
    marks = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=(written,))).marks
    assert [mark.awarded for mark in marks if (mark.problem, mark.item) == (item.problem, item.id)] == [0]


def test_any_answer_is_marked(keys):
    mark_at_random(keys, Random(30), 500)


@pytest.mark.nightly
def test_many_answers_are_marked(keys):
    mark_at_random(keys, Random(31), 100_000)
