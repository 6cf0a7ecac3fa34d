"""Spreadsheets as students fill them."""

import datetime as dt
import io
import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from python_calamine import load_workbook

from grader.uploads.formats import read_document
from tests.uploads.building import changed, saved, texts, upload, uploads, workbook

HEAD = ["problem", "item", "answer", "unit", "working"]


def sheet_with(write) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(HEAD)
    write(sheet)
    return saved(book)


def test_an_ordinary_sheet():
    found = upload(
        "hw_S0012.xlsx", workbook({"Answers": [HEAD, ["valve", "tau", 0.0024, "s", "L/R"], ["relay", "tau", "2 ms"]]})
    )
    assert found.student == "S0012"
    assert found.faults == ()
    first, second = found.answers
    assert (first.text, first.unit, first.working, first.where) == ("0.0024", "s", "L/R", "Answers!C2")
    assert (second.problem, second.text) == ("relay", "2 ms")


def test_a_heading_anywhere_with_other_words_columns_and_sheets():
    rows = [
        ["Harbour Lock works, EE 118"], [], ["", "Student ID:", "", "S0013"], [],
        ["", "No", "Problem ", "ITEM  ID", "remark", "Your answer", "Units"],
        ["", 1, "valve", "Tau", "sure", "2.4", "ms"],
        ["", 2, "", "current", "", "5(1-e^(-2t))", "A"],
    ]  # fmt: skip
    found = upload("answers.xlsx", workbook({"Notes": [["nothing here"]], "Sheet2": rows}))
    assert found.student == "S0013"
    assert texts(found) == {"valve.tau": "2.4", "valve.current": "5(1-e^(-2t))"}
    assert [answer.where for answer in found.answers] == ["Sheet2!F6", "Sheet2!F7"]
    assert found.faults == ()


def test_moved_rows_and_full_names():
    rows = [
        ["item", "answer"],
        ["relay.v0+", "5 V"],
        ["valve.current", "x"],
        ["relay . v0-", "4 V"],
        ["valve.tau", "2 ms"],
    ]
    found = upload("S0012.xlsx", workbook({"A": rows}))
    assert texts(found) == {"relay.v0+": "5 V", "valve.current": "x", "relay.v0-": "4 V", "valve.tau": "2 ms"}


def test_a_heading_for_every_problem():
    rows = [["valve"], ["item", "answer"], ["tau", "1 s"], [], ["Problem relay"], ["item", "answer"], ["tau", "2 s"]]
    assert texts(upload("S0012.xlsx", workbook({"A": rows}))) == {"valve.tau": "1 s", "relay.tau": "2 s"}


def test_merged_problem_and_answer_cells():
    def write(sheet):
        sheet.append(["valve", "tau", None, None])
        sheet.append([None, "current", "5 A"])
        sheet["D2"] = "2 ms"
        sheet.merge_cells("A2:A3")
        sheet.merge_cells("C1:D1")

    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["problem", "item", "answer", None, "unit"])
    write(sheet)
    assert texts(upload("S0012.xlsx", saved(book))) == {"valve.tau": "2 ms", "valve.current": "5 A"}


def test_a_merged_item_over_several_rows_joins_its_answers():
    def write(sheet):
        sheet.append(["valve", "current", "5(1-e^(-2t))"])
        sheet.append([None, None, "in ampere"])
        sheet.merge_cells("B2:B3")

    assert texts(upload("S0012.xlsx", sheet_with(write))) == {"valve.current": "5(1-e^(-2t))\nin ampere"}


def test_zero_is_an_answer_and_blank_is_none():
    found = upload(
        "S0012.xlsx", workbook({"A": [HEAD, ["valve", "tau", 0], ["valve", "current", None], ["relay", "tau", ""]]})
    )
    assert texts(found) == {"valve.tau": "0"}
    assert found.faults == ()


