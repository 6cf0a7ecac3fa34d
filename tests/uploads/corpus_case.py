"""What a case of the corpus is, and the files that cases are made from."""

import io
import re
import zipfile
from typing import NamedTuple

from tests.uploads.building import changed, workbook, zipped

READ, WAITS, REFUSED = "read", "waits", "refused"
"""An answer of S0012 was read; what was read waits for a person to say whose it is; nothing was read, in a sentence."""


class Case(NamedTuple):
    """One file with its outcome; ``said`` stands in one of the sentences for the person."""

    name: str
    file: str
    data: bytes
    outcome: str
    said: str = ""


SHEET = workbook({"A": [["item", "answer"], ["valve.tau", "2 ms"]]})
PART, STYLES, BOOK, RELATIONS = (
    "xl/worksheets/sheet1.xml", "xl/styles.xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels",
)  # fmt: skip
CSV = b"item,answer\nvalve.tau,2 ms\n"
TEXT = b"valve.tau: 2 ms\n"
ODS_KIND = b"application/vnd.oasis.opendocument.spreadsheet"


def part(name: str) -> str:
    with zipfile.ZipFile(io.BytesIO(SHEET)) as source:
        return source.read(name).decode()


def sheet(rows: str, after: str = "") -> bytes:
    """The sheet with more rows behind its two."""
    return changed(SHEET, {PART: part(PART).replace("</sheetData>", f"{rows}</sheetData>{after}").encode()})


def cell(xml: str) -> bytes:
    """The sheet with another cell for its answer."""
    xml = re.sub(r'<c r="B2".*?</c>', lambda _: xml, part(PART))
    return changed(SHEET, {PART: xml.encode()})


def ods(rows: str, before: str = "") -> bytes:
    names = 'xmlns:table="t" xmlns:office="o" xmlns:text="x" xmlns:style="s"'
    head = "<table:table-row>" + ods_cell("item") + ods_cell("answer") + "</table:table-row>"
    answer = "<table:table-row>" + ods_cell("valve.tau") + ods_cell("2 ms") + "</table:table-row>"
    xml = f'<d {names}>{before}<table:table table:name="A">{head}{answer}{rows}</table:table></d>'
    return zipped({"mimetype": ODS_KIND, "content.xml": xml.encode()})


def ods_row(text: str, attributes: str = "", row: str = "") -> bytes:
    """An open document with one more row, of one cell."""
    cell = ods_cell(text, attributes) if attributes else ods_cell(text)
    return ods(f"<table:table-row {row}>{cell}</table:table-row>")


def ods_cell(text: str, attributes: str = 'office:value-type="string"') -> str:
    return f"<table:table-cell {attributes}><text:p>{text}</text:p></table:table-cell>"
