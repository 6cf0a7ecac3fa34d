"""Decisions of a person hold for the answer they were made for: for another one the program's own mark counts, until it comes back."""

from pathlib import Path

import pytest

from grader.run import grade as grade_module
from grader.run.given import Points
from grader.run.storage.moving import OWN
from tests.run.inline import Inline
from tests.run.section import (
    RIGHT,
    contents,
    fates,
    fill,
    marks_by_student,
    points,
    run,
    table,
    text_of,
    undecided_section,
    write,
)


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Path:
    monkeypatch.setattr(grade_module, "Pool", Inline)
    return undecided_section(tmp_path)


def answered(folder: Path, answer: str | None) -> None:
    """What S0000 handed in has this answer, or none, in place of the one before."""
    answers = (
        {name: RIGHT[name] for name in RIGHT if name != "gate.a"} if answer is None else {**RIGHT, "gate.a": answer}
    )
    (folder / "uploads" / "hw_S0000.txt").write_text(text_of(answers))


def rows_of(folder: Path, student: str) -> list[dict[str, str]]:
    return [row for row in table(folder / "results" / "review.csv") if row["student"] == student]


def mark_of(folder: Path) -> dict[str, object]:
    return next(one for one in marks_by_student(folder / "results")["S0000"] if one["item"] == "a")


@pytest.mark.parametrize(
    "answer, called, earned",
    [("open", "the answer “open”", 0.0), (None, "no answer", 0.0), ("shut", "the answer “shut”", 2.0)],
)
def test_a_decision_does_not_pay_for_another_answer_and_comes_back_with_its_own(folder, answer, called, earned):
    """1.5 points for '?'; then another answer, right or wrong, or none: the program's own points, and a person looks."""
    results = folder / "results"
    run(folder)
    run(folder, decisions=fill(results / "review.csv", folder / "mine.csv", S0000=("1.5", "yes")))
    before = contents(results)
    answered(folder, answer)
    for given in (None, folder / "mine.csv", None):  # the same list given again decides nothing new
        assert run(folder, decisions=given).waiting == 2
        mark = mark_of(folder)
        assert (mark["awarded"], mark["decision"], mark["review"]) == (earned, "", True)
    said = f"A person gave 1.5 points for the answer “?”. Now {called} stands here"
    waits, record = rows_of(folder, "S0000")
    assert said in waits["why"]
    assert (waits["decision"], record["answer"], record["decision"], record["reason"]) == ("", "?", "1.5", "yes")
    assert f"Decided for the answer “?”, where {called} stands now" in record["why"]
    page = (results / "feedback" / "S0000.html").read_text()
    assert said in page
    assert "Your instructor decided" not in page
    book = {row["student"]: row for row in table(results / "gradebook.csv")}["S0000"]
    assert "1 decided for another answer" in book["flags"]
    assert float(book["total"]) == 4.0 + earned
    answered(folder, "?")
    run(folder)
    assert mark_of(folder)["awarded"] == 1.5
    kept = {name for name in before if name not in {"changes.csv", "run.json"}}
    assert {name: contents(results)[name] for name in kept} == {name: before[name] for name in kept}


def test_a_line_of_a_decided_answer_is_another_answer(folder):
    answered(folder, "because\n  it leaks: open")
    row = {"student": "S0000", "problem": "gate", "item": "a", "decision": "1", "reason": "half"}
    run(folder, decisions=write(folder / "mine.csv", [row]))
    run(folder)
    assert mark_of(folder)["awarded"] == 1.0
    answered(folder, "because")
    run(folder)
    assert (mark_of(folder)["awarded"], mark_of(folder)["review"]) == (0.0, True)


@pytest.mark.parametrize("where", ["where it lies", "given back"])
@pytest.mark.parametrize("row", ["waiting", "record"])
def test_each_answer_keeps_the_decision_made_for_it(folder, where, row):
    """One point for '?' and half of one for 'open', in the row that waits or by changing the other; either comes back."""
    results = folder / "results"
    run(folder)
    run(folder, decisions=fill(results / "review.csv", folder / "first.csv", S0000=("1", "half")))
    answered(folder, "open")
    run(folder)
    listed = table(results / "review.csv")
    meant = next(one for one in listed if one["student"] == "S0000" and bool(one["decision"]) == (row == "record"))
    meant.update(decision="0.5", reason="open is a quarter of it")
    if where == "given back":
        run(folder, decisions=write(folder / "mine.csv", listed))
    else:
        write(results / "review.csv", listed)
    for answer, earned, why in (
        ("open", 0.5, "open is a quarter of it"),
        ("?", 1.0, "half"),
        ("open", 0.5, "open is a quarter of it"),
    ):
        answered(folder, answer)
        for given in (None, folder / "mine.csv") if where == "given back" else (None, None):
            assert run(folder, decisions=given).waiting == 1
            mark = mark_of(folder)
            assert (mark["awarded"], mark["decision"]) == (earned, why)
        settled = contents(results)
        run(folder)
        assert contents(results) == settled
    answered(folder, None)
    assert run(folder).waiting == 2
    assert mark_of(folder)["awarded"] == 0.0
    said = " ".join(mark_of(folder)["reasons"])
    assert "1 point for the answer “?”" in said
    assert "0.5 points for the answer “open”" in said


