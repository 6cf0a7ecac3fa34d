"""A term goes on: the roster is edited, results are restored or moved, the clock's zone changes.  No mark goes astray."""

import json
import os
import shutil
import time
import zipfile

import pytest

from grader.errors import UsageError
from grader.run import grade as grade_module
from grader.run.storage.moving import OWN
from tests.run.inline import Inline
from tests.run.section import contents, make_section, marks_by_student, run, table


@pytest.fixture
def section(tmp_path, monkeypatch):
    monkeypatch.setattr(grade_module, "Pool", Inline)
    folder = make_section(tmp_path / "section", 3)
    run(folder)
    return folder


def roster(section, text, encoding="utf-8"):
    (section / "roster.csv").write_text(text, encoding=encoding)


def answers(section):
    """What every student answered, as marked."""
    return {
        student: {(one["item"], one["answer"], one["awarded"]) for one in found}
        for student, found in marks_by_student(section / "results").items()
    }


def test_a_student_whose_id_changed_has_nothing_and_the_old_file_waits(section):
    before = answers(section)
    roster(section, "id,name\nS0000,Name 0\nS0101,Name 1\nS0002,Name 2\n")
    run(section)
    after = answers(section)
    assert {id: after[id] for id in ("S0000", "S0002")} == {id: before[id] for id in ("S0000", "S0002")}
    assert "S0001" not in after
    assert not any(awarded for _, _, awarded in after.get("S0101", ()))
    assert "hw_S0001.txt" in {row["file"] for row in table(section / "results" / "review.csv")}


def test_a_decision_on_a_student_who_left_is_named_with_what_to_do(section):
    before = answers(section)
    (section / "decisions.csv").write_text("student,problem,item,decision,reason\nS0001,gate,a,1,agreed\n")
    run(section, decisions=section / "decisions.csv")
    roster(section, "id,name\nS0000,Name 0\nS0002,Name 2\n")
    review = section / "results" / "review.csv"
    with pytest.raises(
        UsageError, match=r"review\.csv, row 2: 'S0001' is no student of the roster; .*, delete the row"
    ):
        run(section)
    lines = review.read_text(encoding="utf-8").splitlines(keepends=True)
    review.write_text("".join(line for line in lines if "S0001" not in line), encoding="utf-8")
    run(section)
    after = answers(section)
    assert {id: after[id] for id in ("S0000", "S0002")} == {id: before[id] for id in ("S0000", "S0002")}


def test_of_two_students_who_change_ids_each_file_counts_for_the_id_that_it_names(section):
    before = answers(section)
    roster(section, "id,name\nS0001,Name 0\nS0000,Name 1\nS0002,Name 2\n")
    run(section)
    assert answers(section) == before


@pytest.mark.parametrize(
    "text, encoding",
    [
        ("id\tname\nS0000\tName 0\nS0001\tName 1\nS0002\tName 2\n", "utf-16"),
        ("id,name\nS0002,Name 2\nS0000,Name 0\nS0001,Name 1\n", "utf-8"),
        ("id,name\ns0000,Name 0\nＳ０００１,Name 1\nS0002,Name 2\n", "utf-8"),
    ],
    ids=["saved by a spreadsheet", "in another order", "ids in other letters"],
)
def test_the_same_students_in_another_roster_have_the_same_marks(section, text, encoding):
    before = sorted(answers(section).values(), key=sorted)
    roster(section, text, encoding)
    run(section)
    assert sorted(answers(section).values(), key=sorted) == before


def test_another_time_zone_changes_no_byte(section, monkeypatch):
    (section / "uploads" / "late_S0001.txt").write_text("gate.a: shut\n")
    os.utime(section / "uploads" / "late_S0001.txt", (time.time() + 3600,) * 2)
    seen = []
    for zone in ("UTC", "Pacific/Kiritimati", "America/St_Johns"):
        monkeypatch.setenv("TZ", zone)
        time.tzset()
        shutil.rmtree(section / "results")
        run(section)
        seen.append(contents(section / "results"))
    monkeypatch.undo()
    time.tzset()
    assert seen[0] == seen[1] == seen[2]


def test_in_a_zip_the_latest_counts_in_every_zone(section, monkeypatch):
    packed = section / "uploads.zip"
    with zipfile.ZipFile(packed, "w") as archive:
        for number, answer in enumerate(("open", "shut", "open")):
            archive.writestr(
                zipfile.ZipInfo(f"v{number}_S0001.txt", (2026, 3, 29, 1 + number, 30, 0)), f"gate.a: {answer}"
            )
    seen = []
    for zone in ("UTC", "Europe/Berlin", "Pacific/Kiritimati"):
        monkeypatch.setenv("TZ", zone)
        time.tzset()
        run(section, results=f"in {zone.replace('/', ' ')}", uploads=packed)
        seen.append({one["answer"] for one in marks_by_student(section / f"in {zone.replace('/', ' ')}")["S0001"]})
    monkeypatch.undo()
    time.tzset()
    assert seen[0] == seen[1] == seen[2]


def test_results_moved_elsewhere_are_gone_on_with(section):
    before = contents(section / "results")
    moved = section.rename(section.with_name("elsewhere"))
    assert run(moved).reused == 3
    assert contents(moved / "results") == before


def test_a_journal_of_another_section_costs_work_and_nothing_else(section, tmp_path):
    other = make_section(tmp_path / "other", 5)
    (other / "rubric.toml").write_text((other / "rubric.toml").read_text().replace("points = 2", "points = 3"))
    run(other)
    before = contents(section / "results")
    shutil.copy(other / "results" / OWN / "journal.jsonl", section / "results" / OWN / "journal.jsonl")
    run(section)
    assert contents(section / "results") == before


def test_a_record_of_a_later_program_is_gone_on_from(section):
    before = contents(section / "results")
    place = section / "results" / "run.json"
    record = json.loads(place.read_text(encoding="utf-8"))
    record = {**record, "program": {"name": "grader", "version": "99"}, "versions": {"grader": "99"}, "later": [1]}
    place.write_text(json.dumps(record))
    run(section)
    assert contents(section / "results") == before


def test_results_restored_from_before_a_decision_know_nothing_of_it_until_it_is_given_again(section):
    shutil.copytree(section / "results", section / "before")
    (section / "decisions.csv").write_text("student,problem,item,decision,reason\nS0001,gate,a,0.5,agreed\n")
    run(section, decisions=section / "decisions.csv")
    decided = contents(section / "results")
    shutil.rmtree(section / "results")
    shutil.copytree(section / "before", section / "results")
    run(section)
    assert {one["awarded"] for one in marks_by_student(section / "results")["S0001"] if one["item"] == "a"} != {0.5}
    run(section, decisions=section / "decisions.csv")
    now = contents(section / "results")
    assert {**now, "changes.csv": b""} == {**decided, "changes.csv": b""}
