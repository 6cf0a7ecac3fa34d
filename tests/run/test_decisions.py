"""Decisions of a person: given back, kept, checked; and what changed since the run before."""

import os
import zipfile
from pathlib import Path

import pytest
from msgspec import structs
from msgspec.structs import replace

from grader.errors import UsageError
from grader.jobs.pool import Pool
from grader.marking.marks import INCORRECT, PARTLY, Mark, Marked
from grader.run import grade as grade_module
from grader.run.backend import Engine
from grader.run.decisions import ANEW, Decisions, decided
from grader.run.given import Points, outdated
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
from tests.run.stub import RUBRIC, build, mark_only_what_is_there


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Path:
    monkeypatch.setattr(grade_module, "Pool", Inline)
    return undecided_section(tmp_path)


def test_a_decision_given_back_is_applied_and_shown(folder):
    results = folder / "results"
    assert run(folder).waiting == 1  # three students, one row
    filled = fill(results / "review.csv", folder / "mine.csv", S0000=("1,5", "Shown in the working."), S0001=("0", ""))
    summary = run(folder, decisions=filled)
    assert (summary.waiting, summary.decided) == (1, 2)
    assert [points(results, f"S000{number}", "a") for number in range(3)] == [1.5, 0.0, 0.0]
    mark = marks_by_student(results)["S0000"][0]
    assert (mark["verdict"], mark["decision"], mark["review"]) == ("partly correct", "Shown in the working.", False)
    assert mark["notes"][0] == "Before the decision: 0 points, incorrect."
    assert mark["reasons"] == []  # what denied the answer, no longer said to the student
    assert b"Shown in the working." in contents(results)["feedback/S0000.html"]
    book = {row["student"]: row for row in table(results / "gradebook.csv")}
    assert float(book["S0000"]["total"]) == 5.5
    assert "1 decided" in book["S0000"]["flags"]
    listed = {row["student"]: row for row in table(results / "review.csv")}
    assert (listed["S0000"]["decision"], listed["S0000"]["reason"]) == ("1.5", "Shown in the working.")
    assert listed["S0002"]["decision"] == ""


def test_one_decision_on_equal_answers_holds_for_all(folder):
    results = folder / "results"
    run(folder)
    (row,) = table(results / "review.csv")
    assert (row["student"], row["count"], row["answer"]) == ("S0000; S0001; S0002", "3", "?")
    summary = run(folder, decisions=write(folder / "mine.csv", [{**row, "decision": "1", "reason": "Half."}]))
    assert (summary.waiting, summary.decided) == (0, 3)
    assert [points(results, f"S000{number}", "a") for number in range(3)] == [1.0, 1.0, 1.0]
    (kept,) = table(results / "review.csv")
    assert (kept["student"], kept["decision"]) == (row["student"], "1")
    assert run(folder).decided == 3


def test_decisions_are_kept_at_every_later_run(folder):
    results = folder / "results"
    run(folder)
    run(folder, decisions=fill(results / "review.csv", folder / "mine.csv", S0000=("2", "yes")))
    before = contents(results)
    run(folder)
    assert contents(results) == before
    (folder / "rubric.toml").write_text(RUBRIC.replace("points = 3", "points = 4"))
    run(folder)
    assert points(results, "S0000", "a") == 2.0
    changes = table(results / "changes.csv")
    assert {row["why"] for row in changes} == {"the rubric changed"}
    cells = ("item", "before", "after", "possible before", "possible after")
    assert {tuple(row[name] for name in cells) for row in changes} == {("c", "3", "4", "3", "4")}


def test_the_list_filled_in_where_it_lies(folder):
    results = folder / "results"
    run(folder)
    fill(results / "review.csv", results / "review.csv", S0001=("2", ""))
    assert run(folder).decided == 1
    assert run(folder, decisions=results / "review.csv").decided == 1
    fill(results / "review.csv", results / "review.csv", S0001=("", ""))
    assert run(folder).decided == 0


