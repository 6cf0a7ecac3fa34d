"""Which marks are evidence of what a student believes."""

import pytest

from grader.ideas.records import FOLLOWED as BY_FOLLOWING
from grader.ideas.records import RIGHT, WRONG
from grader.marking.beliefs import is_wrong, observations_of
from grader.marking.marks import (
    BLANK,
    CORRECT,
    FOLLOWED,
    FOR_A_PERSON,
    INCORRECT,
    NOT_DECIDED,
    PARTLY,
    UNREADABLE,
    Mark,
    Part,
)

LOST = (Part(name="form", awarded=0, possible=1, verdict=INCORRECT),)
KEPT = (Part(name="form", awarded=1, possible=1, verdict=CORRECT),)


def mark(verdict, **more):
    return Mark(problem="p", item="i", answer="1 V", awarded=0, possible=1, verdict=verdict, **more)


@pytest.mark.parametrize(
    ("one", "wrong"),
    [
        (mark(INCORRECT), True),
        (mark(PARTLY), False),  # it lacks its unit alone
        (mark(PARTLY, parts=KEPT), False),
        (mark(PARTLY, parts=(*KEPT, *LOST)), True),
        (mark(PARTLY, mistakes=("some",)), True),
        (mark(CORRECT), False),
        (mark(FOLLOWED), False),
    ],
)
def test_what_says_something_wrong(one, wrong):
    assert is_wrong(one) is wrong


@pytest.mark.parametrize(
    ("one", "outcome", "mistakes"),
    [
        (mark(CORRECT), RIGHT, ()),
        (mark(PARTLY), RIGHT, ()),
        (mark(INCORRECT, mistakes=("some",)), WRONG, ("some",)),
        (mark(FOLLOWED, follows_from=("j",)), BY_FOLLOWING, ()),
        (mark(PARTLY, follows_from=("j",)), BY_FOLLOWING, ()),
        (mark(INCORRECT, follows_from=("j",)), BY_FOLLOWING, ()),  # in vain: it says no more than j
        (mark(INCORRECT, follows_from=("j",), parts=(*KEPT, *LOST)), WRONG, ()),
    ],
)
def test_what_is_observed(one, outcome, mistakes):
    (found,) = observations_of([one])
    assert (found.outcome, found.mistakes) == (outcome, mistakes)


@pytest.mark.parametrize("verdict", [BLANK, UNREADABLE, NOT_DECIDED, FOR_A_PERSON])
def test_what_was_not_read_is_no_evidence(verdict):
    assert observations_of([mark(verdict, mistakes=("some",))]) == []
