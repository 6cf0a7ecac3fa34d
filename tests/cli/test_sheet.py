"""``grader sheet`` from the call to the file."""

import pytest

from grader.cli import sheet
from grader.cli.parser import build_parser
from grader.errors import OutputError, UsageError

TOML = """
title = "Signal lamp"
[[problem]]
id = "lamp"
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF"},
]
item = [{id = "tau", find = "time constant", points = 1}]
"""


def call(*words):
    return sheet.run(build_parser().parse_args(["sheet", *map(str, words)]))


@pytest.fixture
def rubric(tmp_path):
    path = tmp_path / "lamp.toml"
    path.write_text(TOML, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("name", "start"),
    [("a.xlsx", b"PK"), ("a.csv", b"\xef\xbb\xbf"), ("a.txt", b"| Signal lamp"), ("A.HTML", b"<!DOCTYPE html>")],
)
def test_the_ending_chooses_the_form(rubric, tmp_path, name, start, capsys):
    assert call(rubric, "-o", tmp_path / name) == 0
    assert (tmp_path / name).read_bytes().startswith(start)
    assert str(tmp_path / name) in capsys.readouterr().out


def test_another_ending_is_refused_in_one_sentence(rubric, tmp_path):
    with pytest.raises(UsageError, match=r"not in '\.docx'"):
        call(rubric, "-o", tmp_path / "a.docx")
    assert not (tmp_path / "a.docx").exists()


def test_a_folder_that_is_not_there_is_said(rubric, tmp_path):
    with pytest.raises(OutputError, match="cannot be written"):
        call(rubric, "-o", tmp_path / "nowhere" / "a.txt")