def test_any_item_may_be_decided_by_adding_a_row_and_taken_back(folder):
    results = folder / "results"
    run(folder)
    row = {"student": "s0002", "problem": "", "item": "horn.c", "decision": "0.5", "reason": "half"}
    run(folder, decisions=write(folder / "mine.csv", [row]))
    assert points(results, "S0002", "c") == 0.5
    run(folder, decisions=write(folder / "mine.csv", [{**row, "decision": "", "reason": ""}]))
    assert points(results, "S0002", "c") == 0.5
    run(folder, decisions=write(folder / "mine.csv", [{**row, "decision": "-"}]))
    assert points(results, "S0002", "c") == 3.0


DENYING = (
    "For t > 2 s: nothing is said of this time.",
    "The unit is missing, which costs 20 % of what it earns.",
    "The initial value agrees; the form does not.",
)


@pytest.mark.parametrize(
    ("points", "kept"), [(0.5, ("The final value agrees.", *DENYING)), (1.0, ("The final value agrees.",)), (0.25, ())]
)
def test_what_promises_a_look_falls_away_with_the_decision_and_praise_with_fewer_points(points, kept):
    mark = Mark(
        problem="gate", item="a", answer="x", awarded=0.5, possible=2.0, verdict=PARTLY, review=True, nudges=("Does it settle?",),
        reasons=("The final value agrees.", "A person will check this answer.", *DENYING),
    )  # fmt: skip
    decisions = Decisions(points={("S0000", "gate", "a"): (Points(points=points, reason="Half of it."),)})
    (found,) = decided(Marked(student="S0000", file="", marks=(mark,)), decisions).marks
    assert found.reasons == kept
    assert found.nudges == (() if points > 0.5 else ("Does it settle?",))


def test_a_decision_of_other_points_than_the_item_has_says_so_on_the_page():
    mark = Mark(problem="gate", item="a", answer="7 V", awarded=0.0, possible=2.0, verdict=INCORRECT)
    decisions = Decisions(
        points={("S0000", "gate", "a"): (Points(points=1, reason="Half.", answer="7 V", possible=1),)}
    )
    (found,) = decided(Marked(student="S0000", file="", marks=(mark,)), decisions).marks
    assert (found.awarded, found.reasons) == (1, (ANEW,))
    (same,) = decided(Marked(student="S0000", file="", marks=(structs.replace(mark, possible=1.0),)), decisions).marks
    assert same.reasons == ()


def test_points_for_a_student_who_sent_nothing(folder):
    (folder / "uploads" / "hw_S0002.txt").unlink()
    row = {"student": "S0002", "problem": "gate", "item": "a", "decision": "2", "reason": "handed in on paper"}
    summary = run(folder, decisions=write(folder / "mine.csv", [row]))
    assert summary.missing == 0
    assert [one["awarded"] for one in marks_by_student(folder / "results")["S0002"]] == [2.0, 0.0, 0.0]
    with pytest.raises(UsageError, match="'S0002', who sent nothing"):
        run(folder, "other", roster=None, decisions=folder / "mine.csv")


def test_points_for_a_student_who_sent_nothing_and_cannot_be_marked(folder, monkeypatch):
    """The points are given, whatever happens to the worker that fills in the rest."""
    monkeypatch.setattr(grade_module, "Pool", Pool)
    (folder / "uploads" / "hw_S0002.txt").unlink()
    row = {"student": "S0002", "problem": "gate", "item": "a", "decision": "2", "reason": "handed in on paper"}
    engine = Engine(build=build, mark=mark_only_what_is_there)
    run(folder, engine=engine, decisions=write(folder / "mine.csv", [row]))
    assert [one["awarded"] for one in marks_by_student(folder / "results")["S0002"]] == [2.0, 0.0, 0.0]


