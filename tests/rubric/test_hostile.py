"""Rubrics that would stop, mislead or exhaust the program: each gives its sentence."""

import itertools
import os
import subprocess
import sys
from pathlib import Path

import pytest

from grader.errors import GraderError, RubricError
from grader.rubric.bounds import bounded_time, working_on
from grader.rubric.files import read_rubric
from grader.rubric.references import references
from tests.rubric.hostile import CASES, SOUND

ROOT = Path(__file__).parents[2]


def test_the_rubric_they_are_made_of_is_sound():
    assert len(references(read_rubric(SOUND.encode(), "weir.toml"))) == 2


def test_they_are_many():
    assert len(CASES) >= 60


@pytest.mark.parametrize("text, sentence", [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_sentence(text, sentence):
    with pytest.raises(GraderError) as caught:
        references(read_rubric(text.encode(), "weir.toml"))
    found = str(caught.value).splitlines()
    assert any(sentence in line for line in found), found[:3]
    assert all(line.startswith("weir.toml") and len(line) < 1000 for line in found)


@pytest.mark.nightly
def test_what_each_costs(tmp_path):
    """Each in a process of its own: printed with its processor seconds and its largest memory, which is below 1 GB."""
    path, costs = tmp_path / "weir.toml", []
    for name, text, _ in [("sound", SOUND, ""), *CASES]:
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        words = [sys.executable, "-m", "grader.cli.main", "vet", path]
        with subprocess.Popen(words, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) as process:
            told = process.stderr.read()
            _, status, used = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
        assert process.returncode == (0 if name == "sound" else 2), (name, told)
        costs.append((used.ru_maxrss / 1024, used.ru_utime + used.ru_stime, name))
    print(f"\n{'MiB':>6} {'s':>6}  case")
    print("\n".join(f"{size:6.0f} {seconds:6.2f}  {name}" for size, seconds, name in sorted(costs, reverse=True)))
    assert max(costs)[0] < 1e9 / 2**20


def test_what_takes_too_long_is_named():
    """Work without end is stopped by the clock, and the sentence names the item that was at work."""

    @bounded_time(0.05)
    def endless():
        working_on("weir.toml, problem 'lamp', item 'v'")
        for _ in itertools.count():
            pass

    with pytest.raises(RubricError, match=r"weir.toml, problem 'lamp', item 'v': working this out takes longer than"):
        endless()
    with bounded_time(0.05):
        pass  # a bound that was kept leaves no clock behind
