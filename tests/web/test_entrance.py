"""Entering and leaving: codes, the passphrase, wrong guesses, and sessions that end when they should."""

from contextlib import ExitStack

import pytest

from grader.web.access.codes import hashed, issue, read_records, write_records
from grader.web.access.limits import FREE_TRIES, MAX_DELAY, TRIES_AT_ONCE
from grader.web.pages.login import WRONG_SECONDS
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


@pytest.fixture
def waited(monkeypatch):
    """The seconds that tries were made to wait, which pass at once here."""
    seconds = []

    async def at_once(delay):
        seconds.append(delay)

    monkeypatch.setattr("grader.web.pages.login.asyncio.sleep", at_once)
    return seconds


def test_wrong_secrets_of_a_code_slow_its_tries_down_and_lock_nobody_out(site, browser, codes, waited):
    guess = codes["S0001"][:4] + WRONG[4:]
    guesser, owner = browser(site, address="10.9.9.9"), browser(site)
    for _ in range(60):
        assert guesser.enter(guess).status_code == 403
    assert max(waited) == MAX_DELAY
    waited.clear()
    assert browser(site).enter(codes["S0002"]).status_code == 200
    assert waited == [0.0]  # another code is not slower for it
    assert owner.enter(codes["S0001"]).url.path == "/sheets/lock-gate"
    assert waited[1:] == [MAX_DELAY]
    assert owner.send("/leave", page="/sheets/lock-gate").url.path == "/enter"
    assert owner.enter(codes["S0001"]).status_code == 200
    assert waited[2:] == [0.0]  # a right one clears what was counted


def test_any_number_of_wrong_codes_from_one_address_refuses_no_right_one_there(site, browser, codes, waited):
    visitor = browser(site)
    names = (f"{a}{b}{c}2" for a in "2345" for b in "2345" for c in "23456789")
    assert {visitor.enter(f"{name}-2222-2222-2222").status_code for name in names} == {403}
    assert set(waited) == {0.0, WRONG_SECONDS}
    for code in codes.values():
        assert browser(site).enter(code).url.path == "/sheets/lock-gate"


def test_tries_in_hand_for_one_code_are_bounded(site, browser, codes):
    name = codes["S0001"][:4]
    with ExitStack() as held:
        for _ in range(TRIES_AT_ONCE):
            held.enter_context(site.in_hand.one_of(TRIES_AT_ONCE, f"try {name}"))
        assert browser(site).enter(codes["S0001"]).status_code == 429
        assert browser(site).enter(codes["S0002"]).status_code == 200
    assert browser(site).enter(codes["S0001"]).status_code == 200


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


def test_wrong_passphrases_slow_down_and_do_not_lock(site, browser, waited):
    guesser = browser(site, address="10.9.9.9")
    for _ in range(20):
        assert guesser.send("/instructor/enter", {"passphrase": "guess"}).status_code == 403
    assert waited == [0.0] * FREE_TRIES + [1.0, 2.0, 4.0] + [MAX_DELAY] * (20 - FREE_TRIES - 3)
    for address in ("10.9.9.9", "10.1.2.3"):
        visitor = browser(site, address=address)
        assert visitor.send("/instructor/enter", {"passphrase": PASSPHRASE}).url.path == "/instructor"


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


def test_a_cookie_kept_from_before_leaving_is_worth_nothing(make_site, browser, codes):
    site = make_site()
    visitor, other = browser(site, codes["S0001"]), browser(site, codes["S0001"])
    kept = visitor.http.cookies["visit"]
    visitor.send("/leave", page="/sheets/lock-gate")
    for where in (site, make_site()):  # the same server, and one started anew on the same data
        thief = browser(where)
        thief.http.cookies.set("visit", kept)
        assert thief.get("/").url.path == "/enter"
    assert other.get("/").url.path == "/sheets/lock-gate"  # another browser of the same student goes on


def test_an_instructors_cookie_kept_from_before_leaving_is_worth_nothing(site, browser, instructor):
    desk = instructor(site)
    kept = desk.http.cookies["visit"]
    desk.send("/instructor/leave", page="/instructor")
    thief = browser(site)
    thief.http.cookies.set("visit", kept)
    assert thief.get("/instructor").url.path == "/instructor/enter"