@pytest.mark.parametrize(
    ("value", "format", "text", "alternatives"),
    [
        (0.0024, "General", "0.0024", ()),
        (12.0, "0.00E+00", "12", ()),
        (1e-7, "General", "1e-7", ()),
        (0.05, "0%", "5%", ()),
        (0.632, "0.0%", "63.2%", ()),
        (2.4, '0.0" mA"', "2.4 mA", ()),
        (-2.4, "#,##0.00\\ \\V", "-2.4 V", ()),
        (dt.date(2025, 2, 1), "d-mmm", "1/2", ("2/1", "1.2")),
        (dt.date(2025, 4, 2), "dd.mmm", "2/4", ("4/2", "2.4")),
        (dt.date(2045, 3, 1), "mmm-yy", "3/45", ("3.45",)),
        (dt.time(1, 2), "h:mm", "1:02", ()),
        (True, "General", "TRUE", ()),
    ],
)
def test_what_a_number_format_hides(value, format, text, alternatives):
    def write(sheet):
        sheet.append(["valve", "tau", value])
        sheet["C2"].number_format = format

    (answer,) = upload("S0012.xlsx", sheet_with(write)).answers
    assert (answer.text, answer.alternatives) == (text, alternatives)
    assert bool(answer.notes) == (format not in ("General", "0.00E+00"))
    assert answer.stored == (type(value) is float)


def test_a_number_typed_as_text_keeps_its_zeros():
    (answer,) = upload("S0012.xlsx", workbook({"A": [HEAD, ["valve", "tau", "4.70"]]})).answers
    assert (answer.text, answer.stored) == ("4.70", False)


def test_raised_text_is_an_exponent():
    raised = InlineFont(vertAlign="superscript")

    def write(sheet):
        sheet.append(["valve", "current"])
        sheet["C2"] = CellRichText("2.4(1-e", TextBlock(raised, "-500"), TextBlock(raised, "t"), ") mA")
        sheet.append(["relay", "tau"])
        sheet["C3"] = CellRichText("i(0", TextBlock(raised, "+"), ") = 2")

    current, tau = upload("S0012.xlsx", sheet_with(write)).answers
    assert current.text == "2.4(1-e^(-500t)) mA"
    assert current.notes == ("Raised text was read as an exponent.",)
    assert (tau.text, tau.notes) == ("i(0+) = 2", ())


def with_cell(xml: str) -> bytes:
    """A sheet whose C2 is the given XML, as other programs write it."""
    data = sheet_with(lambda sheet: sheet.append(["valve", "tau", "CELL"]))
    part = zipfile.ZipFile(io.BytesIO(data)).read("xl/worksheets/sheet1.xml").decode()
    start = part.index('<c r="C2"')
    end = part.index("</c>", start) + 4
    return changed(data, {"xl/worksheets/sheet1.xml": (part[:start] + xml + part[end:]).encode()})


@pytest.mark.parametrize(
    ("xml", "text", "note"),
    [
        ('<c r="C2" t="e"><f>2.4*(1-EXP(-500*t))</f><v>#NAME?</v></c>', "2.4*(1-EXP(-500*t))", "shows #NAME?"),
        ('<c r="C2"><f>12/5</f></c>', "12/5", "stored no value"),
        ('<c r="C2" t="e"><v>#VALUE!</v></c>', "#VALUE!", "stored an error"),
        ('<c r="C2"><f>C3/C4</f><v>0.33333333333333331</v></c>', "0.3333333333333333", ""),
        ('<c r="C2" t="str"><f>A1&amp;"x"</f><v>2 ms</v></c>', "2 ms", ""),
        ('<c t="inlineStr" r="C2"><is><t>2_x000D_&#10;ms</t></is></c>', "2\nms", ""),
        ('<c r="C2" t="d"><v>2025-02-01</v></c>', "1/2", "a date"),
        ('<c r="C2"><v>4.3499999999999996</v></c>', "4.35", ""),
    ],
)
def test_cells_as_other_programs_write_them(xml, text, note):
    (answer,) = upload("S0012.xlsx", with_cell(xml)).answers
    assert answer.text == text
    assert note in " ".join(answer.notes)


def test_a_stored_formula_is_kept_as_working():
    (answer,) = upload("S0012.xlsx", with_cell('<c r="C2"><f>C3/C4</f><v>0.5</v></c>')).answers
    assert answer.working == "=C3/C4"


