"""Every single thing that a run asks of the disk fails once: a plain sentence, nothing lost, the same bytes afterwards.

Idea of the method: D. R. Hipp and others, "How SQLite Is Tested", anomaly testing.
"""

import builtins
import io
import os
import resource
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from grader.errors import GraderError
from grader.run import grade as grade_module
from grader.run.storage.moving import OWN
from tests.run.inline import Inline
from tests.run.section import contents, make_section, run, table

ROOT = Path(__file__).parents[2]

OPERATIONS = ("replace", "rename", "unlink", "mkdir", "rmdir", "fsync", "truncate")
"""Of ``os``, through which everything goes; opening, writing and closing are those of the files opened."""


class Disk:
    """A disk of which one operation fails: the one after `left` others on files below a folder."""

    def __init__(self, monkeypatch, below: Path, left: int, error: OSError) -> None:
        self.below, self.left, self.error, self.failed = str(below), left, error, ""
        for name in OPERATIONS:
            monkeypatch.setattr(os, name, self._failing(name, getattr(os, name)))
        honest = io.open

        def opened(path, *words, **options):
            writes = any(letter in (words[0] if words else options.get("mode", "r")) for letter in "wax+")
            self._ask("open to write" if writes else "open to read", path)
            file = honest(path, *words, **options)
            if writes and self._is_below(path):
                file.write = self._failing("write", file.write, path)
                file.close = self._closing(file.close, path)
            return file

        monkeypatch.setattr(io, "open", opened)
        monkeypatch.setattr(builtins, "open", opened)

    def _is_below(self, path) -> bool:
        return isinstance(path, str | Path) and str(path).startswith(self.below)

    def _ask(self, what: str, path) -> None:
        if not (self._is_below(path) or isinstance(path, int)):
            return
        self.left -= 1
        if self.left == -1:
            self.failed = what
            raise type(self.error)(*self.error.args)

    def _failing(self, what, honest, path=None):
        def operation(*words, **options):
            self._ask(what, path or words[0])
            return honest(*words, **options)

        return operation

    def _closing(self, honest, path):
        """What was written goes to the disk at the end, and may fail there; the file is closed all the same."""

        def close():
            honest()
            self._ask("close", path)

        return close


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A section graded once and decided upon; since then an upload has changed."""
    monkeypatch.setattr(grade_module, "Pool", Inline)
    made = make_section(tmp_path / "section", 2)
    run(made)
    (made / "decisions.csv").write_text("student,problem,item,decision,reason\nS0000,gate,a,1.5,agreed\n")
    run(made, decisions=made / "decisions.csv")
    (made / "uploads" / "hw_S0001.txt").write_text("gate.a: shut\n")
    return made


@pytest.mark.parametrize("step", [17, pytest.param(1, marks=pytest.mark.nightly)])
@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), OSError(5, "Input/output error")], ids=str)
def test_whatever_the_disk_refuses_once(folder, monkeypatch, error, step):
    before = shutil.copytree(folder / "results", folder / "before")
    old = contents(folder / "results")
    run(folder)
    expected = contents(folder / "results")
    number, told, refused = 0, [], Counter()
    while True:
        shutil.rmtree(folder / "results")
        shutil.copytree(before, folder / "results")
        with monkeypatch.context() as patched:
            patched.setattr(grade_module, "Pool", Inline)
            disk, said = Disk(patched, folder / "results", number, error), ""
            try:
                run(folder)
            except GraderError as fault:
                said = str(fault)
        if said:
            told.append(said)
            assert error.strerror in said
            assert "as they were" not in said or contents(folder / "results") == old
        refused[disk.failed] += 1
        decided = [row for row in table(folder / "results" / "review.csv") if row["decision"] == "1.5"]
        assert [(row["student"], row["item"], row["reason"]) for row in decided] == [("S0000", "a", "agreed")]
        run(folder)
        now = contents(folder / "results")
        if disk.failed and not said:  # done, but for an upload that could not be read, which is a change the run after
            now = {**now, **{name: expected[name] for name in ("changes.csv", "run.json")}}
        assert now == expected, (number, disk.failed, said)
        if not disk.failed:
            break
        number += step
    print(f"\n{number} operations, {len(told)} refusals in a sentence: {dict(refused)}")
    assert number > 100  # what a run of two students asks of the disk
    assert len(told) > number // step // 2
    assert not (folder / "results" / OWN / "new").exists()


@pytest.mark.parametrize("mebibytes", [100, 140, 190])
def test_too_little_memory_to_load_a_library_is_said_before_it_is_tried(mebibytes):
    most = mebibytes << 20
    done = subprocess.run(
        [sys.executable, "-m", "grader.cli.main", "vet", str(ROOT / "rubrics" / "lock_valve.toml")],
        cwd=ROOT, capture_output=True, text=True, timeout=60, check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (most, most)),
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr == "There is not enough memory; close other programs. What was finished is kept.\n"


@pytest.mark.nightly
def test_memory_that_ends_anywhere(tmp_path):
    """The whole program with ever more address space, until it passes untouched."""
    folder = make_section(tmp_path, 0)
    sample = ROOT / "sample_submissions" / "section"
    for name in ("S0003.md", "S0007.txt", "S0004.csv"):
        shutil.copy(sample / name, folder / "uploads")

    def graded(results: str, most: int = resource.RLIM_INFINITY) -> tuple[int, str]:
        words = (ROOT / "rubrics" / "lock_valve.toml", folder / "uploads", "-o", folder / results / "results")
        done = subprocess.run(
            [sys.executable, "-m", "grader.cli.main", "grade", *map(str, words), "--workers", "1"],
            cwd=ROOT, capture_output=True, text=True, timeout=300, check=False,
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (most, most)),
        )  # fmt: skip
        return done.returncode, done.stderr

    assert graded("clean")[0] == 0
    expected = contents(folder / "clean" / "results")
    outcomes: dict[int, str] = {}
    for size in range(100, 1000, 20):
        status, told = graded("there", size << 20)
        outcomes[size] = f"{status} {told.strip()[-100:]}"
        print(f"{size} MiB: {outcomes[size]}")
        assert "Traceback" not in told
        assert status in {0, 2}
        assert graded("there")[0] == 0
        assert contents(folder / "there" / "results") == expected
        shutil.rmtree(folder / "there")
        if status == 0:
            break
    assert status == 0
    assert len(outcomes) > 3