def test_whose_a_file_is_and_that_a_fault_was_seen(folder):
    results = folder / "results"
    (folder / "uploads" / "found.txt").write_text(text_of(RIGHT))
    (folder / "uploads" / "hw_S0001.txt").unlink()
    (folder / "uploads" / "hw_S0002.txt").write_text(text_of(RIGHT) + "gate.x: lost\n")
    assert run(folder).waiting == 3
    rows = [
        {"student": "", "file": "found.txt", "why": "", "decision": "S0001", "reason": ""},
        {
            **next(row for row in table(results / "review.csv") if row["file"] == "hw_S0002.txt"),
            "decision": "OK",
            "reason": "a note",
        },
    ]
    rows = [
        {name: row.get(name, "") for name in ("student", "file", "problem", "item", "why", "decision", "reason")}
        for row in rows
    ]
    assert run(folder, decisions=write(folder / "mine.csv", rows)).waiting == 1
    assert points(results, "S0001", "a") == 2.0
    assert [row["why"] for row in table(results / "changes.csv")] == ["a person said whose the upload is"]
    before = contents(results)
    assert run(folder).waiting == 1
    assert contents(results) == before


def test_another_file_of_the_same_name_inherits_no_student_and_no_tick(folder):
    results, found = folder / "results", folder / "uploads" / "found.txt"
    (folder / "uploads" / "hw_S0001.txt").unlink()
    found.write_text(text_of(RIGHT) + "gate.x: lost\n")
    run(folder)
    rows = [row for row in table(results / "review.csv") if row["file"] == "found.txt"]
    ticks = {"No id of the roster stands in the file or in its name.": ("S0001", "it came by post")}
    rows = [
        {**row, **dict(zip(("decision", "reason"), ticks.get(row["why"], ("ok", "")), strict=True))} for row in rows
    ]
    run(folder, decisions=write(folder / "mine.csv", rows))
    assert points(results, "S0001", "a") == 2.0
    found.write_text(text_of({**RIGHT, "gate.a": "open"}) + "gate.x: lost\n")
    for given in (None, folder / "mine.csv", None):  # the same list given again decides nothing new
        run(folder, decisions=given)
        assert "S0001" not in marks_by_student(results)
        listed = [row for row in table(results / "review.csv") if row["file"] == "found.txt"]
        assert [row["decision"] for row in listed] == ["S0001", "", ""]
        assert "with other contents than it has now" in listed[0]["why"]
        assert listed[0]["reason"] == "it came by post"
    again = write(folder / "mine.csv", [{**listed[0], "reason": "this came by post, too"}])
    run(folder, decisions=again)
    assert fates(results)["found.txt"] == "counted"
    before = contents(results)
    run(folder)
    assert contents(results) == before
    assert points(results, "S0001", "a") < 2.0
    run(folder, decisions=write(folder / "mine.csv", [{**listed[0], "decision": "-", "reason": ""}]))
    assert fates(results)["found.txt"] == "no student"


def test_remarks_on_files_never_outgrow_the_list_that_is_given_back(folder, monkeypatch):
    monkeypatch.setattr("grader.run.review.LISTED", 3)
    with zipfile.ZipFile(folder / "class.zip", "w") as zip:
        zip.writestr("hw_S0000.txt", text_of(RIGHT))
        for number in range(9):
            zip.writestr(f"stray{number}.txt", f"nothing {number}")
    assert run(folder, uploads=folder / "class.zip").waiting == 4
    last = table(folder / "results" / "review.csv")[-1]
    assert (last["file"], last["why"].split()[0]) == ("(all uploads)", "15")
    ticked = write(folder / "mine.csv", [{**last, "decision": "ok"}])
    assert run(folder, uploads=folder / "class.zip", decisions=ticked).waiting == 3


@pytest.mark.parametrize(
    "one, other, text, why",
    [
        (1_000, 2_000, "open", "a later upload by this student"),
        (1_000, 1_000, "open", "the last by name of the uploads by this student, whose times are equal or unknown"),
        (1_000, 2_000, "?", "another file by this student with the same contents"),
    ],
)  # fmt: skip
def test_why_an_upload_does_not_count(folder, one, other, text, why):
    for name, seconds, answer in (("hw_S0000.txt", one, "?"), ("hw_S0000_v2.txt", other, text)):
        path = folder / "uploads" / name
        path.write_text(text_of({**RIGHT, "gate.a": answer}))
        os.utime(path, (seconds, seconds))
    run(folder)
    (row,) = (row for row in table(folder / "results" / "review.csv") if row["file"] == "hw_S0000.txt")
    assert row["why"] == f"Not counted: hw_S0000_v2.txt is {why}."


