"""Sections of invented students and what to compare of the results."""

import csv
import json
import random
from pathlib import Path
from typing import Any

import openpyxl

from grader.run.backend import Engine
from grader.run.grade import RunOptions, grade
from grader.run.summary import Summary
from tests.run.stub import ITEMS, RUBRIC, STUB

HEAD = ("problem", "item", "answer")


def text_of(answers: dict[str, str]) -> str:
    return "".join(f"{name}: {answer}\n" for name, answer in answers.items())


def answers_of(number: int) -> dict[str, str]:
    chance = random.Random(number)
    return {f"{problem}.{item}": chance.choice(["open", "shut"]) for problem, item, _, _ in ITEMS}


def make_section(folder: Path, students: int, *, sheets: int = 0) -> Path:
    """A folder with a rubric, a roster and uploads, the first `sheets` of them as workbooks."""
    uploads = folder / "uploads"
    uploads.mkdir(parents=True)
    (folder / "rubric.toml").write_text(RUBRIC)
    lines = [f"S{number:04},Name {number},{'AB'[number % 2]}" for number in range(students)]
    (folder / "roster.csv").write_text("id,name,section\n" + "\n".join(lines) + "\n")
    for number in range(students):
        answers = answers_of(number)
        if number < sheets:
            book = openpyxl.Workbook()
            book.active.append(HEAD)
            for name, answer in answers.items():
                book.active.append((*name.split("."), answer))
            book.save(uploads / f"hw_S{number:04}.xlsx")
        else:
            (uploads / f"hw_S{number:04}.txt").write_text(text_of(answers))
    return folder


def run(folder: Path, results: str = "results", engine: Engine = STUB, **changed: Any) -> Summary:
    """Grade the section, with the stub unless told otherwise."""
    call = {
        "rubric": folder / "rubric.toml", "uploads": folder / "uploads", "results": folder / results,
        "roster": folder / "roster.csv", **changed,
    }  # fmt: skip
    return grade(RunOptions(**call), engine)


def contents(results: Path) -> dict[str, bytes]:
    """Every result by name; of ``run.json`` without how it went."""
    found = {
        path.relative_to(results).as_posix(): path.read_bytes()
        for path in results.rglob("*")
        if path.is_file() and ".grader" not in path.parts
    }
    record = json.loads(found["run.json"])
    record.pop("how")
    found["run.json"] = json.dumps(record).encode()
    return found


def marks(results: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (results / "marks.jsonl").read_text(encoding="utf-8").split("\n") if line]


def marks_by_student(results: Path) -> dict[str, list[dict[str, Any]]]:
    found: dict[str, list[dict[str, Any]]] = {}
    for mark in marks(results):
        found.setdefault(mark["student"], []).append(mark)
    return found


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def fates(results: Path) -> dict[str, str]:
    """What became of every file."""
    record = json.loads((results / "run.json").read_text(encoding="utf-8"))
    return {one["file"]: one["state"] for one in record["inputs"]["uploads"]}


# -- decisions -------------------------------------------------------------------------------------

RIGHT = {f"{problem}.{item}": right for problem, item, right, _ in ITEMS}


def undecided_section(path: Path) -> Path:
    """Three students with everything right but one answer that a person must decide."""
    folder = make_section(path, 3)
    for number in range(3):
        (folder / "uploads" / f"hw_S000{number}.txt").write_text(text_of({**RIGHT, "gate.a": "?"}))
    return folder


def fill(path: Path, target: Path, **decided: tuple[str, str]) -> Path:
    """Fill in a review list: for each student the decision and the reason; rows of several are parted for that."""
    rows = [{**row, "student": id, "count": "1"} for row in table(path) for id in row["student"].split("; ")]
    for row in rows:
        if row["student"] in decided:
            row["decision"], row["reason"] = decided[row["student"]]
    return write(target, rows)


def write(target: Path, rows: list[dict[str, str]]) -> Path:
    with target.open("w", newline="", encoding="utf-8-sig") as file:
        table = csv.DictWriter(file, fieldnames=list(rows[0]))
        table.writeheader()
        table.writerows(rows)
    return target


def points(results: Path, student: str, item: str) -> float:
    return next(one["awarded"] for one in marks_by_student(results)[student] if one["item"] == item)
