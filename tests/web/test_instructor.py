"""The instructor's pages: review and decisions, closing, the gradebook, and what may be taken away."""

import csv
import io
import re
import zipfile

import pytest

from grader.run.decisions import load_decisions
from grader.web.pages.outcome import decided_text
from tests.web.conftest import RIGHT, ROSTER, SHEET

DESK = "/instructor/sheets/lock-gate"


def rows_of(page):
    return list(csv.DictReader(io.StringIO(page.content.decode("utf-8-sig"))))


@pytest.fixture
def waiting(student):
    """S0001's attempt with an answer that a person must look at."""
    student.answer({**RIGHT, "gate.tau": "soon ((("}, do="insist")
    return student


def test_an_attempt_that_can_no_longer_be_the_best_does_not_wait(site, student, instructor):
    """2 points at most for the first, 18 for the second; a later one with 16 and 2 that wait can still be the best."""
    student.answer({"gate.tau": "soon ((("}, do="insist")
    desk = instructor(site)
    assert "1 waiting." in desk.get(f"{DESK}/review").text
    student.answer(RIGHT)
    assert "Nothing is waiting for you." in desk.get(f"{DESK}/review").text
    student.answer({**RIGHT, "gate.tau": "soon ((("}, do="insist")
    assert "1 waiting." in desk.get(f"{DESK}/review").text


@pytest.mark.usefixtures("waiting")
def test_a_card_leads_to_all_answers_of_its_student(site, instructor):
    desk = instructor(site)
    (address,) = re.findall(r'All their answers: <a href="([^"]*)"', desk.get(f"{DESK}/review").text)
    assert "Attempt 1 (counts)" in desk.get(address).text


def decide(desk, points, reason, **changes):
    page = desk.get(f"{DESK}/review").text
    fields = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page[page.index('class="card"') :]))
    return desk.post(f"{DESK}/review", data={**fields, "points": points, "reason": reason, **changes})


@pytest.mark.usefixtures("waiting")
def test_the_desk_counts_who_has_handed_in_who_is_done_and_what_waits(site, instructor):
    text = " ".join(re.sub(r"<[^>]+>", " ", instructor(site).get("/instructor").text).split())
    assert "Harbour Lock, gate and lamp Open. 1 of 3 0 1 0" in text
    assert "All right or no attempt left" in text


@pytest.mark.usefixtures("waiting")
def test_a_sheet_lists_every_student_of_the_roster(site, instructor):
    page = instructor(site).get(DESK).text
    for student in ROSTER.students:
        assert student.id in page
        assert student.name in page
    assert ">16</td>" in page


def test_a_decision_changes_points_and_tells_the_student_why(site, waiting, instructor):
    desk = instructor(site)
    page = decide(desk, "1,5", "It is ten milliseconds.")
    assert page.status_code == 200
    assert "The decision is kept." in page.text
    assert "Nothing is waiting for you." in page.text
    page = waiting.get(waiting.seen[-1].url.path)
    assert "17.5 of 18 points" in page.text
    assert "your instructor decided one answer" in waiting.get("/sheets/lock-gate").text
    results = site.results_of(SHEET, "S0001")
    assert decided_text(results) == "Your instructor decided one answer."
    assert decided_text(()) == ""
    assert "Your instructor decided:" in page.text
    assert "It is ten milliseconds." in page.text
    assert rows_of(desk.get(f"{DESK}/files/gradebook.csv"))[0]["gate.tau"] == "1.5"


def on_student(desk, item, **form):
    """Send the form below an answer of S0001, on the instructor's page of that student."""
    address = f"{DESK}/students/S0001"
    page = desk.get(address).text
    (attempt,) = set(re.findall(r'name="attempt" value="([^"]*)"', page))
    return desk.send(address, {"attempt": attempt, "problem": "gate", "item": item, **form}, page=address)


@pytest.mark.usefixtures("waiting")
def test_a_decision_is_changed_and_taken_back_on_the_page_of_its_student(site, instructor):
    desk = instructor(site)
    decide(desk, "1,5", "It is ten milliseconds.")
    page = on_student(desk, "tau", points="0.5", reason="Only the number.").text
    assert "Only the number." in page
    assert "Take the decision back" in page
    assert [(one.points, one.reason) for one in site.store.decisions(SHEET)] == [(0.5, "Only the number.")]
    page = on_student(desk, "tau", do="back").text
    assert "Take the decision back" not in page
    assert site.store.decisions(SHEET) == ()
    assert "1 waiting." in desk.get(f"{DESK}/review").text


@pytest.mark.usefixtures("waiting")
def test_an_answer_that_does_not_wait_is_decided_for_this_student_alone(site, browser, codes, instructor):
    browser(site, codes["S0002"]).answer(RIGHT)
    desk = instructor(site)
    right = next(item for problem, item in (name.split(".") for name in RIGHT) if problem == "gate" and item != "tau")
    assert "Copied, as was said." in on_student(desk, right, points="0", reason="Copied, as was said.").text
    assert [(one.student, one.item, one.points) for one in site.store.decisions(SHEET)] == [("S0001", right, 0.0)]


