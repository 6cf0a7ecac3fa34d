"""*Please look again*: a sentence goes to the review list, and the decision with its reason comes back."""

import re

import pytest

from grader.web.data.records import Request
from tests.web.conftest import RIGHT, SHEET

DESK = f"/instructor/sheets/{SHEET}"
WRONG = {**RIGHT, "gate.tau": "1 ms", "gate.rth": "9 ohm"}
SENTENCE = "I used <b>R1</b> and R2 as in the example \u202e."


def ask(browser, address, item="tau", sentence=SENTENCE, **more):
    return browser.send(
        f"{address}/again", {"problem": "gate", "item": item, "sentence": sentence, **more}, page=address
    )


@pytest.fixture
def address(student):
    return student.answer(WRONG).url.path


def test_the_whole_way(site, student, instructor, address):
    page = student.get(address).text
    assert page.count("<summary>Please look again</summary>") == 2  # the two that are not right
    page = ask(student, address).text
    assert "You asked to look again" in page
    assert "has not decided yet" in page
    assert "&lt;b&gt;R1&lt;/b&gt;" in page
    assert "‹U+202E›" in page
    desk = instructor(site)
    assert re.search(r"<strong>1</strong> of these asked to look again", desk.get(DESK).text)
    review = desk.get(f"{DESK}/review").text
    assert "asks to look again:" in review
    assert re.search(r"Beside it: \w+ <bdi", review)
    assert "&lt;b&gt;R1&lt;/b&gt;" in review
    fields = dict(re.findall(r'name="(token|student|problem|item|attempt)" value="([^"]+)"', review))
    desk.post(f"{DESK}/review", data={**fields, "points": "1.5", "reason": "The factor is ours."})
    page = student.get(address).text
    assert "The factor is ours." in page
    assert "has not decided yet" not in page
    assert "16.5 of 18 points" in page
    assert re.search(r"<strong>0</strong> of these asked to look again", desk.get(DESK).text)
    assert "asks to look again:" not in desk.get(f"{DESK}/review").text


def test_beside_an_answer_stands_what_it_follows_from(site, student, instructor):
    ask(student, student.answer({**RIGHT, "gate.i": "2 A"}).url.path, item="i")
    (beside,) = re.findall(r"Beside it: (.*?)</p>", instructor(site).get(f"{DESK}/review").text)
    assert re.findall(r"(\w+) <bdi", beside) == ["start", "end", "tau"]


def test_a_mark_is_asked_about_once(site, student, address):
    assert ask(student, address).status_code == 200
    assert ask(student, address, sentence="Once more.").status_code == 409
    assert [one.sentence for one in site.store.requests(SHEET)] == [SENTENCE]


@pytest.mark.parametrize(
    "item, sentence, status",
    [("tau", "", 422), ("tau", "x" * 301, 422), ("before", "Why?", 409), ("none", "Why?", 409)],
)
def test_what_cannot_be_asked(site, student, address, item, sentence, status):
    page = ask(student, address, item, sentence)
    assert page.status_code == status
    assert sentence in page.text  # what was written is not lost
    assert site.store.requests(SHEET) == ()


def test_only_the_attempt_that_counts_can_be_asked_about(site, student, address):
    student.answer(RIGHT)
    assert "Please look again" not in student.get(address).text
    assert ask(student, address).status_code == 409
    assert site.store.requests(SHEET) == ()


def test_the_review_list_says_that_another_attempt_counts(site, student, instructor, address):
    """Of 18 points tau and rth, worth 4 and 2, were lost in attempt 1."""
    ask(student, address)
    desk = instructor(site)
    assert "Attempt" not in desk.get(f"{DESK}/review").text
    student.answer(RIGHT)
    assert "Attempt 2 counts, with 18 points; attempt 1 has" in desk.get(f"{DESK}/review").text


def test_nobody_asks_about_anothers_attempt(site, browser, codes, address):
    other = browser(site, codes["S0002"])
    token = other.token(f"/sheets/{SHEET}")
    page = other.post(f"{address}/again", data={"token": token, "problem": "gate", "item": "tau", "sentence": "Why?"})
    assert page.status_code == 404
    assert site.store.requests(SHEET) == ()


def test_a_request_survives_a_restart_and_belongs_to_one_answer(make_site, student, address, browser, codes):
    ask(student, address)
    site = make_site(keep="last")
    (request,) = site.store.requests(SHEET, "S0001")
    assert isinstance(request, Request)
    assert request.answer == "1 ms"
    again = browser(site, codes["S0001"])
    page = again.answer({**WRONG, "gate.tau": "2 ms"})
    assert "You asked to look again" not in page.text  # it was about another answer
    assert "Please look again" in page.text


def test_a_request_and_its_decision_hold_however_the_answer_is_laid_out(make_site, browser, codes, instructor, clock):
    site = make_site(keep="last")
    mine = browser(site, codes["S0001"])
    first = mine.answer(WRONG).url.path
    ask(mine, first)
    clock.forward(60)
    second = mine.answer({**WRONG, "gate.tau": "1ms"}).url.path
    for address in (first, second):
        assert "You asked to look again" in mine.get(address).text
    desk = instructor(site)
    review = desk.get(f"{DESK}/review").text
    assert review.count("asks to look again:") == 1
    fields = dict(re.findall(r'name="(token|student|problem|item|attempt)" value="([^"]+)"', review))
    desk.post(f"{DESK}/review", data={**fields, "points": "1.5", "reason": "The factor is ours."})
    assert "asks to look again:" not in desk.get(f"{DESK}/review").text
    for address in (first, second):
        page = mine.get(address).text
        assert "The factor is ours." in page
        assert "has not decided yet" not in page
