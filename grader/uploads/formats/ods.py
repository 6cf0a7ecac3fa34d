"""Spreadsheets of OpenDocument (.ods), read from their XML (ISO/IEC 26300-1, chapters 9 and 19)."""

from __future__ import annotations

import re
from datetime import date

from grader.uploads import limits
from grader.uploads.content.dates import date_cell, time_cell
from grader.uploads.content.document import Cell, Document, Table, Unreadable
from grader.uploads.content.numbers import finite, number_text, percent_text
from grader.uploads.formats._cells import MACROS, PERCENT, TOO_WIDE, Cells, Count, failed_formula_cell
from grader.uploads.formats._format import Format
from grader.uploads.formats._package import Package, is_package
from grader.uploads.formats._strings import Runs
from grader.uploads.formats._xml import Attributes, scan

_KIND = b"application/vnd.oasis.opendocument.spreadsheet"
_OTHER_KINDS = b"application/vnd.oasis"
_CONTENT, _MANIFEST = "content.xml", "META-INF/manifest.xml"
_FORMULA_REFERENCE = re.compile(r"\[\.?([^\]]*)\]")
_DURATION = re.compile(r"PT(\d{1,6})H(\d{1,2})M[\d.,]*S?")
_RAISED = re.compile(r"super|0*[1-9][0-9.]*%")
_NOT_CELL_TEXT = {"annotation", "note", "ruby-text", "shapes"}


def _fits(data: bytes) -> bool:
    """By the kind that stands first in such a file; another program may have packed it again without that."""
    return is_package(data, _KIND) or (is_package(data, b"content.xml") and not is_package(data, _OTHER_KINDS))


def _read(data: bytes) -> Document:
    package = Package(data)
    if _MANIFEST in package and _is_encrypted(package):
        raise Unreadable("it is protected by a password; please send it without one")
    content = _Content()
    scan(package.pieces(_CONTENT), content.start, content.end, content.text)
    macros = any(name.startswith(("Basic/", "Scripts/")) for name in package.names())
    said = ((macros, MACROS), (content.too_wide, TOO_WIDE), (content.left_out, _LEFT_OUT))
    return Document(tables=tuple(content.tables), faults=tuple(sentence for fact, sentence in said if fact))


_LEFT_OUT = f"only the first {limits.SHEETS} of its sheets were looked at"


def _is_encrypted(package: Package) -> bool:
    found = False

    def start(name: str, _: Attributes) -> None:
        nonlocal found
        found = found or name == "encryption-data"

    scan(package.pieces(_MANIFEST), start, lambda _: None)
    return found