@pytest.mark.usefixtures("waiting")
def test_a_refused_decision_on_the_page_of_a_student_keeps_what_was_typed(site, instructor):
    page = on_student(instructor(site), "tau", points="9", reason="Nine is too many.").text
    assert "Points must be a number from 0 to 2" in page
    assert 'value="Nine is too many."' in page
    assert site.store.decisions(SHEET) == ()


def test_a_decision_holds_for_the_same_answer_in_a_later_attempt_and_for_no_other(site, waiting, instructor):
    decide(instructor(site), "2", "Fine.")
    assert "18 of 18 points" in waiting.answer({**RIGHT, "gate.tau": "soon ((("}, do="insist").text
    assert "16 of 18 points" in waiting.answer({**RIGHT, "gate.tau": "quick ((("}, do="insist").text


def test_each_attempt_keeps_what_was_decided_on_it(site, waiting, instructor):
    first = waiting.seen[-1].url.path
    desk = instructor(site)
    decide(desk, "2", "Fine.")
    waiting.answer({**RIGHT, "gate.tau": "quick ((("}, do="insist")
    decide(desk, "1.5", "Half of it.")
    assert "18 of 18 points" in waiting.get(first).text
    assert "18 of 18 points" in waiting.answer({**RIGHT, "gate.tau": "soon ((("}, do="insist").text
    assert "17.5 of 18 points" in waiting.answer({**RIGHT, "gate.tau": "quick  ((("}, do="insist").text


@pytest.mark.parametrize(
    "points, reason, changes, status",
    [("3", "x", {}, 422), ("-1", "x", {}, 422), ("nan", "x", {}, 422), ("inf", "x", {}, 422), ("", "x", {}, 422), ("two", "x", {}, 422),
     ("1", "", {}, 422), ("1", "x", {"student": "S0002"}, 409), ("1", "x", {"attempt": "none"}, 409), ("1", "x", {"item": "none"}, 409),
     ("1", "x", {"token": "0"}, 403)],
)  # fmt: skip
@pytest.mark.usefixtures("waiting")
def test_a_decision_that_makes_no_sense_is_refused_and_nothing_is_kept(
    site, instructor, points, reason, changes, status
):
    desk = instructor(site)
    assert decide(desk, points, reason, **changes).status_code == status
    assert site.store.decisions(SHEET) == ()


def test_a_student_cannot_decide(site, waiting):
    token = waiting.token("/sheets/lock-gate")
    page = waiting.post(
        f"{DESK}/review",
        data={"token": token, "student": "S0001", "problem": "gate", "item": "tau", "points": "2", "reason": "x"},
    )
    assert page.status_code == 403
    assert site.store.decisions(SHEET) == ()


@pytest.mark.usefixtures("waiting")
def test_decisions_go_out_as_the_command_line_takes_them(site, instructor, tmp_path):
    desk = instructor(site)
    decide(desk, "1.25", '=Reason with "quotes", commas\tand a sign')
    path = tmp_path / "decisions.csv"
    path.write_bytes(desk.get(f"{DESK}/files/decisions.csv").content)
    items = {(one.problem, one.item): one.points for one in site.sheets[SHEET].fields}
    decisions = load_decisions(path, items, ROSTER)
    ((place, (points,)),) = decisions.points.items()
    assert place == ("S0001", "gate", "tau")
    assert (points.points, points.reason) == (1.25, '=Reason with "quotes", commas and a sign')


def test_decisions_on_answers_that_do_not_count_stay_here(make_site, browser, codes, instructor):
    site = make_site(keep="last")
    own = browser(site, codes["S0001"])
    own.answer({"gate.tau": "soon ((("}, do="insist")
    desk = instructor(site)
    decide(desk, "2", "Fine.")
    own.answer({"gate.tau": "10 ms"})
    assert rows_of(desk.get(f"{DESK}/files/decisions.csv")) == []


def test_where_the_best_counts_every_attempt_that_waits_is_listed_once(site, waiting, instructor):
    waiting.answer(RIGHT)
    waiting.answer({"gate.tau": "soon ((("}, do="insist")
    page = instructor(site).get(f"{DESK}/review").text
    assert "1 waiting." in page


def test_where_the_last_counts_earlier_attempts_wait_for_nobody(make_site, browser, codes, instructor):
    site = make_site(keep="last")
    own = browser(site, codes["S0001"])
    own.answer({"gate.tau": "soon ((("}, do="insist")
    own.answer(RIGHT)
    assert "Nothing is waiting for you." in instructor(site).get(f"{DESK}/review").text


def test_closing_and_reopening(site, student, instructor):
    desk = instructor(site)
    desk.send(f"{DESK}/state", {"state": "closed"}, page=DESK)
    assert "Closed, as you said." in desk.seen[-1].text
    assert student.answer({"gate.tau": "1 s"}).status_code == 409
    assert "The instructor has closed this sheet." in student.seen[-1].text
    asked = desk.send(f"{DESK}/state", {"state": "open"}, page=DESK)
    assert "The reference answers can be seen now: whoever has an attempt left could hand in" in asked.text
    assert "Closed, as you said." in asked.text
    assert student.answer({"gate.tau": "1 s"}).status_code == 409
    desk.send(f"{DESK}/state", {"state": "open", "confirmed": "yes"}, page=DESK)
    assert student.answer({"gate.tau": "1 s"}).status_code == 200
    desk.send(f"{DESK}/state", {"state": ""}, page=DESK)
    assert "Open." in desk.seen[-1].text
    assert desk.send(f"{DESK}/state", {"state": "ajar"}, page=DESK).status_code == 422


