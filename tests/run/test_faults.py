"""Every single thing that a run asks of the disk fails once: a plain sentence, nothing lost, the same bytes afterwards.

Idea of the method: D. R. Hipp and others, "How SQLite Is Tested", anomaly testing.
"""

from __future__ import annotations

import io
import shutil
from pathlib import Path

import pytest

from grader.errors import GraderError
from grader.run import grade as grade_module
from grader.run.storage.folder import OWN
from tests.run.inline import Inline
from tests.run.section import contents, make_section, run, table


class Disk:
    """A disk of which one operation fails: the one after `left` others on files below a folder."""

    def __init__(self, monkeypatch, below: Path, left: int, error: OSError) -> None:
        self.below, self.left, self.error, self.failed = below, left, error, False
        for name in ("replace", "unlink", "mkdir"):
            monkeypatch.setattr(Path, name, self._failing(getattr(Path, name)))
        honest = Path.open

        def opened(path, *words, **options):
            self._ask(path)
            file = honest(path, *words, **options)
            if path.is_relative_to(self.below) and isinstance(file, io.TextIOWrapper | io.BufferedWriter):
                file.write = self._failing(file.write, path)
            return file

        monkeypatch.setattr(Path, "open", opened)

    def _ask(self, path: Path) -> None:
        if not path.is_relative_to(self.below):
            return
        self.left -= 1
        if self.left == -1:
            self.failed = True
            raise self.error

    def _failing(self, honest, path=None):
        def operation(*words, **options):
            self._ask(path or words[0])
            return honest(*words, **options)

        return operation


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


@pytest.mark.parametrize("step", [11, pytest.param(1, marks=pytest.mark.nightly)])
@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), OSError(5, "Input/output error")], ids=str)
def test_whatever_the_disk_refuses_once(folder, monkeypatch, error, step):
    before = shutil.copytree(folder / "results", folder / "before")
    run(folder)
    expected = contents(folder / "results")
    number, told = 0, []
    while True:
        shutil.rmtree(folder / "results")
        shutil.copytree(before, folder / "results")
        with monkeypatch.context() as patched:
            patched.setattr(grade_module, "Pool", Inline)
            disk = Disk(patched, folder / "results", number, error)
            try:
                run(folder)
            except GraderError as fault:
                told.append(str(fault))
                assert error.strerror in told[-1]
        decided = [row for row in table(folder / "results" / "review.csv") if row["decision"] == "1.5"]
        assert [(row["student"], row["item"], row["reason"]) for row in decided] == [("S0000", "a", "agreed")]
        run(folder)
        assert contents(folder / "results") == expected, (number, told[-1:])
        if not disk.failed:
            break
        number += step
    assert number > 50  # what a run of two students asks of the disk
    assert len(told) > number // step // 2
    assert not (folder / "results" / OWN / "new").exists()
