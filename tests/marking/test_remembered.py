"""What is remembered of answers met before shows in no mark: not the answers, nor what each item sees of those before it."""

import random

import pytest

from grader.marking.context import ProblemContext
from grader.marking.diagnosed import uncontradicted
from grader.marking.key import Key, build_key
from grader.marking.mark import mark_answer, mark_upload
from grader.marking.marks import Mark
from grader.rubric.files import load_rubric
from grader.uploads.upload import Upload, Written
from tests.papers.measure import HERE, rows

STUDENTS = 25


def one_by_one(key: Key, upload: Upload) -> list[Mark]:
    """The marks of an upload where every answer is marked anew, and sees everything before it."""
    written = {(answer.problem, answer.item): answer for answer in upload.answers}
    marks = []
    for problem, items in key.problems:
        before, own = ProblemContext(), []
        for item in items:
            blank = Written(problem=problem, item=item.id, text="")
            outcome = mark_answer(key, item, written.get((problem, item.id), blank), before)
            own.append(outcome.mark)
            before = outcome.after
        marks += [uncontradicted(key, mark, own) for mark in own]
    return marks


@pytest.mark.parametrize("folder", ["horn", "pump", "relay"])
def test_a_class_is_marked_as_if_everybody_were_the_first(folder):
    key = build_key(load_rubric(HERE / folder / "rubric.toml"))
    chance = random.Random(folder)
    typed: dict[str, list[str]] = {}
    for row in rows(HERE / folder):
        typed.setdefault(row.item, []).append(row.answer)
    few = {item: chance.sample(texts, min(4, len(texts))) for item, texts in typed.items()}
    for number in range(STUDENTS):
        answers = tuple(
            Written(problem=problem, item=item.id, text=chance.choice(few[name]), where=f"line {number}")
            for problem, items in key.problems
            for item in items
            if (name := f"{problem}.{item.id}") in few and chance.random() < 0.9
        )
        upload = Upload(file="", digest="", student=str(number), answers=answers)
        assert list(mark_upload(key, upload).marks) == one_by_one(key, upload)


def test_what_was_not_decided_is_tried_again(monkeypatch):
    from grader.jobs.helper import Overran
    from grader.marking import mark

    key = build_key(load_rubric(HERE / "pump" / "rubric.toml"))
    problem, items = key.problems[0]
    answer = Written(problem=problem, item=items[0].id, text="12 V")
    upload = Upload(file="", digest="", student="S1", answers=(answer,))

    def overruns(*_):
        raise Overran

    with monkeypatch.context() as patched:
        patched.setattr(mark, "understand", overruns)
        assert mark_upload(key, upload).marks[0].verdict == mark.NOT_DECIDED
    assert mark_upload(key, upload).marks[0].verdict != mark.NOT_DECIDED


def test_no_more_is_kept_than_is_said(monkeypatch):
    from grader.marking import mark

    monkeypatch.setattr(mark, "MAX_REMEMBERED", 3)
    key = build_key(load_rubric(HERE / "pump" / "rubric.toml"))
    problem, items = key.problems[0]
    for number in range(20):
        answer = Written(problem=problem, item=items[0].id, text=f"{number} V")
        mark_upload(key, Upload(file="", digest="", student="S1", answers=(answer,)))
        assert len(key.remembered) <= 3
