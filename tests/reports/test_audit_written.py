"""The class audit as page, workbook and command.  All students and answers are invented."""

import json
import re
import zipfile

import openpyxl
import pytest

from grader.cli import audit as command
from grader.cli.parser import build_parser
from grader.errors import OutputError, UsageError
from grader.reports.audit import audit, audit_html, audit_xlsx
from tests.reports.audit_lines import HOSTILE, class_of, folder, line, unexplained

FORMULA = '=HYPERLINK("http://x.invalid","y")'


def test_page_is_inert_and_self_contained(tmp_path):
    lines = [*class_of(12), line("S000", HOSTILE, answer=HOSTILE, mistakes=[HOSTILE], section=HOSTILE)]
    lines += unexplained(("S001", HOSTILE, 3.3), ("S002", HOSTILE, 3.3), item="final")
    page = audit_html(audit([folder(tmp_path / "r", lines)]))
    assert "<script" not in page
    assert page.count("</style>") == 1
    assert not re.search(r"""(src|href)\s*=|url\((?!#)|@import""", page)


def test_workbook_holds_the_numbers_and_no_formulas(tmp_path):
    lines = class_of(12) + unexplained(("S001", FORMULA, 3.3), ("S002", FORMULA, 3.3), item="final")
    path = tmp_path / "audit.xlsx"
    found = audit([folder(tmp_path / "r", lines)])
    path.write_bytes(audit_xlsx(found))
    book = openpyxl.load_workbook(path)
    cells = [cell for sheet in book for row in sheet for cell in row]
    assert all(cell.data_type != "f" for cell in cells)
    assert FORMULA in [cell.value for cell in cells]
    items = list(book["Items"].values)
    rows = [dict(zip(items[0], row, strict=True)) for row in items[1:]]
    tau = next(row for row in rows if row["Item"] == "valve.tau")
    assert tau["Difficulty"] == pytest.approx(found.classes[0].items[1].difficulty.value, abs=1e-6)
    assert tau["Incorrect"] == 4
    for sheet in book:
        assert sheet.freeze_panes == "B2"
        assert sheet.auto_filter.ref == sheet.dimensions
    assert sum(len(sheet._charts) for sheet in book) == 3


def test_same_marks_give_the_same_bytes(tmp_path):
    results = folder(tmp_path / "r", [*class_of(12), line("S003", "current", answer=HOSTILE)])
    found = [tmp_path / "a.xlsx", tmp_path / "b.xlsx"]
    for path in found:
        path.write_bytes(audit_xlsx(audit([results])))
    assert found[0].read_bytes() == found[1].read_bytes()
    assert audit_html(audit([results])) == audit_html(audit([results]))
    with zipfile.ZipFile(found[0]) as book:
        assert {entry.date_time for entry in book.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_unprintable_characters_do_no_harm(tmp_path):
    lines = unexplained(("A", "7\x00\ud800\x1b ms", 7.1), ("B", "7\x00\ud800\x1b ms", 7.1))
    path = tmp_path / "r"
    path.mkdir()
    path.joinpath("marks.jsonl").write_text("".join(json.dumps(r) + "\n" for r in lines))
    found = audit([path])
    assert audit_xlsx(found)
    assert "7\ufffd\ufffd\ufffd ms".encode() in audit_html(found).encode()


def test_line_separators_inside_an_answer_do_not_break_the_lines(tmp_path):
    results = folder(tmp_path / "r", unexplained(("A", "7\u2028ms\x85", 7.1)))
    assert audit([results]).classes[0].students == 1


def test_no_marks_at_all(tmp_path):
    found = audit([folder(tmp_path / "r", [])])
    assert found.classes[0].students == 0
    assert audit_xlsx(found)
    assert "No idea shows in the answers of this class." in audit_html(found)


@pytest.mark.parametrize("damage", ["{", '{"student": "A"}', "3", '{"student": "A", "parts": [3]}'])
def test_damaged_line_is_named(tmp_path, damage):
    results = folder(tmp_path / "r", class_of(1))
    with results.joinpath("marks.jsonl").open("a") as file:
        file.write(damage + "\n")
    with pytest.raises(UsageError, match=r"marks\.jsonl, line 3, is damaged; run"):
        audit([results])


def test_folder_without_marks_is_a_wrong_call(tmp_path):
    with pytest.raises(UsageError, match=r"holds no readable marks\.jsonl; give the folder"):
        audit([tmp_path])
    with pytest.raises(UsageError, match="No results folder"):
        audit([])


def run(*words):
    return command.run(build_parser().parse_args(["audit", *map(str, words)]))


def test_command_writes_both_files(tmp_path, capsys):
    results = folder(tmp_path / "r", class_of(12))
    assert run(results) == 0
    assert capsys.readouterr().out.split() == [str(results / "audit.html"), str(results / "audit.xlsx")]
    other = folder(tmp_path / "s", class_of(12))
    assert run(results, other, "-o", tmp_path / "both") == 0
    assert "What to say in the next class" in (tmp_path / "both" / "audit.html").read_text(encoding="utf-8")


def test_command_says_what_cannot_be_written(tmp_path):
    results = folder(tmp_path / "r", class_of(1))
    (results / "audit.html").mkdir()
    with pytest.raises(OutputError, match=r"audit\.html cannot be written .*check the folder"):
        run(results)
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutputError, match=r"cannot be made .*; name another folder"):
        run(results, "-o", tmp_path / "file" / "audit")
