"""An answer that is right with a classmate's values: told to the instructor, as ``grader grade`` does, never to a student."""

import asyncio
from pathlib import Path

import pytest

from grader.marking.key import build_key
from grader.rubric.files import load_rubric
from grader.rubric.personal import personal_rubric
from grader.rubric.references import references
from grader.uploads.roster import Roster
from grader.web.start import mark_anew
from tests.web.conftest import ROSTER

RUBRIC = Path(__file__).parents[2] / "rubrics" / "pump_priming.toml"
DESK = "/instructor/sheets/pump-priming"
NOTE = "To every digit written this is right with the values of S0002, not with the student&#39;s own."


@pytest.fixture(scope="module")
def pump():
    return build_key(load_rubric(RUBRIC))


@pytest.fixture
def answers(pump):
    """The right answers of a student, as the worked solution writes them, by field."""

    def of(student):
        own = references(personal_rubric(pump.rubric, student, b"v" * 32))
        return {f"{one.problem}.{one.item}": one.text for one in own}

    return of


@pytest.fixture
def exchanged(make_site, pump, browser, codes, answers):
    """A site where S0001 hands in the current of S0002 among answers of their own; gives it with the page they see."""
    site = make_site(keys={"pump-priming": pump})
    sent = {**answers("S0001"), "valve.current": answers("S0002")["valve.current"]}
    assert sent != answers("S0001")
    return site, browser(site, codes["S0001"]).answer(sent, sheet="pump-priming")


def test_the_review_page_the_students_page_and_the_audit_name_it(exchanged, instructor):
    desk = instructor(exchanged[0])
    review = desk.get(f"{DESK}/review").text
    assert "Right with other values than the student's own" in review
    assert NOTE in review
    assert "This proves nothing" in review
    assert NOTE in desk.get(f"{DESK}/students/S0001").text
    assert "of S0002, not with" in desk.get(f"{DESK}/audit").text


def test_no_page_of_the_student_tells_it(exchanged, browser, codes):
    site, page = exchanged
    assert page.url.path.startswith("/attempts/")
    own = browser(site, codes["S0001"])
    for text in (page.text, own.get("/sheets/pump-priming").text, own.get("/").text):
        assert "S0002" not in text
        assert "right with the values" not in text


def test_nothing_is_said_where_all_are_right(make_site, pump, browser, codes, answers, instructor):
    site = make_site(keys={"pump-priming": pump})
    page = browser(site, codes["S0001"]).answer(answers("S0001"), sheet="pump-priming")
    assert page.url.path.startswith("/attempts/")
    assert "Right with other values" not in instructor(site).get(f"{DESK}/review").text


def test_another_class_is_looked_through_at_the_next_start(exchanged, make_site, pump, instructor):
    exchanged[0].store.close()
    alone = Roster(students=ROSTER.students[:1], digest="another")
    site = make_site(keys={"pump-priming": pump}, roster=alone)
    assert asyncio.run(mark_anew(site)) == 1
    assert NOTE not in instructor(site).get(f"{DESK}/review").text
    assert asyncio.run(mark_anew(site)) == 0
