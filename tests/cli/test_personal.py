"""Personal values from the call: sheets, answers, feedback; and the server marks what the command line marks."""

import json
import stat
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.jobs.worker import all_messages
from grader.marking.key import build_key
from grader.marking.marks import Marked
from grader.rubric.files import load_rubric
from grader.rubric.personal import personal_rubric
from grader.rubric.references import references
from grader.run.backend import own_engine
from grader.run.rubric_key import RubricKey
from grader.run.storage.private import read_secret
from grader.run.storage.serialization import decoded
from grader.run.work import ReadUpload, RowJob, Task, make
from grader.uploads.reader import read_one
from grader.uploads.roster import Roster, load_roster
from grader.uploads.upload import Upload, Written
from grader.web import work

from .running import run

RUBRIC = Path(__file__).parents[2] / "rubrics" / "pump_priming.toml"
PLAIN = RUBRIC.with_name("signal_lamp.toml")
STUDENTS = ("S0001", "S0002", "S0003")
SECRET = bytes(range(32))


@pytest.fixture
def files(tmp_path):
    (tmp_path / "roster.csv").write_text("id,name\n" + "".join(f"{id},Name {id}\n" for id in STUDENTS))
    (tmp_path / "values.key").write_text(SECRET.hex())
    return tmp_path


def texts(path):
    return [str(cell.value) for sheet in openpyxl.load_workbook(path) for row in sheet.iter_rows() for cell in row]


# -- sheets ----------------------------------------------------------------------------------------


def test_every_student_gets_a_sheet_with_the_id_and_values_of_their_own(files, capsys):
    secret = files / "new.key"
    call = ("sheet", str(RUBRIC), "-o", str(files / "sheets"), "--roster", str(files / "roster.csv"))
    status, out, _ = run(*call, "--secret", str(secret), capsys=capsys)
    assert status == 0
    assert f"{secret}: keep this file" in out
    assert stat.S_IMODE(secret.stat().st_mode) == 0o600
    names = {f"{id}{form}" for id in STUDENTS for form in (".xlsx", ".html")}
    assert {path.name for path in (files / "sheets").iterdir()} == names
    rubric, roster = load_rubric(RUBRIC), load_roster(files / "roster.csv")
    pairs = tuple((problem.id, item.id) for problem in rubric.problems for item in problem.items)
    for student in STUDENTS:
        own = personal_rubric(rubric, student, read_secret(secret))
        shown = "\n".join(texts(files / "sheets" / f"{student}.xlsx"))
        page = (files / "sheets" / f"{student}.html").read_text(encoding="utf-8")
        for name, text in own.problem("valve").values:
            if name != "R2":  # not drawn, and written as the instructor did
                assert f", {text}, " in shown
                assert text in page
        assert student in page
        assert "personal" not in shown + page
        moved = files / f"homework {student[-1]}.xlsx"
        (files / "sheets" / f"{student}.xlsx").rename(moved)
        assert [upload.student for upload in read_one(moved, pairs, roster)] == [student], "by the id inside"
    first = secret.read_bytes()
    assert run(*call, "--secret", str(secret), capsys=capsys)[0] == 0
    assert secret.read_bytes() == first


@pytest.mark.parametrize("name", ["blank.xlsx", "blank.csv", "blank.txt", "blank.html"])
def test_the_blank_sheet_says_that_values_are_personal(files, capsys, name):
    _, out, _ = run("sheet", str(RUBRIC), "-o", str(files / name), capsys=capsys)
    assert "--roster and --secret write each student's own" in out
    path = files / name
    text = "\n".join(texts(path)) if path.suffix == ".xlsx" else path.read_text(encoding="utf-8")
    assert text.count("The values here are personal") == 2
    assert "12 V … 48 V, step 4 V" in text


def test_a_plain_rubric_gives_sheets_with_ids_and_needs_no_secret(files, capsys):
    status, out, _ = run(
        "sheet", str(PLAIN), "-o", str(files / "sheets"), "--roster", str(files / "roster.csv"), capsys=capsys
    )
    assert status == 0
    assert "keep this file" not in out
    assert "S0002" in texts(files / "sheets" / "S0002.xlsx")


def test_what_does_not_go_together_is_one_sentence_and_writes_nothing(files, capsys):
    before = set(files.iterdir())
    roster, secret = ("--roster", str(files / "roster.csv")), ("--secret", str(files / "values.key"))
    for words, says in (
        (("sheet", str(RUBRIC), "-o", str(files / "s"), *roster), "needs|--secret"),
        (("sheet", str(RUBRIC), "-o", str(files / "s.xlsx"), *secret), "add --roster"),
        (("solve", str(RUBRIC), *secret), "add --student"),
        (("solve", str(RUBRIC), "-o", str(files / "s"), *roster), "needs|--secret"),
        (("solve", str(RUBRIC), *roster, *secret), "go together"),
        (("solve", str(RUBRIC), "-o", str(files / "s"), *secret), "go together"),
        (("solve", str(RUBRIC), "--student", "S0001"), "has personal values"),
    ):
        status, _, told = run(*words, capsys=capsys)
        assert status == 2
        assert any(part in told for part in says.split("|"))
        assert told.count("\n") == 0
    assert set(files.iterdir()) == before


def test_a_range_that_leaves_a_student_without_an_answer_is_said_before_any_sheet_is_written(files, capsys):
    """The level lies beyond the final value for the smaller supplies: there is no such time."""
    rubric = files / "level.toml"
    rubric.write_text(
        """
title = "Lamp"
[[problem]]
id = "lamp"
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], value = "4 V … 40 V, step 1 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF"},
]
item = [{id = "late", find = "time to reach", voltage = "C1", level = "20 V", points = 1}]
"""
    )
    ids = [f"S{number:04}" for number in range(30)]
    (files / "roster.csv").write_text("id\n" + "\n".join(ids) + "\n")
    status, _, told = run(
        "sheet", str(rubric), "-o", str(files / "s"), "--roster", str(files / "roster.csv"),
        "--secret", str(files / "values.key"), capsys=capsys,
    )  # fmt: skip
    assert status == 2
    assert "(with the values of student S00" in told
    assert not (files / "s").exists()


