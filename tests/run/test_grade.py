"""A run from end to end, with a rubric of choices and a stub for marking."""

import json
import os
import zipfile

import pytest
from openpyxl import load_workbook

from grader.errors import OutputError, RubricError, UsageError
from grader.uploads.limits import FAULTS, FILE_BYTES, PACKED_ENTRIES
from tests.run.section import contents, fates, make_section, marks, marks_by_student, run, table, text_of
from tests.run.stub import ITEMS

RIGHT = {f"{problem}.{item}": right for problem, item, right, _ in ITEMS}


def test_everything_a_run_hands_over(tmp_path):
    folder = make_section(tmp_path, 4, sheets=2)
    (folder / "uploads" / "hw_S0003.txt").unlink()
    summary = run(folder)
    names = set(contents(folder / "results"))
    assert names == {
        "gradebook.csv", "gradebook.xlsx", "marks.jsonl", "explained.jsonl", "review.csv", "audit.html", "audit.xlsx", "run.json",
        "rubric_as_marked.toml", *(f"feedback/S000{number}.{kind}" for number in range(3) for kind in ("html", "xlsx")),
    }  # fmt: skip
    lines = marks(folder / "results")
    assert [(one["student"], one["item"]) for one in lines] == [(f"S000{n}", item) for n in range(3) for item in "abc"]
    assert {
        "answer",
        "reading",
        "awarded",
        "possible",
        "verdict",
        "mistakes",
        "follows_from",
        "review",
        "reasons",
    } <= set(lines[0])
    assert (summary.students, summary.missing, summary.waiting) == (3, 1, 0)
    book = table(folder / "results" / "gradebook.csv")
    assert [row["student"] for row in book] == ["S0000", "S0001", "S0002", "S0003"]
    assert book[3]["flags"] == "nothing handed in"
    assert float(book[0]["total"]) == sum(one["awarded"] for one in lines[:3])


def test_pages_only(tmp_path):
    folder = make_section(tmp_path, 2)
    run(folder)
    both = contents(folder / "results")
    run(folder, workbooks=False)
    pages = contents(folder / "results")
    assert set(both) - set(pages) == {"feedback/S0000.xlsx", "feedback/S0001.xlsx"}
    assert all(pages[name] == both[name] for name in pages if name != "run.json")
    run(folder)
    assert contents(folder / "results") == both


def test_the_same_bytes_however_it_ran(tmp_path):
    folder = make_section(tmp_path, 12, sheets=4)
    for number, workers in enumerate((1, 3)):
        run(folder, f"results/{number}/out", workers=workers)
    first, second = (contents(folder / f"results/{number}/out") for number in range(2))
    assert first == second
    run(folder, "results/0/out", workers=2)
    assert contents(folder / "results/0/out") == first


def test_run_json_says_what_went_in_and_came_out(tmp_path):
    folder = make_section(tmp_path, 2)
    run(folder, workers=2)
    record = json.loads((folder / "results" / "run.json").read_text())
    assert record["how"]["workers"] == 2
    assert record["inputs"]["rubric"]["file"] == "rubric.toml"
    assert all(
        len(one["sha256"]) == 64
        for one in (record["inputs"]["rubric"], record["inputs"]["roster"], *record["inputs"]["uploads"])
    )
    assert set(record["outputs"]) == set(contents(folder / "results")) - {"run.json"}


def test_every_file_is_accounted_for_exactly_once(tmp_path):
    folder = make_section(tmp_path, 3)
    uploads = folder / "uploads"
    (uploads / "hw_S0001_v2.txt").write_text(text_of(RIGHT))
    (uploads / "nobody.txt").write_text(text_of(RIGHT))
    (uploads / "S0002 broken.xlsx").write_bytes(b"PK\x03\x04 cut off")
    (uploads / "big_S0002.txt").write_bytes(b"x" * (FILE_BYTES + 1))
    (uploads / ".DS_Store").write_bytes(b"x")
    (uploads / "link_S0002.txt").symlink_to("/etc/hostname")
    (uploads / "class.csv").write_text("id,gate.a\nS0000,shut\nS9999,shut\n")
    os.utime(uploads / "hw_S0000.txt", (2**31, 2**31))
    os.utime(uploads / "hw_S0001_v2.txt", (2**31, 2**31))
    summary = run(folder, table=uploads / "class.csv")
    assert fates(folder / "results") == {
        ".DS_Store": "ignored",
        "S0002 broken.xlsx": "unreadable",
        "big_S0002.txt": "unreadable",
        "class.csv, row 2": "superseded",
        "class.csv, row 3": "no student",
        "hw_S0000.txt": "counted",
        "hw_S0001.txt": "superseded",
        "hw_S0001_v2.txt": "counted",
        "hw_S0002.txt": "counted",
        "link_S0002.txt": "unreadable",
        "nobody.txt": "no student",
    }
    listed = {row["file"]: row["why"] for row in table(folder / "results" / "review.csv")}
    assert set(listed) == {
        file for file, state in fates(folder / "results").items() if state not in ("counted", "ignored")
    }
    assert "damaged" in listed["S0002 broken.xlsx"]
    assert "hw_S0001_v2.txt is a later upload by this student" in listed["hw_S0001.txt"]
    assert summary.waiting == 5
    flags = {row["student"]: row["flags"] for row in table(folder / "results" / "gradebook.csv")}
    assert flags["S0001"] == "1 other upload not counted"
    told = {
        "S0000": {"class.csv, row 2": "hw_S0000.txt is"},
        "S0001": {"hw_S0001.txt": "hw_S0001_v2.txt is a later upload by you."},
        "S0002": dict.fromkeys(("S0002 broken.xlsx", "big_S0002.txt", "link_S0002.txt"), "it could not be read."),
    }
    for student, files in told.items():
        said = (folder / "results" / "feedback" / f"{student}.html").read_text()
        book = load_workbook(folder / "results" / "feedback" / f"{student}.xlsx")["Feedback"]
        assert said.count("does not count") == str(book["A3"].value).count("does not count") == len(files)
        for file, why in files.items():
            assert f"Your upload {file} does not count: {why}" in said
            assert f"Your upload {file} does not count: {why}" in book["A3"].value