class _Content:
    """Collects the tables of a document from the events of its content."""

    def __init__(self) -> None:
        self.tables: list[Table] = []
        self.too_wide = self.left_out = False
        self._count = Count()
        self._raised_styles: set[str] = set()
        self._style = ""
        self._sheet: Cells | None = None
        self._sheet_name = ""
        self._merged: list[tuple[int, int, int, int]] = []
        self._row = self._column = 0
        self._row_copies = 1
        self._hidden = False
        self._line: list[tuple[int, int, Cell]] = []
        self._cell: Attributes | None = None
        self._runs = Runs()
        self._paragraphs = 0
        self._skipped = 0
        self._raised: list[bool] = []

    def start(self, name: str, attributes: Attributes) -> None:
        """An element opens."""
        if name in _NOT_CELL_TEXT:
            self._skipped += 1
        elif name in ("table-cell", "covered-table-cell"):
            self._cell, self._runs, self._paragraphs, self._raised = attributes, Runs(), 0, []
        elif name == "table-row":
            self._line, self._column = [], 0
            self._row_copies = _copies(attributes, "table:number-rows-repeated")
            self._hidden = attributes.get("table:visibility", "visible") != "visible"
        elif name == "table":
            self.left_out = self.left_out or len(self.tables) >= limits.SHEETS
            self._sheet = Cells(self._count) if len(self.tables) < limits.SHEETS else None
            self._sheet_name, self._merged, self._row = attributes.get("table:name", ""), [], 0
        elif name == "style":
            self._style = attributes.get("style:name", "")
        elif name == "text-properties" and _RAISED.match(attributes.get("style:text-position", "")):
            self._raised_styles.add(self._style)
        elif self._cell is not None and not self._skipped:
            self._text_element(name, attributes)

    def _text_element(self, name: str, attributes: Attributes) -> None:
        if name == "p":
            if self._paragraphs:
                self._add("\n")
            self._paragraphs += 1
        elif name == "span":
            self._raised.append(attributes.get("text:style-name", "") in self._raised_styles)
        elif name == "s":
            self._add(" " * min(_copies(attributes, "text:c"), limits.CELL_CHARS))
        elif name in ("tab", "line-break"):
            self._add("\t" if name == "tab" else "\n")

    def end(self, name: str) -> None:
        """An element closes."""
        if name in _NOT_CELL_TEXT:
            self._skipped -= 1
        elif name == "span" and self._raised and not self._skipped:
            self._raised.pop()
        elif name in ("table-cell", "covered-table-cell") and self._cell is not None:
            self._end_cell(self._cell)
            self._cell = None
        elif name == "table-row":
            self._end_row()
        elif name == "table" and self._sheet is not None:
            self.too_wide = self.too_wide or self._sheet.too_wide
            self.tables.append(Table(name=self._sheet_name, cells=self._sheet.kept, merged=tuple(self._merged)))
            self._sheet = None

    def text(self, piece: str) -> None:
        """Characters."""
        if self._paragraphs and self._cell is not None and not self._skipped:
            self._add(piece)

    def _add(self, piece: str) -> None:
        self._runs.add(piece, raised=bool(self._raised) and self._raised[-1])

    def _end_cell(self, attributes: Attributes) -> None:
        copies = _copies(attributes, "table:number-columns-repeated")
        cell = _value(attributes, self._runs.cell())
        if cell is not None and cell.text:
            self._line.append((self._column, min(copies, limits.COLUMNS + 1), cell))
        columns = _copies(attributes, "table:number-columns-spanned")
        rows = _copies(attributes, "table:number-rows-spanned")
        if (columns, rows) != (1, 1) and len(self._merged) < limits.MERGED:
            bottom = self._row + min(rows, limits.MERGED_ROWS) - 1
            self._merged.append((self._row, self._column, bottom, self._column + columns - 1))
        self._column += copies

    def _end_row(self) -> None:
        if self._sheet is not None and self._line:
            for row in range(self._row, self._row + min(self._row_copies, limits.ROWS + 1)):
                for column, copies, cell in self._line:
                    for place in range(column, column + copies):
                        self._sheet.put(row, place, cell, hidden=self._hidden)
        self._row += self._row_copies


def _copies(attributes: Attributes, name: str) -> int:
    text = attributes.get(name, "1")
    return max(1, int(text)) if text.isdecimal() and len(text) <= 7 else 1


def _value(attributes: Attributes, shown: Cell) -> Cell | None:
    """What was typed into a cell, from its stored value and from the text it shows."""
    formula = _formula(attributes.get("table:formula", ""))
    kind = attributes.get("office:value-type", "")
    failed = shown.text.startswith(("#", "Err:")) or attributes.get("calcext:value-type") == "error"
    if formula and (failed or not kind):
        return failed_formula_cell(formula, shown.text)
    number = finite(attributes.get("office:value", ""))
    if kind == "percentage" and number is not None:
        return Cell(percent_text(number), (PERCENT,), (), (), formula)
    if kind in ("float", "currency") and number is not None:
        return Cell(number_text(number), (), (), (), formula)
    if kind == "boolean":
        return Cell(attributes.get("office:boolean-value", "").upper(), (), (), (), formula)
    if kind == "date" and (moment := _date(attributes.get("office:date-value", ""))) is not None:
        return date_cell(moment)
    if kind == "time" and (found := _DURATION.fullmatch(attributes.get("office:time-value", ""))):
        return time_cell(int(found[1]) * 3600 + int(found[2]) * 60)
    return shown._replace(formula=formula) if shown.text else None


def _date(text: str) -> date | None:
    try:
        return date.fromisoformat(text[:10])
    except ValueError:
        return None


def _formula(text: str) -> str:
    """A formula as a person would type it: ``of:=[.C3]/[.C4]`` becomes ``=C3/C4``."""
    _, equals, body = text[: limits.CELL_CHARS].partition("=")
    return f"={_FORMULA_REFERENCE.sub(lambda found: found[1].replace(':.', ':'), body)}" if equals else ""


ENTRY = Format(name="OpenDocument spreadsheet", suffixes=(".ods",), fits=_fits, read=_read)
