"""When reference answers may be seen: every case of the rule, on the pages themselves."""

import re
import time
from datetime import timedelta

import pytest

from tests.web.conftest import SHEET

HOUR = timedelta(hours=1)

CASES = {
    # due, attempts allowed, what the instructor said, time gone by: shown
    "open, no due time": (None, None, "", 0, False),
    "open, all attempts made, no due time": (None, 1, "", 0, False),
    "before the due time": (HOUR, None, "", 3599, False),
    "before the due time, all attempts made": (HOUR, 1, "", 3599, False),  # classmates have theirs
    "from the due time on": (HOUR, None, "", 3600, True),
    "from the due time on, attempts left": (HOUR, 3, "", 3600, True),
    "closed, no due time": (None, None, "closed", 0, True),
    "closed before the due time": (HOUR, None, "closed", 3599, False),
    "closed, and the due time has passed": (HOUR, None, "closed", 3600, True),
    "reopened after the due time": (HOUR, None, "open", 3600, False),
    "reopened after the due time, all attempts made": (HOUR, 1, "open", 3600, False),
}


@pytest.mark.parametrize("case", CASES)
def test_reference_answers_are_shown_once_nobody_can_try_and_the_due_time_has_passed(
    make_site, browser, codes, clock, case
):
    due, attempts, state, gone, shown = CASES[case]
    site = make_site(due=due and clock.now + due, attempts=attempts)
    own = browser(site, codes["S0001"])
    attempt = own.answer({"gate.tau": "9 ms"})
    assert attempt.url.path.startswith("/attempts/")
    site.store.set_state(SHEET, state)
    clock.forward(gone)
    page = own.get("/sheets/lock-gate/answers")
    assert page.status_code == (200 if shown else 403)
    assert ("1.034" in page.text) is shown
    assert ("Reference answers" in own.get("/sheets/lock-gate").text) is shown
    assert "1.034" not in own.get(attempt.url.path).text  # what came out of an attempt never gives them


def test_a_clock_set_forward_and_back_shows_the_answers_while_the_time_has_passed(
    make_site, browser, codes, clock, monkeypatch
):
    monkeypatch.setattr(clock, "seconds", time.monotonic)  # which nobody sets
    own = browser(make_site(due=clock.now + HOUR, attempts=3), codes["S0001"])
    assert own.answer({"gate.tau": "9 ms"}).status_code == 200
    shown = []
    for seconds in (0, 7200, -7200, -86_400):
        clock.forward(seconds)
        shown.append(own.get("/sheets/lock-gate/answers").status_code)
    assert shown == [403, 200, 403, 403]
    page = own.answer({"gate.tau": "10 ms"})  # a day before the first
    assert page.status_code == 200
    assert "Attempt 2" in page.text


def test_the_worked_solution_is_there_and_can_do_nothing(make_site, browser, codes):
    site = make_site()
    site.store.set_state(SHEET, "closed")
    page = browser(site, codes["S0001"]).get("/sheets/lock-gate/answers")
    assert "1.034" in page.text
    assert "1.636" in page.text
    assert "You wrote" not in page.text
    policy = page.headers["content-security-policy"]
    assert "script-src 'none'" in policy
    assert "unsafe" not in policy
    assert not re.search(r"\sstyle=|\son\w+=", page.text)


def test_what_the_attempt_that_counts_says_stands_beside_the_answers(make_site, browser, codes):
    site = make_site()
    own, other = browser(site, codes["S0001"]), browser(site, codes["S0002"])
    own.answer({"gate.tau": "9 ms"})
    site.store.set_state(SHEET, "closed")
    row = re.search(r"<tr>(?:(?!</tr>).)*>tau<.*?</tr>", own.get("/sheets/lock-gate/answers").text, re.DOTALL)[0]
    assert 'aria-label="Not yet"' in row or 'aria-label="Partly right"' in row
    assert ">9 ms</bdi>" in row
    assert "9 ms" not in other.get("/sheets/lock-gate/answers").text


def test_who_has_not_entered_sees_none(make_site, browser):
    site = make_site()
    site.store.set_state(SHEET, "closed")
    page = browser(site).get("/sheets/lock-gate/answers")
    assert page.url.path == "/enter"
    assert "1.034" not in page.text