@pytest.mark.parametrize(
    ("file", "content"),
    [
        ("S0001_v2.csv", "student,gate.a\nS0000,open\nS0002,open\n"),
        ("grades.csv", "student,gate.a\nS0000,open\nS0002,open\n"),
        ("answers.txt", "student: S0000\ngate.a: open\n"),
        ("S0001_v2.txt", "student: S0000\ngate.a: open\n"),
        ("S0001.zip", "S0000.txt"),
    ],
)
def test_a_later_file_of_another_changes_no_marks_and_waits(tmp_path, file, content):
    folder = make_section(tmp_path, 3)
    run(folder)
    before = contents(folder / "results")["marks.jsonl"]
    sent = folder / "uploads" / file
    if file.endswith(".zip"):
        with zipfile.ZipFile(sent, "w") as target:
            target.writestr(content, "gate.a: open\n")
    else:
        sent.write_text(content)
    os.utime(sent, (2**31, 2**31))
    summary = run(folder)
    assert contents(folder / "results")["marks.jsonl"] == before
    (row,) = (row for row in table(folder / "results" / "review.csv") if row["file"].startswith(file))
    assert "S0000" in row["why"]
    assert (row["decision"], summary.waiting) == ("", 1)


@pytest.mark.parametrize("content", ["gate.a: open\n", "nothing of use\n", "student: S0000\ngate.a: open\n"])
def test_a_zip_of_many_files_takes_few_rows_and_what_is_written_can_be_read(tmp_path, content):
    """A zip of 300 files, more than are listed, and one of more than a student may send, which is refused as a whole."""
    folder = make_section(tmp_path, 2)
    for name, number in (("many.zip", 300), ("S0001 more.zip", PACKED_ENTRIES + 1)):
        with zipfile.ZipFile(folder / "uploads" / name, "w") as target:
            for at in range(number):
                target.writestr(f"{at}{'学' * 200}.txt", content)
    run(folder)
    rows = table(folder / "results" / "review.csv")
    assert len([row for row in rows if row["file"].startswith("many.zip")]) == FAULTS + 1
    assert "50 further remarks" in next(row["why"] for row in rows if row["file"] == "many.zip")
    (refused,) = (row["why"] for row in rows if "more.zip" in row["file"])
    assert "more than 5000 files" in refused
    lines = (
        (folder / "results" / "review.csv").read_text().replace(",,\n", ",ok,seen\n").replace(",,\r\n", ",ok,seen\r\n")
    )
    (folder / "decided.csv").write_text(lines)
    assert run(folder, decisions=folder / "decided.csv").waiting == 0
    assert {row["decision"] for row in table(folder / "results" / "review.csv")} <= {"ok", ""}


def test_a_person_gives_a_waiting_file_to_its_student(tmp_path):
    folder = make_section(tmp_path, 2)
    (folder / "uploads" / "answers.txt").write_text("student: S0000\ngate.a: open\n")
    os.utime(folder / "uploads" / "answers.txt", (2**31, 2**31))
    run(folder)
    assert fates(folder / "results")["answers.txt"] == "no student"
    (folder / "decided.csv").write_text("student,file,decision,reason\n,answers.txt,S0000,told me so\n")
    run(folder, decisions=folder / "decided.csv")
    assert fates(folder / "results")["answers.txt"] == "counted"
    assert fates(folder / "results")["hw_S0000.txt"] == "superseded"


def test_an_upload_that_cannot_be_read_was_handed_in(tmp_path):
    folder = make_section(tmp_path, 2)
    (folder / "uploads" / "hw_S0001.txt").write_bytes(bytes(range(256)))
    run(folder)
    flags = [row["flags"] for row in table(folder / "results" / "gradebook.csv")]
    assert flags == ["", "upload could not be read"]