# -- answers and feedback --------------------------------------------------------------------------


def test_solve_shows_a_students_own_answers(files, capsys):
    own = personal_rubric(load_rubric(RUBRIC), "S0002", SECRET)
    words = ("solve", str(RUBRIC), "--student", "S0002", "--secret", str(files / "values.key"))
    _, out, _ = run(*words, "--json", capsys=capsys)
    found = {(p["id"], i["id"]): i["text"] for p in json.loads(out)["problems"] for i in p["items"]}
    assert found == {(one.problem, one.item): one.text for one in references(own)}
    _, out, _ = run(*words, capsys=capsys)
    assert f"S0002: Vs = {dict(own.problem('valve').values)['Vs']}, R1 = " in out
    _, out, _ = run("solve", str(RUBRIC), capsys=capsys)
    assert "these answers are for the middle ones" in out


def test_every_student_gets_a_worked_solution_with_values_of_their_own(files, capsys):
    call = ("solve", str(RUBRIC), "-o", str(files / "solutions"), "--roster", str(files / "roster.csv"))
    status, out, _ = run(*call, "--secret", str(files / "values.key"), capsys=capsys)
    assert (status, "3 worked solutions" in out) == (0, True)
    taus = set()
    for student in STUDENTS:
        page = (files / "solutions" / f"{student}.html").read_text(encoding="utf-8")
        assert student in page
        found = references(personal_rubric(load_rubric(RUBRIC), student, SECRET))
        (tau,) = [one for one in found if (one.problem, one.item) == ("valve", "tau")]
        assert tau.text.split()[0] in page
        taus.add(tau.text)
    assert len(taus) > 1


def test_try_takes_the_values_of_whom_the_file_or_the_call_names(files, capsys):
    secret = ("--secret", str(files / "values.key"))
    own = {
        student: next(
            one.text for one in references(personal_rubric(load_rubric(RUBRIC), student, SECRET)) if one.item == "tau"
        )
        for student in STUDENTS
    }
    answers = files / "answers.txt"
    answers.write_text(f"student: S0001\nvalve.tau: {own['S0001']}\n", encoding="utf-8")
    assert "✓ tau" in run("try_", str(RUBRIC), str(answers), *secret, capsys=capsys)[1]
    status, out, _ = run("try_", str(RUBRIC), str(answers), *secret, "--student", "S0002", capsys=capsys)
    assert status == 0
    assert "With the values of student 'S0002'" in out
    assert "✗ tau" in out
    status, _, told = run("try_", str(RUBRIC), str(answers), capsys=capsys)
    assert status == 2
    assert "has personal values" in told


# -- server and command line -----------------------------------------------------------------------

KEY = build_key(load_rubric(RUBRIC))
ITEMS = [(problem, item.id) for problem, items in KEY.problems for item in items]
RIGHT = {
    student: {(one.problem, one.item): one.text for one in references(personal_rubric(KEY.rubric, student, SECRET))}
    for student in STUDENTS
}
SERVER = work.make(work.WorkerState(keys={"s": KEY}, classmates={}, secret=SECRET, roster=Roster(students=())))


HANDLE = make(
    Task(
        key=RubricKey(content=b"", digest="", points={}, personal=frozenset(), key=KEY),
        mark=own_engine().mark, pairs=tuple(ITEMS), roster=None, assignments={}, secret=SECRET,
    )
)  # fmt: skip


@settings(max_examples=60)
@given(
    st.sampled_from(STUDENTS),
    st.dictionaries(
        st.sampled_from(ITEMS),
        st.one_of(
            st.sampled_from(STUDENTS),  # that student's right answer
            st.sampled_from(
                ["Vs/(R1+R2)", "L1/(R1+R2)", "Vs*R2/(R1+R2)", "12 V", "5 ms", "0", "?", "Vs(1-e^(-t/tau))"]
            ),
        ),
        min_size=1,
    ),
)
def test_server_and_command_line_give_the_same_marks(student, chosen):
    written = tuple(
        Written(problem=pair[0], item=pair[1], text=RIGHT[text][pair] if text in STUDENTS else text)
        for pair, text in chosen.items()
    )
    upload = Upload(file="", digest="", student=student, answers=written)
    (there,) = all_messages(HANDLE(RowJob(ReadUpload.of(upload), "", 0, 1)))
    (here,) = all_messages(SERVER(work.Count(work.Which("s", owner=student), student, written, "", insists=True)))
    assert [settled(mark) for mark in decoded(here.marks, Marked).marks] == [
        settled(mark) for mark in there.marked.marks
    ]


def settled(mark):
    """What a mark says before anybody is explained: for one student alone by the server, among the class by a run."""
    return (
        mark.problem,
        mark.item,
        mark.reading,
        mark.awarded,
        mark.verdict,
        mark.parts,
        mark.follows_from,
        mark.review,
    )


@pytest.mark.parametrize("student", STUDENTS)
def test_a_students_own_answers_are_all_right(student):
    written = tuple(Written(problem=pair[0], item=pair[1], text=text) for pair, text in RIGHT[student].items())
    upload = Upload(file="", digest="", student=student, answers=written)
    (found,) = all_messages(HANDLE(RowJob(ReadUpload.of(upload), "", 0, 1)))
    assert found.marked.total == found.marked.possible
