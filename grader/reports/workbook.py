"""Workbooks with nothing of the clock or the machine in them, whose texts stay texts."""

import math
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import xlsxwriter

from grader.errors import OutputError
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
    held : bool
        Whether cells are held in memory until the end.  If not, each sheet is filled row by row from its top, and rows
        wait in a temporary file.
    """

    def __init__(self, title: str, subject: str = "", *, held: bool = True) -> None:
        self._buffer = BytesIO()
        # Text that begins with "=" or looks like an address must stay what it is: text.
        options = {
            "in_memory": held,
            "constant_memory": not held,
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
