"""A hundred thousand students through the whole of a run: memory stays bounded.  Linux alone tells it (``/proc``)."""

import random
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.run.section import answers_of, table, text_of
from tests.run.stub import RUBRIC

STUDENTS = 100_000
MAX_MIB = 600
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


def peaks(folder: Path, uploads: Path) -> tuple[int, int]:
    """MiB at most, of the main process and of all together, of one run."""
    code = f"""
import sys
sys.path.insert(0, {str(ROOT)!r})
from pathlib import Path
from grader.run.grade import Call, grade
if __name__ == "__main__":
    folder = Path({str(folder)!r})
    grade(Call(rubric=folder / "rubric.toml", uploads=Path({str(uploads)!r}), results=folder / "results",
               roster=folder / "roster.csv", workers=2, workbooks=False))
    print(next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")))
"""
    (folder / "start.py").write_text(code)
    with subprocess.Popen(
        [sys.executable, str(folder / "start.py")], stdout=subprocess.PIPE, text=True, start_new_session=True
    ) as process:
        together = 0
        while process.poll() is None:
            together = max(together, sum(sizes(process.pid)))
            time.sleep(0.5)
        assert process.returncode == 0
        assert process.stdout is not None
        return int(process.stdout.read()) >> 10, together >> 10


def write_files(folder: Path) -> Path:
    (folder / "uploads").mkdir()
    for number in range(STUDENTS):
        (folder / "uploads" / f"hw_S{number:06}.txt").write_text(text_of(answers_of(number)))
    return folder / "uploads"


def write_table(folder: Path) -> Path:
    lines = (f"S{number:06},{','.join(answers_of(number).values())}" for number in range(STUDENTS))
    (folder / "class.csv").write_text("\n".join((f"id,{','.join(answers_of(0))}", *lines)) + "\n")
    return folder / "class.csv"


@pytest.mark.nightly
@pytest.mark.skipif(
    not Path("/proc/self/smaps_rollup").exists(), reason="the system does not tell its processes' memory"
)
@pytest.mark.parametrize("write", [write_files, write_table])
def test_memory_of_a_hundred_thousand(tmp_path, write):
    (tmp_path / "rubric.toml").write_text(RUBRIC)
    section = random.Random(4)
    lines = (f"S{number:06},Name {number},{section.choice('ABCD')}" for number in range(STUDENTS))
    (tmp_path / "roster.csv").write_text("id,name,section\n" + "\n".join(lines) + "\n")
    uploads = write(tmp_path)
    for what in ("first run", "the same again"):
        own, together = peaks(tmp_path, uploads)
        print(f"\n{STUDENTS} students, {write.__name__}, {what}: {own} MiB in the main process, {together} MiB in all")
        assert max(own, together) < MAX_MIB
    assert len(table(tmp_path / "results" / "gradebook.csv")) == STUDENTS
