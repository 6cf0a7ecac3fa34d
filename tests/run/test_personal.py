"""A section with personal values: everybody is marked with their own, however the run went, and nobody sees another's."""

import json
from pathlib import Path

import openpyxl
import pytest

from grader.errors import UsageError
from grader.marking.classmates import TO_EVERY_DIGIT
from grader.marking.key import build_key
from grader.rubric.files import load_rubric
from grader.rubric.personal import personal_rubric
from grader.rubric.references import references
from grader.run.grade import RunOptions, grade
from grader.run.personal import KEPT, Keys
from grader.run.storage.private import identity, kept_secret
from tests.run.section import contents, marks, marks_by_student, text_of

RUBRIC = """
title = "Priming valve"
[[problem]]
id = "valve"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V … 60 V, step 1 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "33 ohm … 150 ohm, E24"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.2 H … 0.9 H, step 0.01 H"},
]
item = [
  {id = "end", find = "final value", current = "L1", points = 1},
  {id = "tau", find = "time constant", points = 2},
  {id = "i", find = "expression", current = "L1", points = 3},
]
[[problem]]
id = "lamp"
item = [{id = "safe", find = "choice", options = ["open", "shut"], key = "open", points = 1}]
"""
SECRET = bytes(range(32))
STUDENTS = tuple(f"S{number:04}" for number in range(1, 6))


@pytest.fixture(scope="module")
def rubric(tmp_path_factory):
    path = tmp_path_factory.mktemp("rubric") / "valve.toml"
    path.write_text(RUBRIC, encoding="utf-8")
    return load_rubric(path)


def right(rubric, student):
    found = references(personal_rubric(rubric, student, SECRET))
    return {f"{one.problem}.{one.item}": one.text for one in found}


@pytest.fixture
def section(tmp_path, rubric):
    """Five students with right answers; the last sends the first one's time constant."""
    (tmp_path / "valve.toml").write_text(RUBRIC, encoding="utf-8")
    (tmp_path / "roster.csv").write_text("id,name\n" + "".join(f"{id},Name {id}\n" for id in STUDENTS))
    (tmp_path / "values.key").write_text(SECRET.hex())
    (tmp_path / "uploads").mkdir()
    for student in STUDENTS:
        answers = right(rubric, student)
        if student == STUDENTS[-1]:
            answers["valve.tau"] = right(rubric, STUDENTS[0])["valve.tau"]
        (tmp_path / "uploads" / f"hw_{student}.txt").write_text(text_of(answers))
    return tmp_path


def run(folder: Path, results: str = "results", **changed):
    call = {
        "rubric": folder / "valve.toml", "uploads": folder / "uploads", "results": folder / results,
        "roster": folder / "roster.csv", "secret": folder / "values.key", **changed,
    }  # fmt: skip
    return grade(RunOptions(**call))


def test_everybody_is_marked_with_their_own_values(section):
    assert run(section).students == len(STUDENTS)
    for student, own in marks_by_student(section / "results").items():
        wrong = [mark["item"] for mark in own if mark["verdict"] != "correct"]
        assert wrong == (["tau"] if student == STUDENTS[-1] else [])
        assert [mark.get("personal", False) for mark in own] == [True, True, True, False]


def test_the_results_are_the_same_bytes_however_the_run_went(section):
    """One worker, three, and one file marked before by an earlier run."""
    run(section, "one/results", workers=1)
    run(section, "three/results", workers=3)
    late = section / "uploads" / f"hw_{STUDENTS[2]}.txt"
    kept = late.read_bytes()
    late.unlink()
    run(section, "again/results")
    late.write_bytes(kept)
    assert run(section, "again/results").reused == len(STUDENTS) - 1
    again = contents(section / "again/results")
    again.pop("changes.csv")
    one, three = contents(section / "one/results"), contents(section / "three/results")
    assert one == three
    for name in one.keys() - {"run.json"}:
        assert one[name] == again[name]


def test_the_secret_is_told_apart_and_given_away_nowhere(section):
    run(section)
    found = contents(section / "results")
    assert json.loads(found["run.json"])["inputs"]["secret"] == {"identity": identity(SECRET)}
    for name, content in found.items():
        assert SECRET.hex().encode() not in content, name
    journal = (section / "results" / ".grader" / "journal.jsonl").read_bytes()
    assert SECRET.hex().encode() not in journal


def test_another_secret_marks_everything_anew_and_says_why(section):
    run(section)
    summary = run(section, secret=section / "other.key") if kept_secret(section / "other.key") else None
    assert summary is not None
    assert summary.reused == 0
    assert "the secret changed" in (section / "results" / "changes.csv").read_text(encoding="utf-8-sig")


def test_without_a_secret_or_a_roster_it_is_one_sentence(section):
    with pytest.raises(UsageError, match=r"valve\.toml has personal values.*--secret"):
        run(section, secret=None)
    with pytest.raises(UsageError, match="add --roster"):
        run(section, roster=None)
    assert not (section / "results").exists()


def test_feedback_shows_a_students_own_values_and_nobody_elses(section, rubric):
    run(section)
    for student in STUDENTS:
        page = (section / "results" / "feedback" / f"{student}.html").read_text(encoding="utf-8")
        book = openpyxl.load_workbook(section / "results" / "feedback" / f"{student}.xlsx")
        words = "\n".join(str(cell.value) for row in book["Your values"].iter_rows() for cell in row)
        for name, text in personal_rubric(rubric, student, SECRET).problem("valve").values:
            assert text in page
            assert f"{name}: " in words
            assert text in words
        assert "personal" not in page
        others = {one for one in STUDENTS if one != student}
        assert not any(one in page for one in others)


def test_what_is_right_for_a_classmate_is_told_to_the_instructor_alone(section):
    run(section)
    noted = [
        mark for mark in marks(section / "results") if any(note.startswith(TO_EVERY_DIGIT) for note in mark["notes"])
    ]
    assert [(mark["student"], mark["item"]) for mark in noted] == [(STUDENTS[-1], "tau")]
    assert STUDENTS[0] in noted[0]["notes"][-1]
    assert "proves nothing" in noted[0]["notes"][-1]
    assert STUDENTS[0] in (section / "results" / "audit.html").read_text(encoding="utf-8")
    for path in (section / "results" / "feedback").iterdir():
        content = path.read_text(encoding="utf-8") if path.suffix == ".html" else str(sheet_texts(path))
        assert TO_EVERY_DIGIT not in content


def sheet_texts(path):
    return [cell.value for sheet in openpyxl.load_workbook(path) for row in sheet.iter_rows() for cell in row]


def test_the_audit_leaves_equal_answers_out_and_says_so(section):
    run(section)
    page = (section / "results" / "audit.html").read_text(encoding="utf-8")
    assert "Values are personal in valve:" in page


# -- keys ------------------------------------------------------------------------------------------


def test_a_worker_keeps_few_keys_and_works_others_out_anew(rubric, monkeypatch):
    built = []
    monkeypatch.setattr("grader.marking.key.build_key", lambda own: built.append(own.digest) or own)
    keys = Keys(build_key(rubric), SECRET)
    many = [f"S{number:05}" for number in range(KEPT + 1)]
    for student in (*many, many[-1]):
        keys.of(student)
    assert len(built) == KEPT + 1
    keys.of(many[0])
    assert len(built) == KEPT + 2
    assert built[0] == built[-1]
