"""Entering and leaving: codes, the passphrase, locks, and sessions that end when they should."""

import pytest

from grader.web.access.codes import hashed, issue, read_records, write_records
from grader.web.access.limits import LOCK_AFTER, LOCK_SECONDS
from tests.web.conftest import PASSPHRASE, ROSTER

WRONG = "2222-2222-2222-2222"


def test_nobody_sees_a_sheet_without_entering(site, browser):
    visitor = browser(site)
    for path in (
        "/",
        "/sheets/lock-gate",
        "/attempts/x",
        "/sheets/lock-gate/practice/gate",
        "/sheets/lock-gate/answers",
    ):
        assert visitor.get(path).url.path == "/enter"
    for path in ("/instructor", "/instructor/sheets/lock-gate", "/instructor/sheets/lock-gate/files/gradebook.csv"):
        assert visitor.get(path).url.path == "/instructor/enter"


def test_a_code_opens_the_sheet_however_it_is_typed(site, browser, codes):
    page = browser(site).enter(codes["S0001"].lower().replace("-", " "))
    assert page.url.path == "/sheets/lock-gate"
    assert "S0001" in page.text


def test_who_has_entered_is_not_asked_again(student):
    assert student.get("/enter").url.path == "/sheets/lock-gate"


@pytest.mark.parametrize("typed, status", [("", 422), ("short", 422), ("0" * 16, 422), (WRONG, 403)])
def test_a_wrong_code_opens_nothing_and_says_so_in_a_list_of_faults(site, browser, typed, status):
    visitor = browser(site)
    page = visitor.enter(typed)
    assert page.status_code == status
    assert 'role="alert"' in page.text
    assert 'aria-describedby="code-hint code-fault"' in page.text
    assert visitor.get("/").url.path == "/enter"


def test_a_code_is_locked_after_repeated_wrong_secrets_even_for_its_owner(site, browser, codes, clock):
    guess = codes["S0001"][:4] + WRONG[4:]
    guesser, owner = browser(site, address="10.9.9.9"), browser(site)
    for _ in range(LOCK_AFTER):
        assert guesser.enter(guess).status_code == 403
    assert owner.enter(codes["S0001"]).status_code == 429
    assert "locked" in owner.seen[-1].text
    assert browser(site).enter(codes["S0002"]).status_code == 200
    clock.forward(LOCK_SECONDS)
    assert owner.enter(codes["S0001"]).status_code == 200


def test_wrong_codes_from_one_address_run_out_and_right_ones_do_not(site, browser, codes, monkeypatch):
    monkeypatch.setattr("grader.web.pages.entrance.owner", lambda *_: None)
    visitor = browser(site)
    names = (f"{a}{b}{c}2" for a in "2345" for b in "2345" for c in "23456789")
    answers = [visitor.enter(f"{name}-2222-2222-2222").status_code for name, _ in zip(names, range(62), strict=False)]
    assert answers[:60] == [403] * 60
    assert answers[60:] == [429] * 2
    assert visitor.seen[-1].headers["Retry-After"]
    monkeypatch.undo()
    assert browser(site, address="10.1.2.4").enter(codes["S0001"]).status_code == 200


def test_leaving_ends_the_session(student):
    assert student.send("/leave", page="/sheets/lock-gate").url.path == "/enter"
    assert student.get("/").url.path == "/enter"


def test_a_renewed_code_ends_the_session_opened_with_the_old_one(site, browser, codes):
    one, other = browser(site, codes["S0001"]), browser(site, codes["S0002"])
    new, records = issue(["S0001"], read_records(site.folder))
    write_records(site.folder, records)
    assert one.get("/").url.path == "/enter"
    assert one.enter(codes["S0001"]).status_code == 403
    assert one.enter(new["S0001"]).status_code == 200
    assert other.get("/").url.path == "/sheets/lock-gate"


def test_who_is_not_on_the_roster_any_more_cannot_enter(make_site, browser, codes):
    from grader.uploads.roster import Roster

    site = make_site(roster=Roster(students=ROSTER.students[1:]))
    assert browser(site).enter(codes["S0001"]).status_code == 403


def test_the_passphrase_opens_the_instructors_pages(site, browser):
    visitor = browser(site)
    assert visitor.send("/instructor/enter", {"passphrase": "wrong"}).status_code == 403
    assert visitor.get("/instructor").url.path == "/instructor/enter"
    assert visitor.send("/instructor/enter", {"passphrase": PASSPHRASE}).url.path == "/instructor"
    assert visitor.get("/instructor/enter").url.path == "/instructor"
    assert visitor.send("/instructor/leave", page="/instructor").url.path == "/instructor/enter"
    assert visitor.get("/instructor").url.path == "/instructor/enter"


def test_the_passphrase_is_locked_after_repeated_failures_for_that_address(site, browser):
    guesser = browser(site, address="10.9.9.9")
    for _ in range(LOCK_AFTER):
        assert guesser.send("/instructor/enter", {"passphrase": "guess"}).status_code == 403
    assert guesser.send("/instructor/enter", {"passphrase": PASSPHRASE}).status_code == 429
    assert browser(site).send("/instructor/enter", {"passphrase": PASSPHRASE}).status_code == 200


def test_a_new_passphrase_ends_the_instructors_sessions(site, instructor):
    visitor = instructor(site)
    site.passphrase = hashed("another one altogether", 4)
    assert visitor.get("/instructor").url.path == "/instructor/enter"


def test_student_and_instructor_in_one_browser_do_not_become_each_other(site, browser, codes):
    both = browser(site, codes["S0001"])
    assert both.get("/instructor").url.path == "/instructor/enter"
    both.send("/instructor/enter", {"passphrase": PASSPHRASE})
    assert both.get("/").url.path == "/sheets/lock-gate"
    both.send("/leave", page="/sheets/lock-gate")
    assert both.get("/instructor").url.path == "/instructor"
    assert both.get("/").url.path == "/enter"


def test_entering_changes_the_cookie_so_that_a_planted_one_is_worth_nothing(site, browser, codes):
    victim = browser(site)
    token = victim.token()
    planted = victim.http.cookies["visit"]
    victim.enter(codes["S0001"])
    assert victim.http.cookies["visit"] != planted
    assert victim.post("/leave", data={"token": token}).status_code == 403
