"""A helper that hangs, works for ever, dies or grows is replaced; the next question finds another one."""

import contextlib

import pytest

from grader.jobs.helper import Helper, Overran


@pytest.fixture
def helper():
    with contextlib.closing(Helper("tests.jobs.odd_helper")) as opened:
        yield opened


def test_questions_are_answered_by_one_process(helper):
    assert helper.ask(b"abc", 60) == b"cba"
    assert helper.ask(b"who", 60) == helper.ask(b"who", 60)
    assert helper.ask(b"print", 60) == b"tnirp"
    assert helper.ask(bytes(range(256)) * 4000, 60) == bytes(range(256))[::-1] * 4000


@pytest.mark.parametrize(("bad", "seconds"), [(b"hang", 0.3), (b"work", 60), (b"die", 60), (b"eat", 60)])
def test_what_comes_to_no_end_is_said_and_costs_nobody_else(helper, bad, seconds):
    """Work ends by the processor time it took, here one second, and not by the patience of the one who asked."""
    before = helper.ask(b"who", 60)
    with pytest.raises(Overran):
        helper.ask(bad, seconds)
    assert helper.ask(b"who", 60) != before


def test_one_that_cannot_start_is_no_answer():
    with pytest.raises(Overran):
        Helper("tests.jobs.no_such_module").ask(b"abc", 60)
