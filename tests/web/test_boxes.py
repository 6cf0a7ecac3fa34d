"""Questions with several right answers: boxes to tick, whose values together are one answer."""

import re

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.web.conftest import SHEET

RUBRIC = b"""
title = "Tide bell"
[[problem]]
id = "bell"
text = "An invented bell rings."
item = [
  {id = "holds", find = "choices", text = "At t = 0+", options = ["the coil is still", "the bell rings", "the tide is in"], key = ["the coil is still", "the bell rings"], points = 2},
]
"""
NAME = "answer:bell.holds"


@pytest.fixture
def student(make_site, browser, codes):
    return browser(make_site(keys={SHEET: build_key(read_rubric(RUBRIC, "bell.toml"))}, attempts=9), codes["S0001"])


def boxes(page):
    return {
        value: "checked" in rest
        for value, rest in re.findall(rf'type="checkbox" name="{NAME}" value="([^"]*)"([^>]*)', page)
    }


def test_each_option_has_a_box(student):
    page = student.get(f"/sheets/{SHEET}").text
    assert list(boxes(page)) == ["the coil is still", "the bell rings", "the tide is in", "none"]
    assert not any(boxes(page).values())
    assert "Tick all that hold." in page


@pytest.mark.parametrize(
    "ticked, earned",
    [
        (["the coil is still", "the bell rings"], "2 of 2"),
        (["the bell rings"], "1 of 2"),
        (["the bell rings", "the tide is in"], "0 of 2"),
        (["none"], "0 of 2"),
    ],
)
def test_all_boxes_count(student, ticked, earned):
    page = student.answer({"bell.holds": ticked})
    assert earned in " ".join(re.sub(r"<[^>]+>", " ", page.text).split())
    shown = boxes(student.get(f"/sheets/{SHEET}").text)
    assert [value for value, checked in shown.items() if checked] == ticked


def test_an_answer_in_other_words_stays_as_it_was_written(student):
    shown = boxes(student.answer({"bell.holds": "a, b"}, do="check").text)
    assert [value for value, checked in shown.items() if checked] == ["a, b"]


def test_a_box_beside_none_of_these_waits_for_a_person(student):
    page = student.answer({"bell.holds": ["the bell rings", "none"]}, do="check").text
    assert "says that none holds" in page
    page = student.answer({"bell.holds": ["the bell rings", "none"]}, do="insist").text
    assert "0 of 2" in " ".join(re.sub(r"<[^>]+>", " ", page).split())
    assert "your instructor will look at this one" in page


def test_how_many_hold_is_not_told_while_attempts_are_left(student):
    page = student.answer({"bell.holds": ["the bell rings"]}).text
    assert "not all that holds is chosen" in page
    assert "right options" not in page
