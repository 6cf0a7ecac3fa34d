"""The sample section from end to end, through the command line: marks, review list, outputs, privacy of the key."""

import csv
import hashlib
import io
import json
import os
import re
import shutil
import tomllib
import zipfile
from pathlib import Path
from typing import NamedTuple

import openpyxl
import pytest

from grader.cli.main import main

ROOT = Path(__file__).parents[2]
SECTION = ROOT / "sample_submissions" / "section"
EXPECTED = tomllib.loads((Path(__file__).parent / "expected.toml").read_text(encoding="utf-8"))
ITEMS = (
    *(f"valve.{item}" for item in ("before", "initial", "final", "seen", "tau", "current", "at10", "energy")),
    *(f"relay.{item}" for item in ("initial", "tau", "current", "release")),
)
NOT_MARKED = {"S0034": "upload could not be read", "S0035": "nothing handed in"}
"""A damaged file; nothing at all."""

FILES_TO_LOOK_AT = {
    "homework.txt": "No id of the roster",
    "hw_S0031_old.txt": "says student S0013, its name says S0031",
    "hw_S0034.xlsx": "damaged",
    "hw_S0999.xlsx": "not on the roster",
    "scan0001.pdf": "PDF",
}
FATES = {
    **dict.fromkeys(("homework.txt", "hw_S0031_old.txt", "hw_S0999.xlsx"), "no student"),
    **dict.fromkeys(("hw_S0034.xlsx", "scan0001.pdf"), "unreadable"),
    "hw_S0012_v1.txt": "superseded",
    "~$hw_S0005.xlsx": "ignored",
}
"""Of all files that do not simply count."""

REFERENCE = {
    "valve.before": r"\b2(\.0*)? ?A\b|\b2000 ?mA\b",
    "valve.initial": r"\b2(\.0*)? ?A\b|\b2000 ?mA\b",
    "valve.final": r"\b6(\.0*)? ?A\b|\b6000 ?mA\b",
    "valve.seen": r"\b4(\.0*)? ?(Ω|ohm)",
    "valve.tau": r"\b10 ?ms\b|\b0\.010? ?s\b",
    "valve.current": r"\b100 ?t\b|\b10 ?ms\b",
    "valve.at10": r"\b4\.5\d*",
    "valve.energy": r"\b0?\.72\b|\b720\b",
    "relay.initial": r"\b200\b|\b0?\.2\b",
    "relay.tau": r"\b15 ?ms\b|\b0?\.015\b",
    "relay.current": r"\b200\b|\b66\.[67]|\b15 ?ms\b",
    "relay.release": r"\b20\.[78]|\b0?\.020[78]",
}
"""How the right answer of each item would show."""


class Run(NamedTuple):
    """What one run left behind."""

    results: Path
    marks: dict[tuple[str, str], dict]
    review: list[dict[str, str]]
    record: dict


@pytest.fixture(scope="module")
def section(tmp_path_factory) -> Path:
    """A copy in which all files have the same time, as a checkout may leave them."""
    folder = tmp_path_factory.mktemp("uploads") / "section"
    shutil.copytree(SECTION, folder)
    for path in folder.rglob("*"):
        os.utime(path, (1_740_000_000, 1_740_000_000))
    return folder


def graded(section: Path, results: Path, *options: str) -> Run:
    words = ["grade", str(ROOT / "rubrics" / "lock_valve.toml"), str(section), "-o", str(results)]
    table = str(section / "paper_answers_typed_in.csv")
    assert main([*words, "--roster", str(ROOT / "sample_submissions" / "roster.csv"), "--table", table, *options]) == 0
    lines = (results / "marks.jsonl").read_text(encoding="utf-8").splitlines()
    marks = [json.loads(line) for line in lines]
    return Run(
        results=results,
        marks={(mark["student"], f"{mark['problem']}.{mark['item']}"): mark for mark in marks},
        review=list(csv.DictReader(io.StringIO((results / "review.csv").read_text(encoding="utf-8-sig")))),
        record=json.loads((results / "run.json").read_text(encoding="utf-8")),
    )


@pytest.fixture(scope="module")
def run(section, tmp_path_factory) -> Run:
    return graded(section, tmp_path_factory.mktemp("first") / "results", "--workers", "2")


@pytest.mark.parametrize("student", sorted(set(EXPECTED) - set(NOT_MARKED)))
def test_points_are_those_an_instructor_awards(run, student):
    wanted = EXPECTED[student]
    points = dict(zip(ITEMS, [*wanted["valve"], *wanted["relay"]], strict=True))
    differing = {
        item: (mark["answer"], mark["awarded"], f"not {points[item]}", wanted.get("why", {}).get(item, ""))
        for item in ITEMS
        if (mark := run.marks[student, item])["awarded"] != pytest.approx(points[item], abs=1e-3)
    }
    assert not differing


@pytest.mark.parametrize(
    ("student", "item", "mistake"),
    [
        (student, item, mistake)
        for student, wanted in sorted(EXPECTED.items())
        for item, mistake in wanted.get("mistake", {}).items()
    ],
)
def test_wrong_answers_are_explained(run, student, item, mistake):
    found = run.marks[student, item]["mistakes"]
    assert mistake in found if mistake else found == []


