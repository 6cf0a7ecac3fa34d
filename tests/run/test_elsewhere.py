"""Other systems, as far as they can be had here: what they lack is taken away from every process of a run.

Simulated only: no run has been seen on such a system itself.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from grader.errors import OutputError
from grader.run import grade as grade_module
from tests.run.inline import Inline
from tests.run.section import contents, make_section, run

ROOT = Path(__file__).parents[2]

LACKING = """
import multiprocessing, os, pathlib, signal, subprocess, sys, types
for name in ("resource", "fcntl"):
    sys.modules[name] = None
sys.modules["msvcrt"] = types.SimpleNamespace(LK_NBLCK=2, locking=lambda *_: None)
for name in ("setitimer", "pthread_sigmask"):
    delattr(signal, name)
del os.sched_getaffinity
multiprocessing.get_all_start_methods = lambda: ["spawn"]
read = pathlib.Path.read_text
def read_text(path, *words, **options):
    if path.is_relative_to("/proc"):
        raise FileNotFoundError(path)
    return read(path, *words, **options)
pathlib.Path.read_text = read_text
"""
"""No bounds by the system, no locks but those of another kind, one way to start processes."""

PROGRAM = f"""import sys
sys.path.append({str(ROOT)!r})
from grader.cli.main import main
if __name__ == "__main__":
    sys.exit(main())
"""


@pytest.mark.nightly
def test_a_system_without_most_of_what_bounds_a_process_gives_the_same_bytes(tmp_path):
    """The sample section, its summary said to a terminal that has no Greek letters."""
    (tmp_path / "lacking").mkdir()
    (tmp_path / "lacking" / "sitecustomize.py").write_text(LACKING)
    (tmp_path / "start.py").write_text(PROGRAM)
    sample = ROOT / "sample_submissions"

    def graded(results: str, **environment: str) -> dict[str, bytes]:
        words = (ROOT / "rubrics" / "lock_valve.toml", sample / "section", "-o", tmp_path / results / "results")
        told = subprocess.run(
            [sys.executable, str(tmp_path / "start.py"), "grade", *map(str, words), "--roster", str(sample / "roster.csv")],
            env={**os.environ, **environment}, capture_output=True, timeout=600, check=False,
        )  # fmt: skip
        assert told.returncode == 0, told.stderr.decode("cp1252", "replace")
        return contents(tmp_path / results / "results")

    here = graded("here")
    there = graded("there", PYTHONPATH=str(tmp_path / "lacking"), PYTHONIOENCODING="cp1252")
    assert there == here


def test_a_result_that_is_open_elsewhere_is_named_and_the_next_run_goes_on(tmp_path, monkeypatch):
    """Where an open file cannot be replaced."""
    monkeypatch.setattr(grade_module, "Pool", Inline)
    folder = make_section(tmp_path, 2)
    run(folder)
    (folder / "uploads" / "hw_S0001.txt").write_text("gate.a: shut\n")
    run(folder, "clean/results")
    honest = Path.replace

    def replace(path, target):
        if Path(target) == (folder / "results" / "gradebook.xlsx").resolve():
            raise PermissionError(13, "Permission denied")
        return honest(path, target)

    with monkeypatch.context() as patched:
        patched.setattr(Path, "replace", replace)
        with pytest.raises(OutputError, match=r"gradebook\.xlsx: this result cannot be replaced .* close it"):
            run(folder)
    run(folder)
    now, clean = contents(folder / "results"), contents(folder / "clean" / "results")
    assert now.pop("changes.csv")
    assert {**now, "run.json": b""} == {**clean, "run.json": b""}  # which lists the changes among what was written
