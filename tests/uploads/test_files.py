"""Finding the files: folders, zips, what is left out, and every file exactly once."""

from __future__ import annotations

import os

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.errors import UsageError
from grader.uploads.content.numbers import number_text
from grader.uploads.escaping import escaped, restored, visible
from grader.uploads.files.sources import one_source, sources
from grader.uploads.latest import latest
from grader.uploads.reader import read_uploads
from tests.uploads.building import PAIRS, ROSTER, zipped


def test_a_folder_with_folders_zips_and_litter(tmp_path):
    results = tmp_path / "results"
    (tmp_path / "late").mkdir()
    results.mkdir()
    (results / "gradebook.csv").write_text("x")
    (tmp_path / "S0012.txt").write_text("valve.tau: 1 s")
    (tmp_path / "late" / "S0013.txt").write_text("valve.tau: 2 s")
    (tmp_path / "roster.csv").write_text("id\nS0012\n")
    for litter in (".DS_Store", "Thumbs.db", "~$S0012.xlsx", "._S0012.txt"):
        (tmp_path / litter).write_text("x")
    (tmp_path / "more.zip").write_bytes(zipped({"s-77/a.txt": b"valve.tau: 3 s", "__MACOSX/._a.txt": b"x"}))
    found = list(sources(tmp_path, {results: "results of an earlier run", tmp_path / "roster.csv": "the roster"}))
    assert [one.file for one in found if not one.ignored] == ["S0012.txt", "late/S0013.txt", "more.zip/s-77/a.txt"]
    assert {one.file for one in found if one.ignored} == {
        ".DS_Store", "Thumbs.db", "~$S0012.xlsx", "._S0012.txt", "roster.csv", "results", "more.zip/__MACOSX/._a.txt",
    }  # fmt: skip
    assert [upload.student for upload in read_uploads(tmp_path, PAIRS, ROSTER)][:2] == ["S0012", "S0013"]


def test_a_zip_named_in_the_call_and_the_times_in_it(tmp_path):
    (tmp_path / "section.zip").write_bytes(zipped({"S0012_v2.txt": b"x", "a/S0012.txt": b"y"}, (2025, 2, 3, 4, 5, 6)))
    found = list(sources(tmp_path / "section.zip"))
    assert [(one.file, one.modified) for one in found] == [
        ("S0012_v2.txt", "2025-02-03T04:05:06"), ("a/S0012.txt", "2025-02-03T04:05:06"),
    ]  # fmt: skip
    (tmp_path / "section.zip").write_bytes(zipped({"S0012.txt": b"x"}, (1980, 1, 1, 0, 0, 0)))
    assert next(sources(tmp_path / "section.zip")).modified == ""


def test_the_later_file_of_a_student_counts(tmp_path):
    for number, name in enumerate(["S0012_v2.txt", "S0012_v1.txt"]):
        (tmp_path / name).write_text("valve.tau: 1 s")
        os.utime(tmp_path / name, (1_700_000_000 + number, 1_700_000_000 + number))

    class Sent:
        failed = False

        def __init__(self, one):
            self.file, self.modified = one.file, one.modified

    assert latest([Sent(one) for one in sources(tmp_path)]).file == "S0012_v1.txt"


@pytest.mark.parametrize("call", [lambda path: list(sources(path)), one_source])
def test_nothing_there(tmp_path, call):
    with pytest.raises(UsageError, match="there is no such"):
        call(tmp_path / "absent")


@given(st.text(max_size=40))
def test_inert_text_never_starts_a_formula_and_loses_nothing(text):
    cell = escaped(text)
    assert cell[:1] not in set("=+-@\t\r＝＋－＠")
    assert cell.lstrip()[:1] not in set("=+-@＝＋－＠")
    assert cell in (visible(text), f"'{visible(text)}")
    assert restored(cell) == visible(text)
    assert all(character.isprintable() or character in "\n\t" or character.isspace() for character in cell)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_the_shortest_text_gives_the_same_number(value):
    text = number_text(value)
    assert float(text) == value
    assert len(text) <= len(repr(value))
