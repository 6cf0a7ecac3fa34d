"""Runs that are killed, disturbed or repeated: the same results, nothing lost, nothing done twice."""

import contextlib
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

from grader.errors import OutputError
from grader.run.storage.folder import StagedResults, locked
from grader.run.storage.journal import Journal
from grader.run.storage.moving import OWN
from tests.run.section import contents, fates, make_section, marks_by_student, run, text_of

ROOT = Path(__file__).parents[2]


def start(folder: Path, results: str = "results") -> subprocess.Popen[bytes]:
    code = f"""
import sys
sys.path.insert(0, {str(ROOT)!r})
from pathlib import Path
from tests.run.section import run
if __name__ == "__main__":
    run(Path({str(folder)!r}), {results!r}, workers=2)
"""
    script = folder / "start.py"
    script.write_text(code)
    return subprocess.Popen([sys.executable, str(script)], start_new_session=True, stderr=subprocess.DEVNULL)


def kill_after(folder: Path, seconds: float) -> bool:
    """Start a run and kill it, with everything it started; whether it was still at work."""
    process = start(folder)
    try:
        process.wait(seconds)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
        return True
    assert process.returncode == 0
    return False


def at_moments(tmp_path: Path, times: int, students: int) -> None:
    folder = make_section(tmp_path, students, sheets=students // 3)
    began = time.monotonic()
    assert start(folder, "clean/results").wait(100) == 0
    whole = time.monotonic() - began  # a process of its own, as those that are killed
    expected = contents(folder / "clean" / "results")
    chance = random.Random(1)
    killed = 0
    for _ in range(times):
        killed += kill_after(folder, chance.uniform(0.1, 1.2) * whole)
    run(folder, workers=2)
    assert contents(folder / "results") == expected
    assert killed


def test_killed_at_any_moment_and_started_again(tmp_path):
    at_moments(tmp_path, 3, 15)


@pytest.mark.nightly
def test_killed_at_many_moments(tmp_path):
    at_moments(tmp_path, 25, 60)


def children_of(process: int) -> list[int]:
    """All processes below one, as the system lists them."""
    parents = {}
    for place in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            parents[int(place.parent.name)] = int(place.read_text().rpartition(")")[2].split()[1])
    found, below = [], [process]
    while below:
        below = [child for child, parent in parents.items() if parent in below]
        found += below
    return found


def any_process_killed(tmp_path: Path, times: int, students: int) -> None:
    """Main, workers, and what they are forked from, killed at random until `times` and both kinds were; a run that ends told all.

    Of a run that ended by itself every mark is that of the undisturbed run, or waits for a person.
    """
    folder = make_section(tmp_path, students, sheets=students // 3)
    began = time.monotonic()
    assert start(folder, "clean/results").wait(100) == 0
    whole = time.monotonic() - began  # of a process of its own, as those that are killed
    expected = contents(folder / "clean" / "results")
    clean = marks_by_student(folder / "clean" / "results")
    chance = random.Random(4)
    killed, ended, waiting = Counter(), Counter(), 0
    while killed.total() < times or len(killed) < 2:
        process = start(folder)
        while process.poll() is None and (killed.total() < times or len(killed) < 2):
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(chance.uniform(0.02, 0.8) * whole)
                break
            below = children_of(process.pid)
            victim = process.pid if not below or chance.random() < 0.2 else chance.choice(below)
            with contextlib.suppress(ProcessLookupError):
                os.kill(victim, signal.SIGKILL)
                killed["main" if victim == process.pid else "another"] += 1
        ended[process.wait(100)] += 1
        if process.returncode == 0:
            for student, marks in marks_by_student(folder / "results").items():
                for mark, right in zip(marks, clean[student], strict=True):
                    waiting += mark["verdict"] == "not decided"
                    assert mark == right or (mark["verdict"], mark["review"]) == ("not decided", True)
        if process.returncode == 0 or chance.random() < 0.5:
            (folder / "results" / OWN / "journal.jsonl").unlink(missing_ok=True)  # so that there is work to disturb
    run(folder, workers=2)
    now = contents(folder / "results")
    now.pop("changes.csv", None)
    assert {**now, "run.json": b""} == {**expected, "run.json": b""}  # which lists the changes among what was written
    print(f"\nkilled {dict(killed)}, ended {dict(ended)}, marks left to a person on the way {waiting}")


def test_any_process_killed_at_any_moment(tmp_path):
    any_process_killed(tmp_path, 6, 12)


@pytest.mark.nightly
def test_any_process_killed_at_many_moments(tmp_path):
    any_process_killed(tmp_path, 110, 40)


def test_a_journal_cut_off_anywhere_is_gone_on_with(tmp_path):
    folder = make_section(tmp_path, 6)
    run(folder, workers=2)
    expected = contents(folder / "results")
    journal = folder / "results" / OWN / "journal.jsonl"
    whole = journal.read_bytes()
    for part in (0, 1, len(whole) // 3, len(whole) - 1):
        journal.write_bytes(whole[:part])
        summary = run(folder)
        assert summary.reused == whole[:part].count(b"\n")
        assert contents(folder / "results") == expected
    assert run(folder).reused == 6


def test_only_what_changed_is_marked_again(tmp_path):
    folder = make_section(tmp_path, 5)
    run(folder)
    (folder / "uploads" / "hw_S0003.txt").write_text("gate.a: shut\n")
    assert run(folder).reused == 4
    (folder / "rubric.toml").write_text((folder / "rubric.toml").read_text() + "\n")
    assert run(folder).reused == 0


def test_rows_of_a_wide_table_are_gone_on_with(tmp_path):
    folder = make_section(tmp_path, 4)
    table = folder / "class.csv"
    table.write_text("id,gate.a\n" + "".join(f"S000{number},shut\n" for number in range(4)))
    run(folder, uploads=table)
    expected = contents(folder / "results")
    journal = folder / "results" / OWN / "journal.jsonl"
    journal.write_bytes(b"".join(journal.read_bytes().splitlines(keepends=True)[:2]))
    assert run(folder, uploads=table).reused == 2
    assert contents(folder / "results") == expected


@pytest.mark.parametrize("moved", [0, 3, 100])
def test_a_kill_while_results_are_moved_in_is_made_good(tmp_path, moved, monkeypatch):
    folder = make_section(tmp_path, 3)
    run(folder, workers=1)
    (folder / "uploads" / "hw_S0001.txt").write_text("gate.a: shut\n")
    run(folder, "clean/results")
    shutil.copytree(folder / "results", folder / "other" / "results")
    run(folder, "other/results")
    expected = contents(folder / "other" / "results")

    class Killed(BaseException):
        pass

    honest = Path.replace
    left = [moved]

    def replace(self, target):
        if OWN in self.parts and OWN not in Path(target).parts:
            left[0] -= 1
            if left[0] < 0:
                raise Killed
        return honest(self, target)

    monkeypatch.setattr(Path, "replace", replace)
    try:
        run(folder)
    except Killed:
        assert moved < 100
    monkeypatch.undo()
    run(folder)
    assert contents(folder / "results") == expected
    assert (folder / "results" / "changes.csv").exists()


def test_results_that_cannot_be_written_leave_the_earlier_ones(tmp_path, monkeypatch):
    folder = make_section(tmp_path, 2)
    run(folder)
    before = contents(folder / "results")
    (folder / "uploads" / "hw_S0001.txt").write_text("gate.a: shut\n")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(StagedResults, "write", full)
    with pytest.raises(OutputError, match="No space left on device"):
        run(folder)
    assert contents(folder / "results") == before


def test_a_disk_that_fills_while_marking(tmp_path, monkeypatch):
    folder = make_section(tmp_path, 3)
    run(folder, "clean/results")
    honest = Journal.add
    left = [2]

    def add(self, *result):
        left[0] -= 1
        if left[0] < 0:
            with self.path.open("ab") as file:
                file.write(b"half a li")
            raise OSError(28, "No space left on device")
        return honest(self, *result)

    monkeypatch.setattr(Journal, "add", add)
    with pytest.raises(OutputError, match="what is done is kept"):
        run(folder)
    monkeypatch.setattr(Journal, "add", honest)
    assert run(folder).reused == 2
    assert contents(folder / "results") == contents(folder / "clean" / "results")


def test_two_runs_into_one_folder(tmp_path):
    with locked(tmp_path), pytest.raises(OutputError, match="another run is writing"), locked(tmp_path):
        pass
    with locked(tmp_path):
        pass


def test_a_read_only_place(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutputError, match="name another folder"), locked(tmp_path / "file" / "results"):
        pass


def test_workers_of_a_killed_run_end_by_themselves(tmp_path):
    folder = make_section(tmp_path, 1)
    (folder / "uploads" / "hw_S0000.txt").write_text(text_of({"gate.a": "hang"}))
    process = start(folder)
    journal = folder / "results" / OWN / "lock"
    deadline = time.monotonic() + 60
    while not journal.exists() and time.monotonic() < deadline:
        time.sleep(0.05)
    time.sleep(1)
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    with locked(folder / "results"):
        pass
    os.killpg(process.pid, signal.SIGKILL)


def test_the_journal_holds_places_and_not_results(tmp_path):
    journal = Journal.open(tmp_path / "j")
    assert journal.complete("k") == ()


HOSTILE = {
    "bomb": lambda path: path.write_bytes(b"PK\x03\x04" + bytes(3000)),
    "random": lambda path: path.write_bytes(random.Random(3).randbytes(5000)),
    "empty": lambda path: path.write_bytes(b""),
    "lines": lambda path: path.write_text("x\n" * 30_000),
    "die": lambda path: path.write_text(text_of({"gate.a": "die"})),
    "fault": lambda path: path.write_text(text_of({"gate.a": "fault"})),
    "utf16": lambda path: path.write_bytes("gate.a: shut".encode("utf-16-le")[:-1]),
    "xml": lambda path: path.write_text(
        "<?xml version='1.0'?><!DOCTYPE a [<!ENTITY b SYSTEM '/etc/passwd'>]><a>&b;</a>"
    ),
    "eat": lambda path: path.write_text(text_of({"gate.a": "eat"})),
}


def test_a_tenth_of_the_section_hostile_and_every_other_mark_the_same(tmp_path):
    students = 200
    folder = make_section(tmp_path, students, sheets=20)
    run(folder, "clean/results", workers=2)
    clean = marks_by_student(folder / "clean" / "results")
    chance = random.Random(2)
    hit = chance.sample(range(students), students // 10)
    for number in hit:
        for old in (folder / "uploads").glob(f"hw_S{number:04}.*"):
            chance.choice(list(HOSTILE.values()))(old)
    run(folder, "dirty/results", workers=2)
    dirty = marks_by_student(folder / "dirty" / "results")
    names = {f"S{number:04}" for number in hit}
    assert {student: lines for student, lines in clean.items() if student not in names} == {
        student: lines for student, lines in dirty.items() if student not in names
    }
    assert len(fates(folder / "dirty" / "results")) == students
