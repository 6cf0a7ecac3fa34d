"""A run beside its parts: the same uploads read, marked and given feedback in a loop.  Ratios; run with ``-m benchmark -s``.

The answers are those of one of the papers in `tests/papers`, as people typed them, numbers in them changed at random.
"""

from __future__ import annotations

import csv
import random
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.common.installed import installed

PAPER = Path(__file__).parents[1] / "papers" / "horn"
STUDENTS, ANSWERS, EXPRESSION = 3_000, 15, "horn.i"
CLASS, FEW = 300, 60
ROUNDS = 2
OUTSIDE = ("24/(4/(1-(2/3)e^(-{rate}t))) A", "3*2^(-{rate}t) A", "sqrt(9e^(-{rate}t)) V", "2(1-e^(-{rate}t))^2 V")
"""Right or wrong, none of them is a sum of exponentials as it stands."""

LOOP = """
import sys, time
from pathlib import Path
from grader.marking.mark import mark_upload
from grader.reports.feedback import feedback_html
from grader.reports.paper import paper
from grader.run.backend import own_engine
from grader.run.rubric_key import key_of
from grader.uploads.files.sources import sources
from grader.uploads.reader import read_source
folder = Path(sys.argv[1])
key = key_of(folder / "rubric.toml", own_engine().build)
began = time.perf_counter()
uploads = [one for source in sources(folder / "uploads", {}, None) for one in read_source(source, tuple(key.points), None, {})]
heading = paper(key.key.rubric)
for upload in uploads:
    feedback_html(heading, mark_upload(key.key, upload), None)
print(time.perf_counter() - began)
"""
COMMAND = "import sys; from grader.cli.main import main; sys.exit(main())"


def typed(folder: Path, students: int, outside: int = 0) -> Path:
    """A section of that many uploads; in some of them the last answer lies outside the canonical form."""
    rows: dict[str, list[str]] = {}
    with (PAPER / "answers.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            rows.setdefault(row["item"], []).append(row["answer"].replace("\n", " "))
    chance = random.Random(7)
    items = sorted(rows)[:ANSWERS]
    (folder / "uploads").mkdir(parents=True)
    (folder / "rubric.toml").write_bytes((PAPER / "rubric.toml").read_bytes())
    for number in range(students):
        answers = {item: chance.choice(rows[item]) for item in items}
        for item, answer in answers.items():
            if chance.random() < 0.4:
                answers[item] = re.sub(
                    r"(\d\.\d*)(?=\D|$)", lambda one: f"{one[1]}{chance.randrange(1, 9)}", answer, count=1
                )
        if number < outside:
            answers[EXPRESSION] = OUTSIDE[number % len(OUTSIDE)].format(rate=chance.randrange(2, 900))
        text = "".join(f"{item}: {answer}\n" for item, answer in answers.items())
        (folder / "uploads" / f"S{number:05}.txt").write_text(text, encoding="utf-8")
    return folder


def python(compiled: Path, *call: str) -> str:
    run = [sys.executable, "-c", *call]
    return subprocess.run(run, check=True, capture_output=True, text=True, env=installed(compiled)).stdout


def run(folder: Path, results: Path, workers: int) -> float:
    """Seconds of one run of the command, pages only."""
    call = ["grade", folder / "rubric.toml", folder / "uploads", "-o", results, "--workers", workers, "--pages-only"]
    began = time.perf_counter()
    python(results.parent / "compiled", COMMAND, *map(str, call))
    return time.perf_counter() - began


@pytest.mark.benchmark
def test_a_run_beside_its_parts(tmp_path, capsys):
    """One way after the other, several times over; the best of each counts."""
    folder = typed(tmp_path / "section", STUDENTS)
    took: dict[str, list[float]] = {"loop": [], "one": [], "two": []}
    for number in range(ROUNDS):
        took["loop"].append(float(python(tmp_path / "compiled", LOOP, str(folder))))
        took["one"].append(run(folder, tmp_path / f"one{number}", 1))
        took["two"].append(run(folder, tmp_path / f"two{number}", 2))
    loop, one, two = (min(times) for times in took.values())
    with capsys.disabled():
        print(
            f"\n{STUDENTS} uploads of {ANSWERS} answers as typed, pages only; read, marked and written in a loop {loop:.1f} s"
        )
        print(
            f"  a run with one worker {one:.1f} s, {one / loop:.2f} times that; with two {two:.1f} s, {2 * two / loop:.2f} times half"
        )


@pytest.mark.benchmark
def test_answers_outside_the_canonical_form(tmp_path, capsys):
    """The class in which some answers need general algebra, beside the class in which none does."""
    plain, mixed = typed(tmp_path / "plain", CLASS), typed(tmp_path / "mixed", CLASS, FEW)
    took = [
        [run(folder, tmp_path / f"{folder.name}{number}", 2) for number in range(ROUNDS)] for folder in (plain, mixed)
    ]
    without, with_them = map(min, took)
    with capsys.disabled():
        print(f"\n{CLASS} uploads, {FEW} of them with an answer outside the canonical form: {with_them:.1f} s")
        print(f"  {with_them / without:.2f} times the class without ({without:.1f} s)")
