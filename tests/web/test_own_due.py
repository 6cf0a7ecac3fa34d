"""Due times of students' own, from the roster: honoured, said, and no answer is shown before the last of them."""

import io
import zipfile
from datetime import UTC, datetime, timedelta

import pytest
from msgspec.structs import replace

from grader.errors import UsageError
from grader.uploads.roster import Roster, load_roster
from tests.web.conftest import ROSTER, SHEET

DUE = datetime(2026, 3, 2, 12, 0, 30, tzinfo=UTC)
"""Half a minute after the tests' clock begins; S0002 has an hour more."""

LATER = Roster(
    students=tuple(replace(one, due=DUE + timedelta(hours=1) if one.id == "S0002" else None) for one in ROSTER.students)
)


def test_one_student_has_an_hour_more(make_site, browser, codes, clock, instructor):
    site = make_site(due=DUE, roster=LATER)
    first, second = browser(site, codes["S0001"]), browser(site, codes["S0002"])
    said = second.get(f"/sheets/{SHEET}").text
    assert f"Due {site.local_time(DUE + timedelta(hours=1))}." in said
    assert f"Due {site.local_time(DUE)}." in first.get(f"/sheets/{SHEET}").text
    assert site.local_time(DUE + timedelta(hours=1)) in instructor(site).get(f"/instructor/sheets/{SHEET}").text
    clock.forward(30)
    assert first.answer({"gate.tau": "10 ms"}).status_code == 409
    assert first.get(f"/sheets/{SHEET}/answers").status_code == 403  # somebody can still hand in
    assert second.answer({"gate.tau": "10 ms"}).url.path.startswith("/attempts/")
    assert second.get(f"/sheets/{SHEET}/answers").status_code == 403
    clock.forward(3600)
    assert second.answer({"gate.tau": "10 ms"}).status_code == 409
    assert first.get(f"/sheets/{SHEET}/answers").status_code == 200


def test_what_comes_too_late_is_kept_for_the_instructor_and_counts_for_nothing(
    make_site, browser, codes, clock, instructor
):
    """The first time, in any number of tries; not what is sent while attempts are still taken."""
    site, desk = make_site(due=DUE, roster=LATER), f"/instructor/sheets/{SHEET}"
    student = browser(site, codes["S0001"])
    clock.forward(30)
    assert "kept as late for your instructor" in student.answer({"gate.tau": "10 <b>ms"}, do="insist").text
    clock.forward(60)
    assert "kept as late" not in student.answer({"gate.tau": "11 ms"}).text
    page = instructor(site)
    own = page.get(f"{desk}/students/S0001").text
    assert "No attempt yet." in own
    assert f"<p>{site.local_time(DUE)}:</p>" in own
    assert "10 &lt;b&gt;ms" in own
    assert "11 ms" not in own
    assert "(and one late)" in page.get(desk).text
    assert "Too late" not in page.get(f"{desk}/students/S0002").text
    assert "S0001" not in page.get(f"{desk}/files/decisions.csv").text
    assert site.store.all_attempts(SHEET) == ()
    with zipfile.ZipFile(io.BytesIO(page.get(f"{desk}/files/late.zip").content)) as packed:
        assert packed.namelist() == ["S0001.csv"]
        assert b"gate,tau,10 <b>ms" in packed.read("S0001.csv")


def test_the_instructor_sees_who_can_still_hand_in_and_can_close_it_for_them(
    make_site, browser, codes, clock, instructor
):
    site, desk = make_site(due=DUE, roster=LATER), f"/instructor/sheets/{SHEET}"
    clock.forward(30)
    page, until = instructor(site), site.local_time(DUE + timedelta(hours=1))
    said = page.get(desk).text
    assert f"Still open for 1 student who has a later due time, until {until}." in said
    assert "Reopen it for everybody" in said
    page.send(f"{desk}/state", {"state": "closed"}, page=desk)
    assert "Closed, as you said." in page.seen[-1].text
    assert browser(site, codes["S0002"]).answer({"gate.tau": "10 ms"}).status_code == 409
    page.send(f"{desk}/state", {"state": ""}, page=desk)
    clock.forward(3600)
    assert "Closed: the due time has passed." in page.get(desk).text
    assert "for everybody" not in page.seen[-1].text


def test_after_the_due_time_the_fields_are_fixed_and_the_page_says_when_answers_come(make_site, browser, codes, clock):
    site = make_site(due=DUE, roster=LATER)
    student = browser(site, codes["S0001"])
    assert "readonly" not in student.get(f"/sheets/{SHEET}").text
    clock.forward(30)
    page = student.get(f"/sheets/{SHEET}").text
    assert f"The reference answers can be seen from {site.local_time(DUE + timedelta(hours=1))} on." in page
    assert "only what you submitted counts" in page
    assert page.count(" readonly ") == page.count('type="text"')
    assert "Check reading" not in page
    site.store.set_state(SHEET, "open")
    assert "readonly" not in student.get(f"/sheets/{SHEET}").text
    clock.forward(3600)
    site.store.set_state(SHEET, "")
    assert "can be seen from" not in student.get(f"/sheets/{SHEET}").text
    assert "Reference answers and worked solutions" in student.seen[-1].text


def test_where_some_have_no_due_time_answers_wait_for_the_instructor(make_site, browser, codes, clock):
    site = make_site(roster=LATER)
    clock.forward(7200)
    visitor = browser(site, codes["S0001"])
    assert visitor.get(f"/sheets/{SHEET}/answers").status_code == 403
    site.store.set_state(SHEET, "closed")
    assert visitor.get(f"/sheets/{SHEET}/answers").status_code == 200


def test_the_column_of_the_roster(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_text("id,name,due\nS0001,Ada,\nS0002,Bo,2026-03-02 18:00\nS0003,Cy,2026-03-02T18:00+02:00\n")
    first, second, third = load_roster(path).students
    assert first.due is None
    assert second.due == datetime(2026, 3, 2, 18).astimezone()
    assert third.due == datetime(2026, 3, 2, 16, tzinfo=UTC)


@pytest.mark.parametrize("written", ["soon", "02.03.2026 18:00", "2026-13-02", "0001-01-01"])
def test_a_due_time_that_is_none_is_one_sentence(tmp_path, written):
    path = tmp_path / "roster.csv"
    path.write_text(f"id,due\nS0001,2026-03-02\nS0002,{written}\n")
    with pytest.raises(UsageError, match=r"row 3: the due time .* is no time; write it as 2026-03-02 18:00"):
        load_roster(path)