def test_a_decision_on_other_points_than_the_item_has_now_waits_again():
    mark = Mark(problem="gate", item="a", answer="?", awarded=0, possible=3, verdict=INCORRECT)
    taken = Points(points=2, reason="yes", answer="?", possible=2)
    assert "2 points where the item has 3 now" in outdated(mark, taken)
    assert outdated(structs.replace(mark, possible=2), taken) == ""
    assert outdated(mark, replace(taken, points=3).again([taken])) == ""
    assert outdated(mark, taken.again([taken])) != ""


def test_all_rows_that_cannot_be_applied_at_once(folder):
    rows = [
        ("S0000", "gate", "a", "3", ""), ("S0000", "gate", "b", "much", ""), ("S9999", "gate", "a", "1", ""),
        ("S0001", "gate", "z", "1", ""), ("S0001", "gate", "b", "", "why"), ("S0002", "gate", "b", "0", ""),
        ("S0002", "gate", "b", "1", ""), ("", "gate", "a", "1", ""), ("S0000", "gate", "a", "nan", ""),
    ]  # fmt: skip
    head = ("student", "problem", "item", "decision", "reason")
    with pytest.raises(UsageError) as caught:
        run(folder, decisions=write(folder / "mine.csv", [dict(zip(head, row, strict=True)) for row in rows]))
    said = str(caught.value).splitlines()
    assert len(said) == 8
    for row, words in enumerate(
        ["outside 0 to 2", "no number of points", "no student of the roster", "is no item", "a reason but no decision",
         "decided twice", "no student is named", "no number of points"]
    ):  # fmt: skip
        assert words in said[row]
        assert said[row].startswith("mine.csv, row ")
    assert said[3].count("rubric") == 1


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n"])
def test_what_is_no_list_of_decisions(folder, text):
    (folder / "mine.csv").write_text(text)
    with pytest.raises(UsageError, match=r"mine\.csv"):
        run(folder, decisions=folder / "mine.csv")


def test_what_changed_for_whom_and_why(folder):
    results = folder / "results"
    run(folder)
    assert not (results / "changes.csv").exists()
    (folder / "uploads" / "hw_S0001.txt").write_text(text_of(RIGHT))
    (folder / "uploads" / "hw_S0002.txt").unlink()
    row = {"student": "S0000", "problem": "gate", "item": "b", "decision": "0", "reason": "copied"}
    summary = run(folder, decisions=write(folder / "mine.csv", [row]))
    found = [tuple(row.values()) for row in table(results / "changes.csv")]
    assert found == [
        ("S0000", "gate", "b", "1", "0", "1", "1", "a decision"),
        ("S0001", "gate", "a", "0", "2", "2", "2", "another upload counts than before"),
        ("S0002", "", "", "4", "", "6", "", "no upload of this student counts any more"),
    ]
    assert summary.changed == (3, 3)
    assert not (results / "feedback" / "S0002.html").exists()
    kept = contents(results)
    assert run(folder, decisions=folder / "mine.csv").changed is None
    assert contents(results) == kept


def test_a_run_that_changes_no_points_leaves_no_table_of_changes(folder):
    """What another run had changed is no news any more; a decision that confirms the points is no change either."""
    results = folder / "results"
    run(folder)
    row = {"student": "S0000", "problem": "gate", "item": "b", "decision": "0", "reason": "copied"}
    assert run(folder, decisions=write(folder / "mine.csv", [row])).changed == (1, 1)
    assert (results / "changes.csv").exists()
    assert run(folder, decisions=write(folder / "mine.csv", [{**row, "reason": "seen again"}])).changed == (0, 0)
    assert not (results / "changes.csv").exists()
    row["reason"] = "seen again"
    rows = [row, {**row, "item": "a", "decision": "0"}, {**row, "student": "S0001", "decision": "0"}]
    assert run(folder, decisions=write(folder / "mine.csv", rows)).changed == (1, 1)
    assert [(row["student"], row["item"]) for row in table(results / "changes.csv")] == [("S0001", "b")]