def test_the_gradebook_has_a_row_for_everybody(site, student, instructor):
    student.answer(RIGHT)
    student.answer({"gate.tau": "10 ms"})
    desk = instructor(site)
    rows = rows_of(desk.get(f"{DESK}/files/gradebook.csv"))
    assert [row["student"] for row in rows] == ["S0001", "S0002", "S0003"]
    assert rows[0]["total"] == "18"
    assert "attempt 1 of 2" in rows[0]["flags"]
    assert rows[1]["total"] == ""
    workbook = desk.get(f"{DESK}/files/gradebook.xlsx")
    assert workbook.content[:2] == b"PK"
    assert 'attachment; filename="lock-gate-gradebook.xlsx"' in workbook.headers["content-disposition"]


def test_the_audit_is_of_the_attempts_that_count_now(site, browser, codes, instructor):
    for student in codes:
        browser(site, codes[student]).answer({**RIGHT, "gate.tau": "7 s"})
    page = instructor(site).get(f"{DESK}/audit")
    assert page.status_code == 200
    assert "gate.tau" in page.text
    assert "Ada" not in page.text


def test_a_students_page_shows_all_attempts_with_notes(site, waiting, instructor):
    waiting.answer({"gate.tau": "100 s"})
    page = instructor(site).get(f"{DESK}/students/S0001").text
    assert "Attempt 1 (counts)" in page
    assert "Attempt 2" in page
    assert "For the instructor:" in page
    assert "For the instructor:" not in waiting.seen[-1].text


def test_the_zips_hold_what_was_handed_in(site, student, instructor):
    student.answer({"gate.tau": "9 ms"})
    student.answer({"gate.tau": "10 ms"})
    desk = instructor(site)

    def names(file):
        return zipfile.ZipFile(io.BytesIO(desk.get(f"{DESK}/files/{file}").content)).namelist()

    assert names("uploads.zip") == ["S0001.csv"]
    assert names("attempts.zip") == ["S0001_v1.csv", "S0001_v2.csv"]
    assert desk.get(f"{DESK}/files/uploads.zip").content == desk.get(f"{DESK}/files/uploads.zip").content


def test_a_student_who_left_the_roster_is_in_no_list(make_site, browser, codes, instructor):
    from grader.uploads.roster import Roster

    site = make_site()
    browser(site, codes["S0001"]).answer({"gate.tau": "10 ms"})
    site.roster = Roster(students=ROSTER.students[1:])
    site.students = {student.id: student for student in site.roster.students}
    desk = instructor(site)
    assert "S0001" not in desk.get(DESK).text
    assert "S0001" not in desk.get(f"{DESK}/files/gradebook.csv").text


def reviewed(page):
    """What the cards say and what their fields hold."""
    return " ".join(re.sub(r"<[^>]+>", " ", page).split()), re.findall(
        r'name="(?:points|reason)"[^>]* value="([^"]*)"', page
    )


def test_equal_readings_are_one_card_and_one_decision_for_all(site, browser, codes, instructor):
    """Two students wrote the same that nobody can read, another something else."""
    for student, text in (("S0001", "quick ((("), ("S0002", "soon ((("), ("S0003", "soon (((")):
        browser(site, codes[student]).answer({"gate.tau": text}, do="insist")
    desk = instructor(site)
    said, _ = reviewed(desk.get(f"{DESK}/review").text)
    assert "3 waiting." in said
    assert "2 students: gate.tau" in said
    assert "S0002, S0003" in said
    assert "S0001: gate.tau, attempt 1" in said
    said, _ = reviewed(decide(desk, "1", "Nearly.").text)
    assert "1 waiting." in said
    assert {(one.student, one.points, one.reason) for one in site.store.decisions(SHEET)} == {
        ("S0002", 1.0, "Nearly."), ("S0003", 1.0, "Nearly."),
    }  # fmt: skip


@pytest.mark.parametrize(("points", "reason"), [("9", "Nine is too many."), ("two", "No number."), ("1.5", "")])
@pytest.mark.usefixtures("waiting")
def test_a_refused_decision_keeps_what_was_typed(site, instructor, points, reason):
    assert reviewed(decide(instructor(site), points, reason).text)[1] == [points, reason]


@pytest.mark.usefixtures("waiting")
def test_what_was_typed_about_an_answer_that_is_gone_is_said_again(site, instructor):
    said, fields = reviewed(decide(instructor(site), "1.5", "Half a point off.", attempt="none").text)
    assert "You had typed, for S0001, gate.tau: 1.5 , Half a point off." in said
    assert fields == ["0", ""]
