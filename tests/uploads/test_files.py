"""Finding the files: folders, zips, what is left out, and every file exactly once."""

import os
import time
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.errors import UsageError
from grader.uploads.content.numbers import number_text
from grader.uploads.escaping import escaped, restored, visible
from grader.uploads.files.sources import one_source, sources
from grader.uploads.latest import chosen
from grader.uploads.reader import read_source
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
    assert [read_source(one, PAIRS, ROSTER)[0].student for one in found if not one.ignored][:2] == ["S0012", "S0013"]


def test_a_zip_named_in_the_call_and_the_times_in_it(tmp_path):
    (tmp_path / "section.zip").write_bytes(zipped({"S0012_v2.txt": b"x", "a/S0012.txt": b"y"}, (2025, 2, 3, 4, 5, 6)))
    found = list(sources(tmp_path / "section.zip"))
    here = datetime(2025, 2, 3, 4, 5, 6).astimezone()
    assert [(one.file, datetime.fromisoformat(one.modified)) for one in found] == [
        ("S0012_v2.txt", here), ("a/S0012.txt", here),
    ]  # fmt: skip
    (tmp_path / "section.zip").write_bytes(zipped({"S0012.txt": b"x"}, (1980, 1, 1, 0, 0, 0)))
    assert next(sources(tmp_path / "section.zip")).modified == ""


def test_the_later_file_of_a_student_counts(tmp_path):
    for number, name in enumerate(["S0012_v2.txt", "S0012_v1.txt"]):
        (tmp_path / name).write_text("valve.tau: 1 s")
        os.utime(tmp_path / name, (1_700_000_000 + number, 1_700_000_000 + number))

    assert counted_of(tmp_path) == "S0012_v1.txt"


class Sent:
    failed, vouched = False, True

    def __init__(self, one):
        self.file, self.modified, self.digest = one.file, one.modified, one.digest


def counted_of(folder) -> str:
    return chosen([Sent(one) for one in sources(folder)])[0].file


@pytest.mark.parametrize("zone", ["UTC", "America/New_York", "Asia/Kolkata", "Pacific/Auckland"])
@pytest.mark.parametrize("later", [True, False])
def test_times_of_a_zip_and_of_a_folder_are_compared_as_instants(tmp_path, monkeypatch, zone, later):
    """A zip says 14:00 of this machine's clock; the file beside it was written an hour before or after that instant."""
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    try:
        packed = datetime(2025, 7, 3, 14, 0, 0).astimezone()
        (tmp_path / "a.zip").write_bytes(zipped({"S0012_v1.txt": b"x"}, (2025, 7, 3, 14, 0, 0)))
        (tmp_path / "S0012.txt").write_text("y")
        beside = (packed + timedelta(hours=1 if later else -1)).timestamp()
        os.utime(tmp_path / "S0012.txt", (beside, beside))
        assert counted_of(tmp_path) == ("S0012.txt" if later else "a.zip/S0012_v1.txt")
    finally:
        monkeypatch.undo()
        time.tzset()


def test_nothing_there(tmp_path):
    with pytest.raises(UsageError, match="there is no such"):
        list(sources(tmp_path / "absent"))
    assert one_source(tmp_path / "absent").fault == "there is no such file"


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