def test_nobody_is_lost(run):
    """Every student of the roster has a row in the gradebook; a mark for every item where there is an upload."""
    with (run.results / "gradebook.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = {row["student"]: row for row in csv.DictReader(file)}
    assert set(rows) == set(EXPECTED)
    assert set(run.marks) == {(student, item) for student in set(EXPECTED) - set(NOT_MARKED) for item in ITEMS}
    for student, row in rows.items():
        if student in NOT_MARKED:
            assert (row["total"], row["flags"]) == ("", NOT_MARKED[student])
        else:
            total = sum(EXPECTED[student]["valve"]) + sum(EXPECTED[student]["relay"])
            assert float(row["total"]) == pytest.approx(total, abs=0.01)


def test_the_review_list_holds_what_a_person_must_see(run):
    open_rows = [row for row in run.review if not row["decision"]]
    answers = {(row["student"], f"{row['problem']}.{row['item']}") for row in open_rows if row["item"]}
    assert answers == {(student, item) for student, one in EXPECTED.items() for item in one.get("review", ())}
    files = {
        row["file"]: row["why"] for row in open_rows if not row["item"] and not row["why"].startswith("Not counted")
    }
    assert set(files) == set(FILES_TO_LOOK_AT)
    for file, words in FILES_TO_LOOK_AT.items():
        assert words in files[file]
    assert [row["file"] for row in run.review if row["why"].startswith("Not counted")] == ["hw_S0012_v1.txt"]
    assert not any(row["decision"] or row["reason"] for row in run.review)


def test_every_input_is_accounted_for(run):
    """Each file of the folder and of the zip, and each row of the class table, appears once with what became of it."""
    there = {path.relative_to(SECTION).as_posix() for path in SECTION.rglob("*") if path.is_file()}
    there -= {"late_section_b.zip", "paper_answers_typed_in.csv"}
    there |= {f"late_section_b.zip/{name}" for name in zipfile.ZipFile(SECTION / "late_section_b.zip").namelist()}
    there |= {"paper_answers_typed_in.csv, row 2", "paper_answers_typed_in.csv, row 3"}
    listed = [(upload["file"], upload["state"]) for upload in run.record["inputs"]["uploads"]]
    assert len(listed) == len(dict(listed)) > 34
    assert dict(listed) == {file: FATES.get(file, "counted") for file in there}


def test_all_outputs_are_there(run):
    names = {path.relative_to(run.results).as_posix() for path in run.results.rglob("*") if path.is_file()}
    wanted = {
        "gradebook.csv",
        "gradebook.xlsx",
        "marks.jsonl",
        "explained.jsonl",
        "review.csv",
        "audit.html",
        "audit.xlsx",
        "rubric_as_marked.toml",
    }
    wanted |= {f"feedback/{id}.{form}" for id in set(EXPECTED) - set(NOT_MARKED) for form in ("html", "xlsx")}
    assert {name for name in names if not name.startswith(".")} == wanted | {"run.json"}
    digests = {name: hashlib.sha256((run.results / name).read_bytes()).hexdigest() for name in wanted}
    assert run.record["outputs"] == digests


def test_a_shared_wrong_answer_shows_in_the_audit(run):
    """4.2 A for the final value, by three students, and no mistake explains it."""
    page = (run.results / "audit.html").read_text(encoding="utf-8")
    assert "S0023, S0029, S0031" in page


def articles(page: str) -> dict[str, str]:
    """The text of each item's part of a feedback page."""
    _, *parts = re.split(r'<li class="mark [^>]*id="m-([\w.]+)">', page)
    return {
        item: re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", content.partition("</section>")[0]))
        for item, content in zip(parts[::2], parts[1::2], strict=True)
    }


def test_no_answer_is_given_away_where_none_was_given(run):
    """A blank item's feedback, page and workbook, shows nothing that looks like its right answer."""
    blanks = [key for key, mark in run.marks.items() if mark["verdict"] == "blank"]
    assert len(blanks) > 20
    for student, item in blanks:
        said = articles((run.results / "feedback" / f"{student}.html").read_text(encoding="utf-8"))[item]
        assert not re.search(REFERENCE[item], said), (student, item, said)
    sheets = openpyxl.load_workbook(run.results / "feedback" / "S0027.xlsx").worksheets
    rows = [
        (f"{row[0]}.{row[1]}", row) for sheet in sheets for row in sheet.iter_rows(values_only=True) if len(row) > 1
    ]
    said = [(item, " ".join(map(str, row))) for item, row in rows if item in ITEMS]
    assert [item for item, _ in said] == list(ITEMS)
    assert [row for item, row in said if re.search(REFERENCE[item], row)] == []


def test_right_answers_would_be_recognised(run):
    """The patterns of the test above do find the right answers where a student wrote them."""
    shown = articles((run.results / "feedback" / "S0001.html").read_text(encoding="utf-8"))
    assert [item for item in ITEMS if not re.search(REFERENCE[item], shown[item])] == []


def test_nothing_a_student_wrote_acts(run):
    """Markup is shown as text; no cell of a table or workbook is a formula."""
    for page in run.results.rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert "<script>alert" not in text
        assert "<img src=x" not in text
    assert "&lt;script&gt;alert" in (run.results / "feedback" / "S0033.html").read_text(encoding="utf-8")
    for table in ("gradebook.csv", "review.csv"):
        with (run.results / table).open(encoding="utf-8-sig", newline="") as file:
            assert not [cell for row in csv.reader(file) for cell in row if cell.startswith(("=", "+", "@"))]
    for book in ("audit.xlsx", "gradebook.xlsx", "feedback/S0033.xlsx"):
        for sheet in openpyxl.load_workbook(run.results / book).worksheets:
            for row in sheet.iter_rows():
                assert not [cell for cell in row if cell.data_type == "f" and "HYPERLINK" in str(cell.value)]


def test_a_second_run_gives_the_same_bytes(run, section, tmp_path):
    """Whatever the number of processes; what the run record says of how it went aside."""
    again = graded(section, tmp_path / "results", "--workers", "1")
    for name in run.record["outputs"]:
        assert (again.results / name).read_bytes() == (run.results / name).read_bytes(), name
    assert {**again.record, "how": None} == {**run.record, "how": None}
