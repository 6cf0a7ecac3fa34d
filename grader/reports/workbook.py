"""Workbooks with nothing of the clock or the machine in them, whose texts stay texts."""

import math
import re
from collections.abc import Sequence
from datetime import datetime
from io import BytesIO
from pathlib import Path
from shutil import copyfileobj
from tempfile import TemporaryFile
from typing import Any
from xml.sax.saxutils import escape
from zipfile import ZIP_DEFLATED, ZipFile

import xlsxwriter

from grader.errors import OutputError
from grader.reports.table import Cell
from grader.uploads.escaping import visible

LONGEST = 32_000
"""Characters of a cell; Excel refuses more than 32 767."""

INK, LINE, WASH, TINT = "#24313F", "#CFC8BA", "#F3EEE2", "#E6EEF4"
"""The colours of the printed pages, for cells."""

LINE_POINTS, TALLEST = 14.5, 25
"""Height of a line of text, in points, and lines that a row shows at most (a spreadsheet's rows end at 409 points)."""

POINTS = "General"
"""Number format of points: no needless zeros, and no point without digits after it."""

GOOD, PARTLY_GOOD, BAD, FAINT = "#1E6B3A", "#7A5200", "#A3261B", "#5A6570"
"""Ink for verdicts, beside their words and signs and never in place of them; each 4.5 to 1 on white and on `WASH`."""


class Book:
    """A workbook in the making; `content` gives its bytes, the same for the same calls.

    Parameters
    ----------
    title, subject : str
        For the file's properties.
    """

    def __init__(self, title: str, subject: str = "") -> None:
        self._buffer = BytesIO()
        # Text that begins with "=" or looks like an address must stay what it is: text.
        options = {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
        }
        self._book = xlsxwriter.Workbook(self._buffer, options)
        self._book.set_properties({"title": title, "subject": subject, "created": datetime(2000, 1, 1)})  # noqa: DTZ001
        self._closed = False
        self._formats: dict[frozenset[tuple[str, Any]], Any] = {}

    def sheet(self, name: str) -> Any:
        """Another worksheet, to be filled with the library's own calls and `text` and `number`."""
        return self._book.add_worksheet(name)

    def look(self, **properties: Any) -> Any:
        """A cell format; the same properties give the same one."""
        key = frozenset(properties.items())
        if key not in self._formats:
            self._formats[key] = self._book.add_format({"valign": "top", **properties})
        return self._formats[key]

    def bars(self, title: str, *, lying: bool = False) -> Any:
        """A chart of upright bars, or lying ones for long labels, to be given series and put on a sheet."""
        chart = self._book.add_chart({"type": "bar" if lying else "column"})
        chart.set_title({"name": title, "overlay": False})
        chart.set_legend({"none": True})
        chart.set_size({"width": 900, "height": 420 if lying else 340})
        if lying:
            chart.set_y_axis({"reverse": True})  # the first on top
        return chart

    def content(self) -> bytes:
        """Finish the workbook and take its bytes."""
        self.close()
        return self._buffer.getvalue()

    def close(self) -> None:
        """Give temporary files back; to be called where `content` may never be asked for."""
        if not self._closed:
            self._closed = True
            self._book.close()


class RowsInPlace:
    """Rows of a workbook's first sheet from the second on, as many as there may be: in a file, as they will stand in the workbook.

    Written by the workbook's library each cell takes twenty times as long.

    Parameters
    ----------
    pattern : bytes
        A workbook of which the second row has a cell for each column, with the look that those below it are to have.
    """

    def __init__(self, pattern: bytes) -> None:
        with ZipFile(BytesIO(pattern)) as book:
            (row,) = _SECOND.findall(book.read(_FIRST_SHEET))
        self._cells = [(f'<c r="{letters}', f'" s="{look}"') for letters, look in _LOOKS.findall(row.decode())]
        self._rows = 1
        self._file = TemporaryFile()  # noqa: SIM115 - `close` gives it back

    def add(self, cells: Sequence[Cell]) -> None:
        """Write a row, a cell for each column: texts as texts, numbers, nothing for None."""
        self._rows += 1
        row = [f'<row r="{self._rows}">']
        for (begun, look), cell in zip(self._cells, cells, strict=True):
            if isinstance(cell, str):
                shown = escape(_ESCAPED.sub(r"_x005F\g<0>", visible(cell)[:LONGEST]))
                row.append(f'{begun}{self._rows}{look} t="inlineStr"><is><t xml:space="preserve">{shown}</t></is></c>')
            elif cell is not None:
                row.append(f"{begun}{self._rows}{look}><v>{cell:.16g}</v></c>")
        row.append("</row>")
        self._file.write("".join(row).encode())

    def content(self, around: bytes) -> bytes:
        """A workbook like the pattern with these rows in place of its second; its bytes."""
        filled = BytesIO()
        with ZipFile(BytesIO(around)) as book, ZipFile(filled, "w", ZIP_DEFLATED) as target:
            for part in book.infolist():
                content = book.read(part)
                with target.open(part, "w") as out:
                    if part.filename == _FIRST_SHEET:
                        before, content = _SECOND.split(content)
                        out.write(before)
                        self._file.seek(0)
                        copyfileobj(self._file, out)
                    out.write(content)
        return filled.getvalue()

    def close(self) -> None:
        """Give the file back."""
        self._file.close()


_FIRST_SHEET = "xl/worksheets/sheet1.xml"
_SECOND = re.compile(rb'<row r="2".*?</row>')
_LOOKS = re.compile(r'<c r="([A-Z]+)2" s="(\d+)"')
_ESCAPED = re.compile("_x[0-9a-fA-F]{4}_")
"""What a workbook's texts would take for a character's code."""


def text(sheet: Any, row: int, column: int, value: str, look: Any) -> None:
    """Write text as text, whatever it begins with; invisible characters show their code points."""
    value = visible(value)
    if value:
        sheet.write_string(row, column, value[:LONGEST], look)
    else:
        sheet.write_blank(row, column, None, look)


def lines_of(value: str, width: float) -> int:
    """Lines a text takes in a column of that width (characters), for the height of a row."""
    return sum(max(1, math.ceil(len(line) / max(width - 1, 1))) for line in value.split("\n"))


def footer_text(value: str) -> str:
    """Text for a page footer, where ``&`` begins a code."""
    return value.replace("&", "&&")[:200]


def save(content: bytes | str, path: Path) -> None:
    """Write a report to disk: text as UTF-8.

    Raises
    ------
    OutputError
        If the file cannot be written.
    """
    try:
        path.write_bytes(content.encode() if isinstance(content, str) else content)
    except OSError as error:
        reason = error.strerror or "unknown reason"
        raise OutputError(
            f"{path} cannot be written ({reason}); check the folder, or close the file elsewhere."
        ) from None
