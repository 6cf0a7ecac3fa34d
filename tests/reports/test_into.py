"""Points filled into an instructor's own table: those cells and nothing else, whatever the table is made like."""

import csv
import io
import zipfile

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.styles import PatternFill

from grader.errors import UsageError
from grader.reports.into.delimited import Delimited, number_text
from grader.reports.into.fill import fill, headed
from grader.uploads import limits

POINTS = {"S0001": 7.5, "S0002": 10.0, "S0003": None, "S0004": 0.0}
CSV = 'id;name;HW 3;note\r\nS0001;Ada;;"a;""b"\r\ns0002;Ben\r\nS0003;Cy;;\r\nS0009;Di;;x\r\n;mean;;\r\n'


def filled(name, data, heading="HW 3", points=POINTS):
    return fill(headed(name, data, [heading]), {heading: points})


def test_cells_of_a_delimited_table_are_filled_and_every_other_byte_stays():
    """Short rows grow by their missing delimiters; what is not filled is told."""
    done = filled("own.csv", CSV.encode())
    assert done.content.decode() == CSV.replace("Ada;;", "Ada;7.5;").replace("Ben\r\n", "Ben;10\r\n")
    assert done.cells == 2
    assert done.told == (
        "Not filled, handed nothing in that was marked: row 4.",
        "Not filled, no id of this run's students stands there: rows 5, 6.",
        "Marked, but without a row: S0004.",
    )


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-32"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_encoding_and_line_ends_stay(codec, end):
    text = end.join(["id,Übung 3,Größe", "S0001,,ä", "S0002,,ö"])
    done = filled("own.csv", text.encode(codec), "Übung 3")
    assert done.content == text.replace("S0001,,", "S0001,7.5,").replace("S0002,,", "S0002,10,").encode(codec)


def test_a_table_that_writes_commas_gets_commas():
    done = filled("own.csv", b"id;HW 2;HW 3\nS0001;3,5;\n")
    assert done.content == b"id;HW 2;HW 3\nS0001;3,5;7,5\n"
    done = filled("own.csv", b"id;HW 2;HW 3\nS0001;3.5;\n")
    assert done.content == b"id;HW 2;HW 3\nS0001;3.5;7.5\n"


def test_an_id_in_two_rows_fills_neither_and_what_stood_there_is_told():
    done = filled("own.csv", b"id,HW 3\nS0001,1\nS0001,2\nS0002,3\n")
    assert done.content == b"id,HW 3\nS0001,1\nS0001,2\nS0002,10\n"
    assert "Not filled, the id stands in several rows: rows 2, 3." in done.told
    assert "Held something else before: row 4." in done.told


CELLS = st.lists(st.lists(st.text(st.sampled_from('ab",;\n\r\t|ü '), max_size=4), min_size=1, max_size=5), max_size=5)


