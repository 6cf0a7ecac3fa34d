"""The rules of attempts: due time, limit, waiting time, which one counts, and when answers may be seen."""

from datetime import UTC, datetime, timedelta
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.web.rules import CLOSED, OPEN, Rules, accepting, answers_shown, counting, span, standing

DUE = datetime(2026, 3, 2, 17, 0, tzinfo=UTC)
BEFORE, AFTER = DUE - timedelta(seconds=1), DUE + timedelta(seconds=1)


class Made(NamedTuple):
    at: datetime
    total: float


def test_without_a_due_time_a_sheet_is_open():
    assert accepting(Rules(), "", DUE)


@pytest.mark.parametrize(
    "state, now, taken",
    [("", BEFORE, True), ("", DUE, False), ("", AFTER, False), (CLOSED, BEFORE, False), (OPEN, AFTER, True)],
)
def test_the_due_time_decides_unless_the_instructor_did(state, now, taken):
    assert accepting(Rules(due=DUE), state, now) is taken
    assert (standing(Rules(due=DUE), state, now, ()).refusal == "") is taken


def test_attempts_are_counted_down():
    rules = Rules(attempts=2)
    past = [Made(DUE, 1.0)]
    assert standing(rules, "", DUE, []).left == 2
    assert standing(rules, "", DUE, past).left == 1
    assert "All 2 attempts" in standing(rules, "", DUE, past * 2).refusal
    assert standing(Rules(), "", DUE, past * 99).left is None


def test_a_waiting_time_runs_from_the_last_attempt():
    rules = Rules(wait=90)
    past = [Made(DUE, 0.0)]
    assert (
        standing(rules, "", DUE + timedelta(seconds=89.5), past).refusal == "The next attempt can be made in 1 second."
    )
    assert standing(rules, "", DUE + timedelta(seconds=90), past).refusal == ""


def test_the_best_or_the_last_counts_and_zero_is_a_result():
    first, second, third = Made(DUE, 0.0), Made(DUE, 3.0), Made(DUE, 0.0)
    assert counting(Rules(keep="best"), [first, second, third]) is second
    assert counting(Rules(keep="last"), [first, second, third]) is third
    assert counting(Rules(keep="best"), [first, third]) is third
    assert counting(Rules(keep="best"), []) is None


@given(
    st.sampled_from(["", OPEN, CLOSED]),
    st.sampled_from([None, DUE]),
    st.sampled_from([BEFORE, DUE, AFTER]),
    st.sampled_from([None, 3]),
    st.integers(0, 4),
)
def test_reference_answers_are_never_shown_before_the_due_time_or_while_an_attempt_may_be_made(
    state, due, now, limit, made
):
    rules = Rules(due=due, attempts=limit)
    if answers_shown(rules, state, now):
        assert due is None or now >= due
        assert standing(rules, state, now, [Made(BEFORE, 1.0)] * made).refusal != ""
        assert standing(rules, state, now, []).refusal != ""  # nor may a classmate try any more


def test_without_a_due_time_they_are_shown_once_the_instructor_closes():
    assert not answers_shown(Rules(attempts=1), "", DUE)
    assert answers_shown(Rules(attempts=1), CLOSED, DUE)


@pytest.mark.parametrize(
    "seconds, words",
    [(1, "1 second"), (0.2, "1 second"), (59, "59 seconds"), (90, "90 seconds"), (120, "2 minutes"), (121, "3 minutes"),
     (3600, "1 hour"), (3599, "60 minutes"), (7201, "3 hours")],
)  # fmt: skip
def test_spans_are_rounded_up(seconds, words):
    assert span(seconds) == words
