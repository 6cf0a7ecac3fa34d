"""What the program came to no end with: left to a person, never a zero that stays, and the other answers keep their marks."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from grader.marking.key import build_key
from grader.rubric.files import load_rubric
from grader.run.backend import Engine
from tests.run.section import marks_by_student, run, table
from tests.run.stub import mark_in_a_hurry

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


def own_way(key, upload):
    from grader.marking.mark import mark_upload

    return mark_upload(key, upload)
