"""What begins before the due time and ends after it counts for nothing: attacks with bodies that come slowly.

Each row was written down before it was tried.  An attempt is as old as the last byte of its body.  Of files of unsaid
size, which may be large, a student has one in hand: another is refused by its head, with 429, and is no attempt.
"""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import pytest

from tests.web.conftest import RIGHT, SHEET
from tests.web.sockets import Slow, head
from tests.web.test_files import sheet_csv

DUE = datetime(2026, 3, 2, 12, 0, 30, tzinfo=UTC)
"""The tests' clock begins half a minute before."""


FILE = sheet_csv(RIGHT)

SHAPES = [
    pytest.param({"chunked": False, "file": None}, id="form with its length"),
    pytest.param({"chunked": True, "file": None}, id="form in chunks"),
    pytest.param({"chunked": False, "file": FILE}, id="file with its length"),
    pytest.param({"chunked": True, "file": FILE}, id="file in chunks"),
]


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize(
    "seconds, status, kept",
    [(0, 303, 1), (29.999, 303, 1), (30, 409, 0), (50, 409, 0)],
    ids=["at once", "just in time", "at the due time", "20 s late"],
)
def test_an_attempt_is_as_old_as_the_end_of_its_body(listening, clock, codes, shape, seconds, status, kept):
    server = listening(due=DUE)
    attempt = Slow(server, *server.entered(codes["S0001"]), **shape)
    clock.forward(seconds)
    answer = attempt.end()
    assert answer.status == status
    assert ("due time has passed" in answer.text) is (status == 409)
    assert len(server.site.store.attempts(SHEET, "S0001")) == kept


@pytest.mark.parametrize("shape", SHAPES)
def test_once_the_answers_are_open_nothing_begun_before_counts(listening, clock, codes, shape):
    server = listening(due=DUE)
    attempt = Slow(server, *server.entered(codes["S0001"]), **shape)
    other, _ = server.entered(codes["S0002"])
    assert server.ask("GET", f"/sheets/{SHEET}/answers", cookie=other).status == 403
    clock.forward(30)
    assert server.ask("GET", f"/sheets/{SHEET}/answers", cookie=other).status == 200
    assert attempt.end().status == 409
    assert server.site.store.all_attempts(SHEET) == ()


@pytest.mark.parametrize("shape", SHAPES)
def test_a_sheet_closed_while_the_body_arrives_takes_it_no_more(listening, codes, shape):
    server = listening()
    attempt = Slow(server, *server.entered(codes["S0001"]), **shape)
    server.site.store.set_state(SHEET, "closed")
    assert attempt.end().status == 409
    assert server.site.store.all_attempts(SHEET) == ()


OF_UNSAID_SIZE = SHAPES[3].values[0]


@pytest.mark.parametrize("shape", SHAPES)
def test_of_many_bodies_begun_together_no_more_count_than_are_allowed(listening, codes, shape):
    server = listening(attempts=2)
    who = server.entered(codes["S0001"])
    attempts = [Slow(server, *who, form=f"form {number}", **shape) for number in range(5)]
    with ThreadPoolExecutor(5) as at_once:
        statuses = sorted(at_once.map(lambda attempt: attempt.end().status, attempts))
    counted = [1] if shape == OF_UNSAID_SIZE else [1, 2]
    assert statuses == ([303, 429, 429, 429, 429] if shape == OF_UNSAID_SIZE else [303, 303, 409, 409, 409])
    assert [made.number for made in server.site.store.attempts(SHEET, "S0001")] == counted


def test_a_second_file_of_unsaid_size_is_refused_by_its_head_and_is_no_attempt(listening, codes):
    """Two attempts are allowed: one while another is in hand costs neither, and there is one left afterwards."""
    server = listening(attempts=2)
    who = server.entered(codes["S0001"])
    first = Slow(server, *who, form="first", **OF_UNSAID_SIZE)
    second = Slow(server, *who, form="second", **OF_UNSAID_SIZE)
    refused = second.end()
    assert refused is second.refused
    assert refused.status == 429
    assert "still being taken in" in refused.text
    other = Slow(server, *server.entered(codes["S0002"]), **OF_UNSAID_SIZE)  # nobody else waits for it
    assert other.end().status == 303
    assert server.site.store.attempts(SHEET, "S0001") == ()
    assert first.end().status == 303
    assert [Slow(server, *who, form=form, **OF_UNSAID_SIZE).end().status for form in ("second", "third")] == [303, 409]
    assert len(server.site.store.made(SHEET, "S0001")) == 2


@pytest.mark.parametrize("shape", SHAPES)
def test_the_time_between_attempts_is_that_between_their_ends(listening, clock, codes, shape):
    """Begun together: ends at 0 s counts, at 59 s does not; begun with them and ended at 60 s it counts."""
    server = listening(wait=60.0)
    who = server.entered(codes["S0001"])

    def begun(form):
        return Slow(server, *who, form=form, **shape)

    first, early, late = map(begun, ("first", "early", "late"))
    assert first.end().status == 303
    if shape == OF_UNSAID_SIZE:  # one at a time, each begun as soon as it may
        assert [early.end().status, late.end().status] == [429, 429]
        early = begun("early")
    clock.forward(59)
    assert early.end().status == 409
    late = begun("late") if shape == OF_UNSAID_SIZE else late
    clock.forward(1)
    assert late.end().status == 303


def test_the_same_form_ended_twice_is_one_attempt(listening, codes):
    server = listening(attempts=2)
    who = server.entered(codes["S0001"])
    one, other = Slow(server, *who), Slow(server, *who)
    assert one.end().headers["location"] == other.end().headers["location"]
    assert len(server.site.store.all_attempts(SHEET)) == 1


def test_a_body_cut_off_counts_for_nothing(listening, codes):
    server = listening()
    cookie, _ = server.entered(codes["S0001"])
    line = server.open()
    line.send(head("POST", f"/sheets/{SHEET}", cookie, length=1000, waits=True))
    line.may_send_body()
    line.send("do=submit&answer:gate.tau=10+ms")
    line.close()
    assert server.ask("GET", f"/sheets/{SHEET}", cookie=cookie).status == 200
    assert server.site.store.all_attempts(SHEET) == ()