def test_a_zip_gives_the_marks_of_the_folder(tmp_path):
    folder = make_section(tmp_path, 5, sheets=2)
    run(folder)
    with zipfile.ZipFile(folder / "section.zip", "w", zipfile.ZIP_DEFLATED) as target:
        for path in (folder / "uploads").iterdir():
            target.write(path, path.name)
    run(folder, "zipped/results", uploads=folder / "section.zip")
    assert contents(folder / "zipped/results")["marks.jsonl"] == contents(folder / "results")["marks.jsonl"]


def test_a_wide_table_for_the_whole_class(tmp_path):
    folder = make_section(tmp_path, 3)
    (folder / "class.csv").write_text("id,gate.a,gate.b,c\nS0000,shut,open,shut\nS0001,open,,\nS0002,,,\n")
    summary = run(folder, uploads=folder / "class.csv", workers=2)
    assert summary.students == 3
    totals = {
        student: sum(one["awarded"] for one in lines) for student, lines in marks_by_student(folder / "results").items()
    }
    assert totals == {"S0000": 6.0, "S0001": 0.0, "S0002": 0.0}


def test_without_a_roster_the_names_of_the_files_count(tmp_path):
    folder = make_section(tmp_path, 2)
    (folder / "uploads" / "hw_S0000_v2.txt").write_text(text_of(RIGHT))
    run(folder, roster=None)
    assert set(marks_by_student(folder / "results")) == {"hw_S0000", "hw_S0001"}


@pytest.mark.parametrize(
    ("answer", "why"),
    [
        ("hang", "it took longer than 3 seconds"),
        ("eat", "it needed more than 1024 MiB of memory"),
        ("die", "the process that worked on it stopped"),
        ("fault", "a fault of this program stopped it (ZeroDivisionError, stub.py line"),
    ],
)
def test_an_answer_that_cannot_be_marked_waits_and_all_others_are_undisturbed(tmp_path, answer, why):
    """Right but for it: 2 of 2 and 3 of 3 points stay, and one row waits."""
    folder = make_section(tmp_path, 6)
    run(folder, "clean", workers=2)
    (folder / "uploads" / "hw_S0003.txt").write_text(text_of({**RIGHT, "gate.b": answer}))
    run(folder, workers=2, **({"seconds": 3.0} if answer == "hang" else {}))
    clean, now = marks_by_student(folder / "clean"), marks_by_student(folder / "results")
    assert {**clean, "S0003": None} == {**now, "S0003": None}
    assert [one["verdict"] for one in now["S0003"]] == ["correct", "not decided", "correct"]
    assert [one["awarded"] for one in now["S0003"]] == [2, 0, 3]
    assert [one["review"] for one in now["S0003"]] == [False, True, False]
    assert why in now["S0003"][1]["reasons"][0]
    assert "secret" not in now["S0003"][1]["reasons"][0]
    assert [one["answer"] for one in now["S0003"]] == ["shut", answer, "shut"]
    assert [row["answer"] for row in table(folder / "results" / "review.csv") if row["item"]] == [answer]


def test_text_of_a_student_is_inert_in_every_table(tmp_path):
    folder = make_section(tmp_path, 1)
    evil = {"gate.a": '=HYPERLINK("http://x")', "gate.b": "?", "horn.c": "@SUM(1)\u202e"}
    (folder / "uploads" / "hw_S0000.txt").write_text(text_of(evil))
    (folder / "uploads" / "=cmd|calc_S9.txt").write_text(text_of(evil))
    run(folder)
    for name in ("gradebook.csv", "review.csv"):
        with (folder / "results" / name).open(encoding="utf-8-sig", newline="") as file:
            import csv

            for row in csv.reader(file):
                assert not any(cell[:1] in tuple("=+-@\t\r") and cell for cell in row), row
    import openpyxl

    for path in (folder / "results").rglob("*.xlsx"):
        for sheet in openpyxl.load_workbook(path):
            assert not [
                cell.value for row in sheet for cell in row if cell.data_type == "f" and "HYPER" in str(cell.value)
            ]
    assert [one["answer"] for one in marks(folder / "results")] == list(evil.values())


@pytest.mark.parametrize(
    ("changed", "error", "said"),
    [
        ({"workers": 0}, UsageError, "At least one worker"),
        ({"uploads": "absent"}, UsageError, "there is no such folder"),
        ({"rubric": "absent.toml"}, UsageError, "the rubric cannot be read"),
        ({"roster": "absent.csv"}, UsageError, "there is no such file"),
        ({"table": "absent.csv"}, UsageError, "there is no such file; --table takes the table of the class"),
        ({"rubric": "roster.csv"}, RubricError, "roster.csv"),
        ({"results": "uploads"}, UsageError, "cannot go into the folder of the uploads"),
        ({"results": "roster.csv"}, OutputError, "cannot be written there"),
    ],
)
def test_calls_that_are_wrong(tmp_path, changed, error, said):
    folder = make_section(tmp_path, 1)
    call = {name: folder / value if isinstance(value, str) else value for name, value in changed.items()}
    results = str(call.pop("results", "results"))
    with pytest.raises(error, match=said):
        run(folder, results, **call)