@given(CELLS, st.sampled_from([",", ";", "\t"]), st.sampled_from(["\n", "\r\n"]), st.data())
def test_a_change_of_one_cell_changes_that_cell(rows, delimiter, end, data):
    """As the standard library's reader sees it."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator=end)
    writer.writerow(["first", "row"])
    writer.writerows(rows)
    content = out.getvalue().encode()
    table = Delimited(content, delimiter)
    assert table.filled({}) == content
    before = [*csv.reader(io.StringIO(content.decode(), newline=""), delimiter=delimiter)]
    row = data.draw(st.integers(0, len(before) - 1))
    column = data.draw(st.integers(0, max(len(before[row]) - 1, 0)))
    changed = table.filled({(row, column): 2.5}).decode()
    after = [*csv.reader(io.StringIO(changed, newline=""), delimiter=delimiter)]
    want = [list(one) for one in before]
    want[row] = want[row] or [""]
    want[row][column] = after[row][column]
    assert after[row][column] in {"2.5", "2,5"}
    assert after == want


@given(st.floats(0, 1e6))
def test_a_number_is_written_without_exponent_and_reads_as_itself(value):
    text = number_text(value)
    assert float(text) == pytest.approx(value, abs=5.1e-5)
    assert set(text) <= set("0123456789.")
    assert not text.endswith(".")


def workbook():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Marks"
    book.calculation.fullCalcOnLoad = False
    for row in (["Term"], ["id", "name", "HW 2", "HW 3", "sum"]):
        sheet.append(row)
    for number, id in enumerate(["S0001", "S0002", "S0003", "S0004"], start=3):
        sheet.append([id, "n", 1.5, None, f"=C{number}+D{number}"])
    sheet["D3"].fill = PatternFill("solid", fgColor="FFEEAA")
    sheet["D3"].number_format = "0.0"
    sheet["D6"] = "=1+1"
    sheet.column_dimensions["D"].number_format = "0.00"
    book.create_sheet("Other")["A1"] = "kept"
    return book


def saved(book):
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_cells_of_a_workbook_are_filled_and_every_other_part_stays():
    data = saved(workbook())
    done = filled("own.xlsx", data)
    before, after = (openpyxl.load_workbook(io.BytesIO(one))["Marks"] for one in (data, done.content))
    changed = {
        cell.coordinate: cell.value
        for row in after.iter_rows()
        for cell in row
        if cell.value != before[cell.coordinate].value
    }
    assert changed == {"D3": 7.5, "D4": 10}
    assert after["D3"].number_format == "0.0"
    assert after["D3"].fill.fgColor.rgb == before["D3"].fill.fgColor.rgb
    assert after["D4"].number_format == "0.00"  # of its column
    assert "Not filled, a formula stands in the cell: row 6." in done.told
    old, new = (zipfile.ZipFile(io.BytesIO(one)) for one in (data, done.content))
    assert old.namelist() == new.namelist()
    differ = {name for name in old.namelist() if old.read(name) != new.read(name)}
    assert differ == {"xl/worksheets/sheet1.xml", "xl/workbook.xml"}
    assert b'fullCalcOnLoad="1"' in new.read("xl/workbook.xml")


def test_a_merged_cell_is_not_filled():
    book = workbook()
    book["Marks"].merge_cells("C4:D4")
    assert "Not filled, the cell is merged with another: row 4." in filled("own.xlsx", saved(book)).told


def with_sheet(data, change):
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            new.writestr(name, change(content) if name.endswith("sheet1.xml") else content)
    return out.getvalue()


def test_prefixes_and_cells_without_an_address_are_understood():
    def prefixed(xml):
        import re

        text = re.sub(r' r="[A-Z]+[0-9]+"| r="[0-9]+"', "", xml.decode())  # openpyxl writes these rows without gaps
        text = re.sub(r"<(/?)(?=[a-zA-Z])", r"<\1x:", text)
        return text.replace("xmlns=", "xmlns:x=").encode()

    book = openpyxl.Workbook()
    for row in (["id", "HW 3", "n"], ["S0001", 1, "a>b"], ["S0002", 2, "x"]):
        book.active.append(row)
    done = filled("own.xlsx", with_sheet(saved(book), prefixed))
    sheet = zipfile.ZipFile(io.BytesIO(done.content)).read("xl/worksheets/sheet1.xml").decode()
    assert "<x:v>7.5</x:v></x:c>" in sheet
    assert "<x:v>10</x:v></x:c>" in sheet
    assert done.cells == 2


def test_a_table_that_cannot_be_filled_is_refused_in_a_sentence(monkeypatch):
    def refusal(name, data, *headings):
        with pytest.raises(UsageError) as told:
            fill(headed(name, data, headings or ["HW 3"]), {"HW 3": POINTS})
        assert "\n" not in str(told.value)
        return str(told.value)

    assert "no row has the heading 'HW 4'; the first row reads: 'id', 'HW 3'" in refusal("a.csv", b"id,HW 3\n", "HW 4")
    assert "more than one place" in refusal("a.csv", b"id,HW 3,HW 3\nS0001,,\n")
    assert "No column" in refusal("a.csv", b"id,HW 3\nX1,\n")
    assert "never closed" in refusal("a.csv", b'id,HW 3\n"S0001,\n')
    assert "only .csv and .xlsx" in refusal("a.ods", b"PK")
    assert "cannot be filled" in refusal("a.xlsx", b"PK\x03\x04 nothing")
    entity = with_sheet(saved(workbook()), lambda xml: b'<!DOCTYPE a [<!ENTITY b "c">]>' + xml)
    assert "entities" in refusal("a.xlsx", entity)
    assert "cut off" in refusal("a.xlsx", with_sheet(saved(workbook()), lambda xml: xml[:-40]))
    monkeypatch.setattr(limits, "CELLS", 3)
    assert "more than 3 cells" in refusal("a.csv", b"id,HW 3\nS0001,\n")
