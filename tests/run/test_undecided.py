"""What the program came to no end with: left to a person, never a zero that stays, and the other answers keep their marks."""

import shutil
from pathlib import Path

import pytest

from grader.marking.key import build_key
from grader.rubric.files import load_rubric
from grader.run import grade as grade_module
from grader.run.backend import Engine
from tests.run.inline import Inline
from tests.run.section import make_section, marks_by_student, run, table, text_of
from tests.run.stub import ITEMS, STUB, build, mark, mark_in_a_hurry

RUBRIC = Path(__file__).parents[2] / "rubrics" / "lock_valve.toml"
HURRIED = Engine(build=lambda path: build_key(load_rubric(path)), mark=mark_in_a_hurry)

# The valve of the sample rubric: tau = 10 ms, i(0+) = 2 A, i(∞) = 6 A, by hand; so i = 6 - 4 e^(-100 t) A = 24/(4/(1 - (2/3) e^(-100 t))) A.
WRITTEN = "valve.initial: 2 A\nvalve.tau: 10 ms\nvalve.current: {current}\n"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "uploads").mkdir()
    shutil.copy(RUBRIC, tmp_path / "rubric.toml")
    (tmp_path / "roster.csv").write_text("id\nS0001\n")
    return tmp_path


def of_valve(folder: Path) -> dict[str, dict]:
    return {one["item"]: one for one in marks_by_student(folder / "results")["S0001"] if one["problem"] == "valve"}


def test_an_answer_that_took_too_long_waits_and_another_run_tries_again(folder):
    upload = folder / "uploads" / "S0001.txt"
    upload.write_text(WRITTEN.format(current="24/(4/(1-(2/3)e^(-100t))) A"))
    run(folder, engine=HURRIED)
    found = of_valve(folder)
    assert (found["current"]["verdict"], found["current"]["review"]) == ("not decided", True)
    assert found["current"]["reasons"] == ["This was not decided: it took too long. A person will look at it."]
    assert (found["initial"]["verdict"], found["tau"]["verdict"]) == ("correct", "correct")
    waiting = [row for row in table(folder / "results" / "review.csv") if row["item"] == "current"]
    assert [(row["answer"], row["why"]) for row in waiting] == [
        ("24/(4/(1-(2/3)e^(-100t))) A", "This was not decided: it took too long. A person will look at it.")
    ]
    patient = Engine(build=HURRIED.build, mark=own_way)
    again = run(folder, engine=patient)
    assert again.reused == 0
    assert of_valve(folder)["current"]["verdict"] == "correct"
    assert run(folder, engine=patient).reused == 1


@pytest.mark.parametrize(
    "answers, verdicts",
    [
        (("fault", "open", "shut"), ("not decided", "correct", "correct")),
        (("shut", "fault", "open"), ("correct", "not decided", "incorrect")),
        (("fault", "open", "fault"), ("not decided", "correct", "not decided")),
        (("fault", "fault", "fault"), ("not decided", "not decided", "not decided")),
        (("fault", None, "shut"), ("not decided", "blank", "correct")),
        ((None, "fault", None), ("blank", "not decided", "blank")),
    ],
)
def test_answers_that_fail_by_themselves_cost_no_other(tmp_path, monkeypatch, answers, verdicts):
    monkeypatch.setattr(grade_module, "Pool", Inline)
    folder = make_section(tmp_path, 1)
    upload = folder / "uploads" / "hw_S0000.txt"
    upload.write_text(text_of({f"{one[0]}.{one[1]}": said for one, said in zip(ITEMS, answers, strict=True) if said}))
    run(folder)
    found = marks_by_student(folder / "results")["S0000"]
    assert tuple(one["verdict"] for one in found) == verdicts
    assert tuple(one["answer"] for one in found) == tuple(said or "" for said in answers)
    assert run(folder).reused == 0  # tried again
    upload.write_text(upload.read_text().replace("fault", "open"))
    run(folder)
    assert "not decided" not in {one["verdict"] for one in marks_by_student(folder / "results")["S0000"]}


def test_answers_that_hang_end_their_process_or_fill_its_memory_wait_alone(tmp_path):
    """In processes as they are; an upload of a single answer, too, is left to a person with that answer only."""
    said = {
        "S0000": ("open", "hang", "shut"), "S0001": ("hang", None, None), "S0002": ("die", "open", "eat"),
        "S0003": ("shut", "open", "shut"),
    }  # fmt: skip
    folder = make_section(tmp_path, len(said))
    for student, answers in said.items():
        named = {f"{one[0]}.{one[1]}": text for one, text in zip(ITEMS, answers, strict=True) if text}
        (folder / "uploads" / f"hw_{student}.txt").write_text(text_of(named))
    run(folder, seconds=1.0, workers=2)
    found = marks_by_student(folder / "results")
    assert {student: tuple(one["verdict"] for one in marks) for student, marks in found.items()} == {
        "S0000": ("incorrect", "not decided", "correct"),
        "S0001": ("not decided", "blank", "blank"),
        "S0002": ("not decided", "correct", "not decided"),
        "S0003": ("correct", "correct", "correct"),
    }
    waiting = [(row["student"], row["item"]) for row in table(folder / "results" / "review.csv") if row["item"]]
    assert waiting == [("S0000", "b"), ("S0001", "a"), ("S0002", "a"), ("S0002", "c")]


@pytest.mark.parametrize("most", [2, 1, 0])
def test_answers_that_fail_together_or_too_many_leave_the_upload_to_a_person(tmp_path, monkeypatch, most):
    """No more answers than that may be marked together, or by the bound on how many are set aside."""
    monkeypatch.setattr(grade_module, "Pool", Inline)
    monkeypatch.setattr("grader.run.work.MAX_SET_ASIDE", most)
    folder = make_section(tmp_path, 1)
    said = ("fault", "fault", "shut") if most < 2 else ("shut", "open", "shut")
    (folder / "uploads" / "hw_S0000.txt").write_text(
        text_of({f"{one[0]}.{one[1]}": text for one, text in zip(ITEMS, said, strict=True)})
    )
    run(folder, engine=STUB if most < 2 else Engine(build=build, mark=mark_one_alone))
    found = marks_by_student(folder / "results")["S0000"]
    assert {one["verdict"] for one in found} == {"not decided"}
    assert tuple(one["answer"] for one in found) == said


def test_of_a_row_of_a_wide_table_the_other_answers_count_too(tmp_path, monkeypatch):
    monkeypatch.setattr(grade_module, "Pool", Inline)
    folder = make_section(tmp_path, 2)
    (folder / "class.csv").write_text("id,gate.a,gate.b\nS0000,fault,open\nS0001,shut,open\n")
    run(folder, uploads=folder / "class.csv")
    found = marks_by_student(folder / "results")
    assert [one["verdict"] for one in found["S0000"]] == ["not decided", "correct", "blank"]
    assert [one["verdict"] for one in found["S0001"]] == ["correct", "correct", "blank"]


def mark_one_alone(key, upload):
    if len(upload.answers) > 1:
        raise ZeroDivisionError
    return mark(key, upload)


def own_way(key, upload):
    from grader.marking.mark import mark_upload

    return mark_upload(key, upload)
