"""The key kept between runs: found again, never taken from anybody else, never able to do anything."""

from __future__ import annotations

import hashlib
import os
import pickle
from pathlib import Path

import pytest

from grader.marking.key import Key, build_key
from grader.problem import Item, Problem, Rubric
from grader.rubric.files import load_rubric
from grader.run.storage import keys
from grader.run.storage.keys import DamagedKey, cache_folder, key_of

RUBRICS = sorted((Path(__file__).parents[2] / "rubrics").glob("*.toml"))


@pytest.fixture
def rubric(tmp_path) -> Path:
    path = tmp_path / "r.toml"
    path.write_text("title = 'x'")
    return path


def build_once(path: Path) -> Key:
    """Stands for a key: any record of the program."""
    item = Item(id="a", find="choice", points=2.0)
    problem = Problem(id="p", title="", text="", circuit=None, items=(item,))
    rubric = Rubric(title=path.read_text(), course="", problems=(problem,), digest="", name=path.name)
    return Key(rubric=rubric, problems=(), diagnoser=None)


def forbidden(_: Path) -> Key:
    raise AssertionError("worked out again")


def kept() -> Path:
    (path,) = cache_folder().iterdir()
    return path


def test_a_key_is_worked_out_once(rubric):
    first, second = key_of(rubric, build_once), key_of(rubric, forbidden)
    assert (first.load(), first.points, first.fresh) == (second.load(), {("p", "a"): 2.0}, True)
    assert not second.fresh
    rubric.write_text("title = 'y'")
    assert key_of(rubric, build_once).load().rubric.title == "title = 'y'"
    assert key_of(rubric, build_once, anew=True).fresh


def test_other_software_other_key(rubric, monkeypatch):
    key_of(rubric, build_once)
    monkeypatch.setattr(keys, "software", lambda: "other")
    with pytest.raises(AssertionError, match="again"):
        key_of(rubric, forbidden)


def test_folder_and_file_are_the_users_alone(rubric):
    key_of(rubric, build_once)
    assert cache_folder().stat().st_mode & 0o777 == 0o700
    assert kept().stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("spoil", [
    lambda path: path.chmod(0o666),
    lambda path: path.parent.chmod(0o777),
    lambda path: path.write_bytes(path.read_bytes()[:-1]),
    lambda path: path.write_bytes(b""),
    lambda path: (path.rename(path.with_name("elsewhere")), path.symlink_to(path.with_name("elsewhere"))),
    lambda path: os.chown(path, 12345, 12345),
])  # fmt: skip
def test_a_kept_key_that_is_not_beyond_doubt_is_not_read(rubric, spoil):
    if os.getuid() != 0 and "chown" in spoil.__code__.co_names:
        pytest.skip("needs the right to give a file away")
    key_of(rubric, build_once)
    spoil(kept())
    with pytest.raises(AssertionError, match="again"):
        key_of(rubric, forbidden)


class Evil:
    def __init__(self, mark: Path) -> None:
        self.mark = mark

    def __reduce__(self):
        return os.system, (f"touch {self.mark}",)


class Sly:
    """Calls a function of this very program instead of a type."""

    def __reduce__(self):
        from grader.run.storage.private import write_private

        return write_private, (Path("x"), b"")


@pytest.mark.parametrize("evil", [Evil, lambda _: Sly()])
def test_a_pickle_that_would_run_something_runs_nothing(rubric, tmp_path, evil):
    """Even from a file with the right owner and digest."""
    key_of(rubric, build_once)
    content = b'{"points": [], "personal": []}\n' + pickle.dumps(evil(tmp_path / "done"))
    kept().write_bytes(hashlib.sha256(content).digest() + content)
    with pytest.raises(DamagedKey):
        key_of(rubric, forbidden).load()
    assert not (tmp_path / "done").exists()


def test_a_cache_that_cannot_be_written_is_no_fault(rubric, tmp_path, monkeypatch):
    (tmp_path / "plain").write_text("")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "plain"))
    assert key_of(rubric, build_once).load().rubric.title == "title = 'x'"


@pytest.mark.parametrize("path", RUBRICS, ids=lambda path: path.stem)
def test_keys_of_all_rubrics_are_read_back(path):
    """Whatever a key holds, the careful unpickler knows it."""
    made = key_of(path, lambda path: build_key(load_rubric(path)))
    assert repr(key_of(path, forbidden).load()) == repr(made.load())