def test_hidden_rows_and_sheets_are_read_and_said():
    book = openpyxl.Workbook()
    sheet = book.active
    for row in (HEAD, ["valve", "tau", "1 s"], ["valve", "current", "2 A"]):
        sheet.append(row)
    sheet.row_dimensions[3].hidden = True
    other = book.create_sheet("old")
    for row in (HEAD, ["relay", "tau", "3 s"], ["valve", "tau", "9 s"]):
        other.append(row)
    other.sheet_state = "hidden"
    found = upload("S0012.xlsx", saved(book))
    assert texts(found) == {"valve.tau": "1 s", "valve.current": "2 A", "relay.tau": "3 s"}
    assert [bool(answer.notes) for answer in found.answers] == [False, True, True]
    assert len(found.faults) == 1
    assert "'valve.tau' is answered a second time, with '9 s'" in found.faults[0]


def test_unknown_and_ambiguous_items_are_listed_with_their_answers():
    rows = [["item", "answer"], ["tau", "1 s"], ["curent", "2 A"], ["tua", ""], ["", "7 V"]]
    found = upload("S0012.xlsx", workbook({"A": rows}))
    assert found.answers == ()
    ambiguous, misspelt, nameless = found.faults
    assert "several problems have it: valve.tau, relay.tau" in ambiguous
    assert "1 s" in ambiguous
    assert "the nearest is 'valve.current'" in misspelt
    assert "7 V" in nameless


def test_an_item_named_with_a_problem_is_not_taken_for_another_problem():
    found = upload(
        "S0012.xlsx",
        workbook({"A": [["problem", "item", "answer"], ["relay", "current", "2 A"], ["wharf", "tau", "1"]]}),
    )
    assert found.answers == ()
    assert len(found.faults) == 2


def test_a_wide_table_gives_an_upload_for_every_row():
    rows = [
        ["Name", "Student ID", "valve.tau [ms]", "current", "valve.x", "tau"],
        ["Ada", "S0012", 2.4, "5 A", "lost", ""],
    ]
    rows += [["Ben", "s0013", "3", "", "", "4"], ["Eve", "S9999", "1", "", "", ""], ["", "", "8", "", "", ""]]
    first, second, stranger, nobody = uploads("class.xlsx", workbook({"T": rows}), table=True)
    assert (first.student, first.file) == ("S0012", "class.xlsx, T row 2")
    assert texts(first) == {"valve.tau": "2.4", "valve.current": "5 A"}
    assert first.answers[0].unit == "ms"
    assert "'valve.x' is no item" in first.faults[0]
    assert second.student == "S0013"
    assert "several problems have it" in second.faults[0]
    assert stranger.student is nobody.student is None
    assert "S9999" in stranger.faults[0]


SAVED = Path(__file__).with_name("saved")
"""One invented sheet, as an office program saved it in its own and in the two common formats."""


def test_cell_for_cell_as_another_library_reads_it():
    """python-calamine, which reads the same format independently, is the reference for plain cells."""
    table = read_document("a.xlsx", (SAVED / "answers.xlsx").read_bytes()).tables[0]
    other = load_workbook(str(SAVED / "answers.xlsx")).get_sheet_by_index(0).to_python(skip_empty_area=False)
    compared = 0
    for row, values in enumerate(other[:8]):
        for column, value in enumerate(values):
            if isinstance(value, float):
                assert float(table.cells[row, column].text) == value
            elif value == "":
                assert (row, column) not in table.cells
            else:
                assert table.cells[row, column].text == value
            compared += value != ""
    assert compared > 20
    assert table.merged == ((1, 0, 4, 0),)


@pytest.mark.parametrize("suffix", [".ods", ".xls", ".xlsx"])
def test_the_same_answers_in_every_format(suffix):
    table = read_document(f"a{suffix}", (SAVED / f"answers{suffix}").read_bytes()).tables[0]
    column = [table.cells[row, 2].text for row in range(12)]
    assert column[:9] == ["answer", "0.0024", "12", "-3.5e-9", "2,4 kΩ", "a\nb", "0.3125", "1e21", "1/2"]
    assert column[11] == "2.4"
    assert column[9:11] == (["0.05", "e-500t"] if suffix == ".xls" else ["5%", "e^(-500t)"])
