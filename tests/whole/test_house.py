"""The repository itself: layers, sizes, catalogues described, examples in the documents that really work."""

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from grader.cli.parser import COMMANDS
from grader.marking.key import build_key
from grader.rubric.files import load_rubric, read_rubric

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
MODULES = sorted((ROOT / "grader").rglob("*.py"))
LONGEST = 400
"""Lines after which a file is looked at for the two things in it."""


def test_rooms_depend_downwards_only():
    """The layers contract holds, and no room is left out of it."""
    code = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"
    apart = [sys.executable, "-c", code]  # it would switch off the loggers of the tests that follow
    done = subprocess.run(apart, cwd=ROOT, capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_a_file_explains_itself_and_stays_readable(path):
    """Every module says what it is for and is no longer than a person reads at once."""
    text = path.read_text(encoding="utf-8")
    assert text.lstrip().startswith('"""')
    assert len(text.splitlines()) <= LONGEST


def test_the_top_level_is_as_agreed():
    """Nothing but the agreed names stands at the top."""
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "grader", "rubrics", "tests", "sample_submissions"}
    generated = {"build", "results", "grader.egg-info"}
    found = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}
    assert agreed <= found
    assert found - agreed <= generated


def test_the_readme_rubric_is_sound():
    """The rubric shown in README.md can be read and solved, and its key is right."""
    (example,) = re.findall(r"```toml\n(.*?)```", README, flags=re.DOTALL)
    key = build_key(read_rubric(example.encode(), "README.md"))
    tau = key.item("relay", "tau")
    assert tau.reference.text == "5 ms"
    assert tomllib.loads(example)["problem"][0]["item"][0]["key"] == "5 ms"


@pytest.mark.parametrize("row", re.findall(r"^\|.*\| (`tests/.*`) \|$", README, flags=re.MULTILINE))
def test_a_promise_is_held_by_tests_that_are_there(row):
    folder = ROOT
    for name in re.findall(r"`([\w/]+\.py)`", row):
        folder = ROOT / Path(name).parent if "/" in name else folder
        assert "def test_" in (folder / Path(name).name).read_text(encoding="utf-8")


@pytest.mark.parametrize("path", sorted(set(re.findall(r"`((?:tests|grader)/[\w./]+)`", README + DEVELOPERS))))
def test_what_the_documents_name_is_there(path):
    assert (ROOT / path).exists()


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_described(command):
    """README.md tells of each command."""
    assert f"grader {command}" in README


@pytest.mark.parametrize("path", sorted((ROOT / "rubrics").glob("*.toml")), ids=lambda p: p.name)
def test_every_rubric_says_it_is_invented_and_solves(path):
    """Each sample rubric is marked as invented and has a key to mark by."""
    assert "invented" in path.read_text(encoding="utf-8")
    assert build_key(load_rubric(path)).problems
