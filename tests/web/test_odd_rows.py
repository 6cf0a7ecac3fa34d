"""What stands in the database, on the roster or in a form that no longer fits: pages come all the same, or a sentence."""

import shutil
import sqlite3
from contextlib import closing
from urllib.parse import quote

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from grader.uploads.roster import Roster
from grader.uploads.upload import Student
from grader.web.access.codes import issue, write_records
from grader.web.access.sessions import Signer
from grader.web.data.folder import DATABASE_FILE
from tests.web.conftest import PASSPHRASE, RIGHT, RUBRIC, SHEET

DESK = f"/instructor/sheets/{SHEET}"
PAGES = (
    "/instructor", DESK, f"{DESK}/review", f"{DESK}/audit",
    *(f"{DESK}/files/{name}" for name in ("gradebook.csv", "uploads.zip", "attempts.zip", "decisions.csv")),
)  # fmt: skip


def changed(site, statement, *values):
    """Something done to the database that the program itself never does."""
    with closing(sqlite3.connect(site.folder / DATABASE_FILE)) as database, database:
        database.execute(statement, values)


@pytest.mark.parametrize("column, value", [("sheet", "tide-gate"), ("student", "S0999"), ("student", "")])
def test_an_attempt_at_no_sheet_or_of_nobody_is_in_no_page(site, student, instructor, column, value):
    assert student.answer(RIGHT).status_code == 200
    changed(site, f"UPDATE attempts SET {column} = ?", value)
    desk = instructor(site)
    assert [page for page in PAGES if desk.get(page).status_code != 200] == [f"{DESK}/audit"]  # there is none of nobody
    assert "18 of 18" not in student.get(f"/sheets/{SHEET}").text


@pytest.mark.parametrize("at", [253_370_764_800.0, 1e300, float("inf"), "", "noon", -1e12])
def test_an_attempt_of_an_impossible_time_is_a_page_or_a_sentence(site, student, browser, at):
    assert student.answer(RIGHT).status_code == 200
    changed(site, "UPDATE attempts SET at = ?", at)
    desk = browser(site)
    entered = desk.send("/instructor/enter", {"passphrase": PASSPHRASE})
    for page in [student.get(f"/sheets/{SHEET}"), entered, *map(desk.get, PAGES)]:
        assert page.status_code == 200 or (page.status_code == 503 and "Tell the instructor" in page.text), page.url


def test_an_attempt_at_a_sheet_that_lost_an_item_shows_the_rest(make_site, browser, codes, instructor):
    assert browser(make_site(), codes["S0001"]).answer(RIGHT).status_code == 200
    text = RUBRIC.read_text()
    (line,) = [line for line in text.splitlines() if 'id = "tau"' in line and "points" in line][:1]
    less = make_site(keys={SHEET: build_key(read_rubric(text.replace(line, "", 1).encode(), "lock_gate.toml"))})
    student = browser(less, codes["S0001"])
    assert student.get(f"/sheets/{SHEET}").status_code == 200
    (attempt,) = less.store.attempts(SHEET, "S0001")
    assert student.get(f"/attempts/{attempt.id}").status_code == 200
    desk = instructor(less)
    assert {page: desk.get(page).status_code for page in PAGES} == dict.fromkeys(PAGES, 200)


def test_a_form_sent_again_to_a_database_restored_from_before_it_counts_once(make_site, browser, codes):
    site = make_site()
    student = browser(site, codes["S0001"])
    assert student.answer({"gate.tau": "9 ms"}).status_code == 200
    site.store.close()
    shutil.copy(site.folder / DATABASE_FILE, site.folder / "copy")
    page = student.answer(RIGHT)
    (kept,) = [attempt for attempt in site.store.attempts(SHEET, "S0001") if attempt.number == 2]
    site.store.close()
    shutil.move(site.folder / "copy", site.folder / DATABASE_FILE)
    restored = browser(make_site(), codes["S0001"])
    assert restored.get(page.url.path).status_code == 404  # it is gone, and said to be
    for _ in range(2):
        assert "Attempt 2" in restored.answer(RIGHT, form=kept.form).text
    assert [attempt.number for attempt in site.store.attempts(SHEET, "S0001")] == [1, 2]


IDS = ("a/b", "é x", "%2e%2e", "a?b#c", "<b>&", "S 1;2")


def test_ids_that_need_escapes_in_addresses(make_site, browser, instructor, tmp_path):
    site = make_site(roster=Roster(students=tuple(Student(id=id, name="", section="") for id in IDS)))
    codes, records = issue(IDS, ())
    write_records(tmp_path, records)
    for id in IDS:
        assert browser(site, codes[id]).answer({"gate.tau": "no clue ((("}, do="insist").status_code == 200
    desk = instructor(site)
    for id in IDS:
        page = desk.get(f"{DESK}/students/{quote(id, safe='')}")
        assert (page.status_code, "no clue (((" in page.text) == (200, True), id
    assert {page: desk.get(page).status_code for page in PAGES} == dict.fromkeys(PAGES, 200)


def test_a_form_of_before_the_key_of_the_cookies_changed_is_told_to_enter_again(site, student):
    student.get(f"/sheets/{SHEET}")
    site.signer = Signer(b"another key")
    page = student.post(f"/sheets/{SHEET}", data={"token": "x", "do": "submit", "answer:gate.tau": "10 ms"})
    assert page.status_code == 403
    assert "enter" in page.text.lower()
    assert site.store.all_attempts(SHEET) == ()


def test_where_no_number_can_be_changed_there_is_no_practice(make_site, browser, codes):
    text = """
title = "Words"
[[problem]]
id = "words"
item = [{id = "safe", find = "choice", text = "Which?", options = ["a coil", "a lamp"], key = "a coil", points = 1}]
"""
    site = make_site(keys={SHEET: build_key(read_rubric(text.encode(), "words.toml"))})
    student = browser(site, codes["S0001"])
    assert "/practice/" not in student.get(f"/sheets/{SHEET}").text
    assert student.get(f"/sheets/{SHEET}/practice/words?set=1").status_code == 404