def test_a_decision_corrected_replaces_the_one_on_the_same_answer(folder):
    results = folder / "results"
    run(folder)
    for points_given in ("2", "1"):
        fill(results / "review.csv", results / "review.csv", S0000=(points_given, "seen"))
        assert run(folder).decided == 1
    (row,) = rows_of(folder, "S0000")
    assert (row["decision"], row["why"]) == ("1", "Decided.")


def test_one_of_two_decisions_is_taken_back(folder):
    results = folder / "results"
    run(folder)
    run(folder, decisions=fill(results / "review.csv", folder / "mine.csv", S0000=("1", "half")))
    answered(folder, "open")
    run(folder)
    (waits, record) = rows_of(folder, "S0000")
    run(folder, decisions=write(folder / "mine.csv", [{**waits, "decision": "0.5", "reason": "a quarter"}]))
    run(folder, decisions=write(folder / "mine.csv", [{**record, "decision": "-", "reason": ""}]))
    (row,) = rows_of(folder, "S0000")
    assert (row["answer"], row["decision"]) == ("open", "0.5")


@pytest.mark.parametrize("then, now, holds", [
    ("x = 0.7 A", "x=0.7A", True), ("2  A", " 2 A", True), ("20 ms", "20 m s", False), ("2, 3", "2,3", False),
    ("0.7 A", "0.07 A", False), ("-3 -2", "-3-2", False), ("", "0", False), ("0", "", False),
])  # fmt: skip
def test_what_is_layout_alone_changes_no_answer(then, now, holds):
    assert Points(points=1, answer=then).holds_for(now) is holds


def test_whose_a_changed_file_is_is_settled_where_the_list_lies(folder):
    results, found = folder / "results", folder / "uploads" / "found.txt"
    (folder / "uploads" / "hw_S0001.txt").unlink()
    found.write_text(text_of(RIGHT))
    run(folder)

    def decide(decision, reason):
        rows = table(results / "review.csv")
        filled = {"decision": decision, "reason": reason}
        write(results / "review.csv", [{**row, **filled} if row["file"] == "found.txt" else row for row in rows])

    decide("S0001", "by post")
    run(folder)
    found.write_text(text_of({**RIGHT, "gate.a": "open"}))
    for _ in range(2):
        run(folder)
        assert fates(results)["found.txt"] == "no student"
    decide("S0001", "this one came by post, too")
    for _ in range(2):
        run(folder)
        assert fates(results)["found.txt"] == "counted"


@pytest.mark.parametrize("before, said", [("?", "the answer “?”"), ("", "no answer")])
def test_a_row_without_an_answer_holds_for_the_answer_it_met_and_for_no_later_one(folder, before, said):
    """Two points by a row of one's own; given again and again, the answer that comes afterwards waits all the same."""
    results, upload = folder / "results", folder / "uploads" / "hw_S0000.txt"
    upload.write_text(text_of({**RIGHT, "gate.a": before}))
    row = {"student": "S0000", "problem": "gate", "item": "a", "decision": "2", "reason": "seen on paper"}
    mine = write(folder / "mine.csv", [row])
    for given in (mine, mine, None):
        run(folder, decisions=given)
        assert points(results, "S0000", "a") == 2.0
    upload.write_text(text_of({**RIGHT, "gate.a": "open"}))
    for given in (mine, None, mine):
        run(folder, decisions=given)
        waits, listed = rows_of(folder, "S0000")
        assert f"Decided for {said}, where the answer “open” stands now" in listed["why"]
        assert (waits["decision"], points(results, "S0000", "a")) == ("", 0.0)
    run(folder, decisions=write(folder / "mine.csv", [{**row, "reason": "open, but shut on paper"}]))
    assert points(results, "S0000", "a") == 2.0
    assert [row["why"][:8] for row in rows_of(folder, "S0000")] == ["Decided.", "Decided "]


@pytest.mark.parametrize("content", [b"", b"\xff\x00\xfe" * 50, b"student,decision\nS0000,much\n", None])
def test_what_was_issued_may_be_damaged_and_the_decisions_stay(folder, content):
    results = folder / "results"
    run(folder)
    run(folder, decisions=fill(results / "review.csv", folder / "mine.csv", S0000=("2", "yes")))
    before = contents(results)
    issued = results / OWN / "issued.csv"
    issued.unlink()
    if content is None:
        issued.mkdir()
    else:
        issued.write_bytes(content)
    run(folder)
    assert contents(results) == before
