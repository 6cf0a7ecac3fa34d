"""Spreadsheets of OpenDocument (.ods), read from their XML (ISO/IEC 26300-1, chapters 9 and 19)."""

from collections.abc import Iterator
from datetime import date
from xml.etree.ElementTree import Element

from grader.regex import regex
from grader.uploads import limits
from grader.uploads.content.dates import date_cell, time_cell
from grader.uploads.content.document import Cell, Document, Unreadable
from grader.uploads.content.numbers import finite, number_text, percent_text
from grader.uploads.formats._cells import PERCENT, Cells, Count, document, failed_formula_cell, text_cell
from grader.uploads.formats._format import Format
from grader.uploads.formats._package import Package, is_package
from grader.uploads.formats._xml import elements

_KIND = b"application/vnd.oasis.opendocument.spreadsheet"
_OTHER_KINDS = b"application/vnd.oasis"
_CONTENT, _MANIFEST = "content.xml", "META-INF/manifest.xml"
_FORMULA_REFERENCE = regex(r"\[\.?([^\]]*)\]")
_DURATION = regex(r"PT(\d{1,6})H(\d{1,2})M[\d.,]*S?")
_RAISED = regex(r"super|0*[1-9][0-9.]*%")
_NOT_CELL_TEXT = {"annotation", "note", "ruby-text", "shapes"}


def _fits(data: bytes) -> bool:
    """By the kind that stands first in such a file; another program may have packed it again without that."""
    return is_package(data, _KIND) or (is_package(data, b"content.xml") and not is_package(data, _OTHER_KINDS))


def _read(data: bytes) -> Document:
    package = Package(data)
    if _MANIFEST in package and any(True for _ in elements(package.pieces(_MANIFEST), "encryption-data")):
        raise Unreadable("it is protected by a password; please send it without one")
    content = _Content()
    for element in elements(package.pieces(_CONTENT), "style", "table-row", opened=("table",)):
        content.take(element)
    macros = any(name.startswith(("Basic/", "Scripts/")) for name in package.names())
    more = f"only the first {limits.SHEETS} of its sheets were looked at"
    return document(content.sheets, macros=macros, left_out=more if content.left_out else "")


class _Content:
    """Collects the sheets of a document from its styles, tables and rows."""

    def __init__(self) -> None:
        self.sheets: list[Cells] = []
        self.left_out = False
        self._next = 0
        self._count = Count()
        self._raised: set[str] = set()

    def take(self, element: Element) -> None:
        """Take a style, the start of a table, or a row."""
        if element.tag == "style":
            text = element.find("text-properties")
            if text is not None and _RAISED.match(text.get("style:text-position", "")):
                self._raised.add(element.get("style:name", ""))
        elif element.tag == "table":
            self.left_out = len(self.sheets) >= limits.SHEETS
            if not self.left_out:
                self.sheets.append(Cells(self._count, element.get("table:name", "")))
                self._next = 0
        elif self.sheets and not self.left_out:
            self._row(self.sheets[-1], element)

    def _row(self, sheet: Cells, row: Element) -> None:
        copies = _copies(row, "table:number-rows-repeated")
        hidden = row.get("table:visibility", "visible") != "visible"
        line: list[tuple[int, int, Cell]] = []
        column = 0
        for element in row:
            if element.tag not in ("table-cell", "covered-table-cell"):
                continue
            cell = _value(element, text_cell(self._text(element)))
            across = _copies(element, "table:number-columns-repeated")
            if cell is not None and cell.text:
                line.append((column, min(across, limits.COLUMNS + 1), cell))
            columns = _copies(element, "table:number-columns-spanned")
            rows = _copies(element, "table:number-rows-spanned")
            if (columns, rows) != (1, 1):
                sheet.merge(self._next, column, self._next + rows - 1, column + columns - 1)
            column += across
        if line:
            for below in range(self._next, self._next + min(copies, limits.ROWS + 1)):
                for left, across, cell in line:
                    for place in range(left, left + across):
                        sheet.put(below, place, cell, hidden=hidden)
        self._next += copies

    def _text(self, cell: Element) -> Iterator[tuple[bool, str]]:
        for number, paragraph in enumerate(cell.iterfind("p")):
            if number:
                yield False, "\n"
            yield from self._runs(paragraph, raised=False)

    def _runs(self, element: Element, *, raised: bool) -> Iterator[tuple[bool, str]]:
        """Whether raised, and the characters, of everything in a paragraph that is shown."""
        yield raised, element.text or ""
        for part in element:
            if part.tag == "s":
                yield raised, " " * min(_copies(part, "text:c"), limits.CELL_CHARS)
            elif part.tag in ("tab", "line-break"):
                yield raised, "\t" if part.tag == "tab" else "\n"
            elif part.tag == "span":
                yield from self._runs(part, raised=part.get("text:style-name", "") in self._raised)
            elif part.tag not in _NOT_CELL_TEXT:
                yield from self._runs(part, raised=raised)
            yield raised, part.tail or ""


def _copies(element: Element, name: str) -> int:
    text = element.get(name, "1")
    return max(1, int(text)) if text.isdecimal() and len(text) <= 7 else 1


def _value(element: Element, shown: Cell) -> Cell | None:
    """What was typed into a cell, from its stored value and from the text it shows."""
    formula = _formula(element.get("table:formula", ""))
    kind = element.get("office:value-type", "")
    failed = shown.text.startswith(("#", "Err:")) or element.get("calcext:value-type") == "error"
    if formula and (failed or not kind):
        return failed_formula_cell(formula, shown.text)
    number = finite(element.get("office:value", ""))
    if kind == "percentage" and number is not None:
        return Cell(percent_text(number), (PERCENT,), (), (), formula)
    if kind in ("float", "currency") and number is not None:
        return Cell(number_text(number), (), (), (), formula)
    if kind == "boolean":
        return Cell(element.get("office:boolean-value", "").upper(), (), (), (), formula)
    if kind == "date" and (moment := _date(element.get("office:date-value", ""))) is not None:
        return date_cell(moment)
    if kind == "time" and (found := _DURATION.fullmatch(element.get("office:time-value", ""))):
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