def test_a_changed_rubric_is_named(folder):
    run(folder)
    (folder / "rubric.toml").write_text(RUBRIC.replace('key = "open"', 'key = "shut"'))
    (folder / "uploads" / "hw_S0000.txt").write_text("gate.b: shut\n")
    assert run(folder).changed == (3, 3)
    why = {(row["student"], row["item"]): row["why"] for row in table(folder / "results" / "changes.csv")}
    assert why["S0001", "b"] == "the rubric changed"
    assert why["S0000", "c"] == "another upload counts than before; the rubric changed"


def test_points_that_can_be_earned_are_a_change_too(folder):
    results = folder / "results"
    (folder / "uploads" / "hw_S0000.txt").write_text(text_of({**RIGHT, "horn.c": "open"}))
    row = {"student": "S0001", "problem": "horn", "item": "c", "decision": "1", "reason": "half seen"}
    run(folder, decisions=write(folder / "mine.csv", [row]))
    (folder / "rubric.toml").write_text(RUBRIC.replace("points = 3", "points = 4"))
    run(folder)
    found = {one["student"]: tuple(one.values())[3:] for one in table(results / "changes.csv")}
    assert found["S0000"] == ("0", "0", "3", "4", "the rubric changed")
    assert found["S0001"] == ("1", "1", "3", "4", "the rubric changed")


@pytest.mark.parametrize(
    "heading, row, said",
    [
        ("student,problem,item,decision,reason", "S0000,gate,a,1_0,r", "'1_0' is no number of points"),
        (
            "student,problem,item,decision,reason",
            "S0000,gate,a,2.0000001,r",
            "the decision 2.0000001 lies outside 0 to 2",
        ),
        ("student,problem,item,decision,decision,reason", "S0000,gate,a,1,2,r", "'decision' stands in two columns"),
        ("student,student,problem,item,decision,reason", "S0000,S0001,gate,a,1,r", "'student' stands in two columns"),
    ],
)
def test_a_table_of_decisions_that_says_two_things_is_refused(folder, heading, row, said):
    (folder / "mine.csv").write_text(f"{heading}\n{row}\n")
    with pytest.raises(UsageError, match=said):
        run(folder, decisions=folder / "mine.csv")


def test_a_later_file_that_answers_far_fewer_items_waits_and_may_be_nobodys(folder):
    """A correction of one line replaces a whole sheet: a person is told, and lets the sheet count in one row."""
    uploads, results = folder / "uploads", folder / "results"
    (uploads / "S0001_fix.txt").write_text(text_of({"gate.a": RIGHT["gate.a"]}))
    os.utime(uploads / "hw_S0001.txt", (1_000, 1_000))
    os.utime(uploads / "S0001_fix.txt", (2_000, 2_000))
    run(folder)
    assert fates(results)["hw_S0001.txt"] == "superseded"
    (row,) = (row for row in table(results / "review.csv") if row["file"] == "S0001_fix.txt")
    of = len(RIGHT)
    assert f"answers 1 item; hw_S0001.txt, which does not, answers {of} items" in row["why"]
    page = (results / "feedback" / "S0001.html").read_text()
    assert (
        f"It answers {of} items, the one that counts 1 item: if that was meant to correct it, tell your instructor."
        in page
    )
    filled = write(folder / "mine.csv", [{**row, "decision": "nobody", "reason": "Corrects a line."}])
    run(folder, decisions=filled)
    assert (fates(results)["hw_S0001.txt"], fates(results)["S0001_fix.txt"]) == ("counted", "no student")
    (row,) = (row for row in table(results / "review.csv") if row["file"] == "S0001_fix.txt")
    assert (row["decision"], row["reason"]) == ("nobody", "Corrects a line.")
    run(folder)  # and stays so
    assert fates(results)["hw_S0001.txt"] == "counted"
