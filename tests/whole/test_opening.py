"""Every file that the program reads is opened in one way, in which nothing but an ordinary file is read."""

import ast
import re
from pathlib import Path

import pytest

from grader.opening import content_of, lines_of, opened
from tests.common.odd_files import ODD, bounded, put

ROOM = Path(__file__).parents[2] / "grader"

OF_ITS_OWN = {
    "authoring/explain.py", "jobs/bounds.py", "reports/pages.py", "run/storage/software.py",
}  # fmt: skip
"""Where parts of the program itself are read otherwise than beside a module, and what the system says of a process."""

JUST_WRITTEN = {"run/storage/journal.py"}
"""Where a run reads what it wrote and holds the lock on."""


@pytest.mark.parametrize("what", ODD)
@pytest.mark.parametrize(
    "read", [content_of, lambda path: [*lines_of(path)][:1], opened], ids=["whole", "lines", "opened"]
)
def test_nothing_but_an_ordinary_file_is_read(tmp_path, what, read):
    put(what, tmp_path / "odd")
    with bounded():
        if what == "3 GB of nothing" and read is not content_of:
            with opened(tmp_path / "odd") as file:
                assert file.read(3) == b"\0\0\0"
            assert len(next(lines_of(tmp_path / "odd"))) < 1 << 28
        else:
            with pytest.raises(OSError, match=re.escape(str(tmp_path / "odd"))) as told:
                read(tmp_path / "odd")
            assert told.value.strerror


def test_an_ordinary_file_is_read_as_it_is(tmp_path):
    (tmp_path / "a").write_bytes(b"one\r\ntwo\n\nrest")
    assert content_of(tmp_path / "a") == b"one\r\ntwo\n\nrest"
    assert [*lines_of(tmp_path / "a")] == [b"one\r\n", b"two\n", b"\n", b"rest"]


def reads(code):
    """Calls that open a file to read it."""
    for call in ast.walk(code):
        if not isinstance(call, ast.Call) or "Path(__file__)" in ast.unparse(call):  # what stands beside the program
            continue
        name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
        modes = [word.value for word in call.args if isinstance(word, ast.Constant) and isinstance(word.value, str)]
        if name in {"read_text", "read_bytes"} or (
            name == "open" and any(mode in {"r", "rb", "r+b"} for mode in modes)
        ):
            yield name


def test_nobody_opens_files_in_another_way():
    found = {
        path.relative_to(ROOM).as_posix()
        for path in ROOM.rglob("*.py")
        if any(reads(ast.parse(path.read_text("utf-8"))))
    }
    assert found - OF_ITS_OWN - JUST_WRITTEN == {"opening.py"}
    assert found >= OF_ITS_OWN
