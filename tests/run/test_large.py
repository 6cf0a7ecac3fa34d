"""A hundred thousand students through the whole of a run: memory stays bounded.  Linux alone tells it (``/proc``).

Each of the four runs takes some minutes.
"""

import random
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.run.section import answers_of, table, text_of
from tests.run.stub import RUBRIC

STUDENTS, FEW = 100_000, 1_000
MAX_MIB = 500
ROOT = Path(__file__).parents[2]


def sizes(session: int) -> Iterator[int]:
    """KiB of every process of a session, what they share divided among them."""
    for process in Path("/proc").glob("[0-9]*"):
        try:
            if int((process / "stat").read_text().rpartition(")")[2].split()[3]) == session:
                rollup = (process / "smaps_rollup").read_text().splitlines()
                yield next(int(line.split()[1]) for line in rollup if line.startswith("Pss:"))
        except (OSError, StopIteration):
            continue


class Cost(NamedTuple):
    """What one run took: MiB at most, of the main process and of all together, and seconds; how many students it marked."""

    own: int
    together: int
    seconds: float
    students: int


def cost(folder: Path, uploads: Path) -> Cost:
    """Of one run, in a process of its own."""
    code = f"""
import sys
sys.path.insert(0, {str(ROOT)!r})
from pathlib import Path
from grader.run.grade import RunOptions, grade
if __name__ == "__main__":
    folder = Path({str(folder)!r})
    summary = grade(RunOptions(rubric=folder / "rubric.toml", uploads=Path({str(uploads)!r}), results=folder / "results",
                     roster=folder / "roster.csv", workers=2, workbooks=False))
    print(summary.students, next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")))
"""
    (folder / "start.py").write_text(code)
    began = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, str(folder / "start.py")], stdout=subprocess.PIPE, text=True, start_new_session=True
    ) as process:
        together = 0
        while process.poll() is None:
            together = max(together, sum(sizes(process.pid)))
            time.sleep(0.5)
        assert process.returncode == 0
        assert process.stdout is not None
        students, own = map(int, process.stdout.read().split())
        return Cost(own >> 10, together >> 10, time.perf_counter() - began, students)


def write_files(folder: Path, students: int) -> Path:
    (folder / "uploads").mkdir()
    for number in range(students):
        (folder / "uploads" / f"hw_S{number:06}.txt").write_text(text_of(answers_of(number)))
    return folder / "uploads"


def write_table(folder: Path, students: int) -> Path:
    lines = (f"S{number:06},{','.join(answers_of(number).values())}" for number in range(students))
    (folder / "class.csv").write_text("\n".join((f"id,{','.join(answers_of(0))}", *lines)) + "\n")
    return folder / "class.csv"


def section_of(folder: Path, students: int, write: Callable[[Path, int], Path]) -> Path:
    """A rubric, a roster and uploads; gives the uploads."""
    folder.mkdir()
    (folder / "rubric.toml").write_text(RUBRIC)
    chance = random.Random(4)
    lines = (f"S{number:06},Name {number},{chance.choice('ABCD')}" for number in range(students))
    (folder / "roster.csv").write_text("id,name,section\n" + "\n".join(lines) + "\n")
    return write(folder, students)


@pytest.mark.nightly
@pytest.mark.skipif(
    not Path("/proc/self/smaps_rollup").exists(), reason="the system does not tell its processes' memory"
)
@pytest.mark.parametrize("write", [write_files, write_table])
def test_memory_of_a_hundred_thousand(tmp_path, write):
    few, many = tmp_path / "few", tmp_path / "many"
    least = cost(few, section_of(few, FEW, write)).seconds
    uploads = section_of(many, STUDENTS, write)
    for what in ("first run", "the same again"):
        took = cost(many, uploads)
        print(
            f"\n{STUDENTS} students, {write.__name__}, {what}: {took.own} MiB in the main process, {took.together} MiB in all, "
            f"{took.seconds:.0f} s: {took.seconds / least:.0f} times the first run of {FEW}"
        )
        assert max(took.own, took.together) < MAX_MIB
        assert took.students == STUDENTS
    assert len(table(many / "results" / "gradebook.csv")) == STUDENTS
