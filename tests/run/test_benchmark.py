"""How long a run takes, as ratios; nothing is asserted about time.  Run with ``-m benchmark -s``."""

import random
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from python_calamine import load_workbook

from grader.run.grade import processors
from tests.common.installed import installed

RUBRIC = Path(__file__).parents[2] / "rubrics" / "lock_valve.toml"
STUDENTS = 300
SAMPLE_SECONDS = 8.0
WRITTEN = (
    "2.4 mA", "12 V", "0", "1.8", "2.5e-3 s", "4.7 kohm", "-3.5 V", "1.2*(1-exp(-500*t)) A", "0.9 A", "7/4 V", "20 ms",
    "1.5 - 0.4*exp(-250*t) A",
)  # fmt: skip


@pytest.fixture(scope="module")
def section(tmp_path_factory) -> Path:
    """300 uploads with twelve answers each, every other one a workbook."""
    import tomllib

    folder = tmp_path_factory.mktemp("section")
    (folder / "uploads").mkdir()
    rubric = tomllib.loads(RUBRIC.read_text(encoding="utf-8"))
    items = [(problem["id"], item["id"]) for problem in rubric["problem"] for item in problem["item"]]
    chance = random.Random(5)
    for number in range(STUDENTS):
        answers = [(*pair, chance.choice(WRITTEN)) for pair in items]
        if number % 2:
            book = openpyxl.Workbook()
            for row in [("problem", "item", "answer"), *answers]:
                book.active.append(row)
            book.save(folder / "uploads" / f"S{number:04}.xlsx")
        else:
            text = "".join(f"{problem}.{item}: {answer}\n" for problem, item, answer in answers)
            (folder / "uploads" / f"S{number:04}.txt").write_text(text)
    return folder


def seconds(work: Callable[[], object]) -> float:
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


def merely_read(uploads: Path) -> None:
    for path in sorted(uploads.iterdir()):
        if path.suffix == ".xlsx":
            load_workbook(str(path)).get_sheet_by_index(0).to_python()
        else:
            path.read_text().splitlines()


def plain_way(uploads: Path) -> float:
    """Seconds for one upload of what one would write in an afternoon: openpyxl, and sympy to read and compare.

    Taken on a sample, for some seconds; workbooks and texts take turns.
    """
    import sympy
    from sympy.parsing.sympy_parser import implicit_multiplication, parse_expr, standard_transformations

    reading = (*standard_transformations, implicit_multiplication)
    right = parse_expr("1.2*(1-exp(-500*t))")
    began, done = time.perf_counter(), 0
    for path in sorted(uploads.iterdir()):
        if path.suffix == ".xlsx":
            rows = list(openpyxl.load_workbook(path).active.iter_rows(values_only=True))[1:]
            answers = [row[2] for row in rows]
        else:
            answers = [line.partition(": ")[2] for line in path.read_text().splitlines()]
        for answer in answers:
            sympy.simplify(parse_expr(answer.rpartition(" ")[0] or answer, transformations=reading) - right)
        done += 1
        if done % 2 == 0 and time.perf_counter() - began > SAMPLE_SECONDS:
            break
    return (time.perf_counter() - began) / done


@pytest.mark.benchmark
def test_a_whole_run(section, tmp_path):
    """The command as it is given, three times over; the best counts."""
    uploads, workers, compiled = section / "uploads", processors(), installed(tmp_path / "compiled")

    def command(results: str, *options: str) -> float:
        call = ["grade", str(RUBRIC), str(uploads), "-o", str(tmp_path / results), "--workers", str(workers), *options]
        code = "import sys; from grader.cli.main import main; sys.exit(main())"
        run = [sys.executable, "-c", code, *call]
        return seconds(lambda: subprocess.run(run, check=True, stdout=subprocess.DEVNULL, env=compiled))

    both = min(command(f"both{number}") for number in range(3))
    pages = min(command(f"pages{number}", "--pages-only") for number in range(3))
    again = command("both0")
    reading = min(seconds(lambda: merely_read(uploads)) for _ in range(3))
    plain = plain_way(uploads) * STUDENTS
    print(f"\n{STUDENTS} uploads of 12 answers, half of them workbooks; {workers} workers, everything in:")
    for what, took in (("pages and workbooks", both), ("pages only", pages), ("the same again", again)):
        print(f"  {what:<20} {took:.1f} s: {took / reading:.0f} times merely opening and reading the files")
    print(f"openpyxl and sympy, reading and comparing alone, one process: {plain:.0f} s by a sample")
    print(f"  that is {plain / both:.0f} times the whole run, {plain / pages:.0f} times the one with pages only")


@pytest.mark.benchmark
def test_from_the_command_to_the_first_upload(section, tmp_path):
    code = f"""
import sys, time
began = time.perf_counter()
import grader.jobs.pool as pool
def hand_out(self, honest=pool.Pool._hand_out, said=[]):
    honest(self)
    if not said and any(worker.jobs for worker in self.workers):
        said.append(print(time.perf_counter() - began))
pool.Pool._hand_out = hand_out
from grader.cli.main import main
if __name__ == "__main__":
    main(["grade", {str(RUBRIC)!r}, {str(section / "uploads")!r}, "-o", sys.argv[1], "--workers", "1"])
"""
    (tmp_path / "start.py").write_text(code)
    compiled, starts = installed(tmp_path / "compiled"), []
    for number in range(6):
        call = [sys.executable, str(tmp_path / "start.py"), str(tmp_path / f"results{number}")]
        done = subprocess.run(call, capture_output=True, text=True, check=True, env=compiled)
        starts.append(float(done.stdout.splitlines()[0]))
    bare = min(
        seconds(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True, env=compiled)) for _ in range(5)
    )
    first = min(starts[1:])
    print(
        f"\nfirst upload handed to a worker {first:.2f} s after the program began (nothing compiled: {starts[0]:.2f} s)"
    )
    print(f"that is {(first + bare) / bare:.0f} times the start of the bare interpreter")
