"""What a student wrote for an item besides the answer that counts: told beside the mark, and left to a person where it matters."""

import pytest

from grader.marking.mark import mark_upload
from grader.uploads.upload import Unused, Upload, Written

RIGHT, WRONG = "10 ms", "12 ms"  # 80 mH / 8 ohm


def tau(key, text, *unused):
    written = Written(problem="valve", item="tau", text=text, where="line 1", unused=unused)
    marked = mark_upload(key, Upload(file="", digest="", student="S1", answers=(written,)))
    return next(mark for mark in marked.marks if mark.item == "tau")


@pytest.mark.parametrize(
    ("counts", "beside", "waits"),
    [
        (WRONG, RIGHT, True),  # what did not count is right
        (RIGHT, WRONG, False),
        (WRONG, "13 ms", False),
        (RIGHT, "12 ms (sorry, corrected)", True),  # it says that it replaces the other
        (RIGHT, "no: 12 ms", True),
        (RIGHT, "0.01 s", False),  # it says the same
        (WRONG, "see above", False),
        ("10", "10 ms", True),  # it has the unit
    ],
)
def test_what_did_not_count_is_told_and_waits_where_it_may_be_meant(valve_key, counts, beside, waits):
    key = valve_key()
    alone, mark = tau(key, counts), tau(key, counts, Unused(beside, "line 3"))
    assert (mark.awarded, mark.verdict) == (alone.awarded, alone.verdict)
    assert f"You also wrote '{beside}' (line 3), which did not count; the answer at line 1 did." in mark.reasons
    assert mark.review == waits
    assert ("A person will check which of them counts." in mark.reasons) == waits


def test_the_answer_without_what_stands_further_below_is_told_only_where_it_is_better(valve_key):
    key = valve_key()
    better = tau(key, WRONG, Unused(RIGHT, "line 1", told=False))
    assert better.review
    assert f"Without the lines further below it this would be '{RIGHT}'." in better.reasons
    assert tau(key, RIGHT, Unused("no, 12 ms", "line 1", told=False)) == tau(key, RIGHT)


def test_what_did_not_count_is_said_in_a_line_and_not_at_length(valve_key):
    mark = tau(valve_key(), RIGHT, Unused("so\n" + "very " * 99, "line 3"))
    assert any("'so very very" in reason and "…'" in reason and len(reason) < 300 for reason in mark.reasons)
