"""Workbooks of Office Open XML (.xlsx), read part by part from the XML (ECMA-376, part 1, 18.2 to 18.8).

The parts are read here and not by a spreadsheet library because an answer often survives only in what such libraries
drop: superscripts (``e`` with a raised ``-500t``), the formula behind ``#NAME?``, the percent sign and the unit of a
number format.  Cells are kept by address, so that a cell in the last row of the last column costs no more than any other.
"""

from __future__ import annotations

import posixpath
from datetime import date
from typing import NamedTuple

from grader.uploads import limits
from grader.uploads.content.document import Cell, Document, Table, Unreadable
from grader.uploads.formats._cells import MACROS, TOO_WIDE, Count
from grader.uploads.formats._format import Format
from grader.uploads.formats._number_format import NumberFormat, number_format
from grader.uploads.formats._package import Package, is_package
from grader.uploads.formats._sheet import Shared, SheetScan
from grader.uploads.formats._strings import SharedStrings
from grader.uploads.formats._xml import DAMAGED, Attributes, scan


class _Relation(NamedTuple):
    id: str
    kind: str
    target: str


class _Sheet(NamedTuple):
    name: str
    relation: str
    hidden: bool


def _read(data: bytes) -> Document:
    package = Package(data)
    faults = [MACROS] if any(name.endswith("vbaProject.bin") for name in package.names()) else []
    workbook = next((r.target for r in _relations(package, "") if r.kind == "officeDocument"), "xl/workbook.xml")
    if workbook.endswith(".bin"):
        raise Unreadable("it is a binary workbook (.xlsb); please save it as .xlsx")
    sheets, first_day = _sheets(package, workbook)
    relations = _relations(package, workbook)
    by_id = {relation.id: relation for relation in relations if relation.kind == "worksheet"}
    shared = Shared(strings=_strings(package, relations), formats=_styles(package, relations), first_day=first_day)
    worksheets = [sheet for sheet in sheets if sheet.relation in by_id]
    if len(worksheets) > limits.SHEETS:
        faults.append(f"only the first {limits.SHEETS} of its {len(worksheets)} sheets were looked at")
    count, tables, too_wide = Count(), [], False
    for sheet in worksheets[: limits.SHEETS]:
        found = SheetScan(shared, count)
        scan(package.pieces(by_id[sheet.relation].target), found.start, found.end, found.text)
        too_wide = too_wide or found.cells.too_wide
        tables.append(Table(name=sheet.name, cells=found.cells.kept, merged=tuple(found.merged), hidden=sheet.hidden))
    return Document(tables=tuple(tables), faults=(*faults, *((TOO_WIDE,) if too_wide else ())))


def _relations(package: Package, part: str) -> tuple[_Relation, ...]:
    """Where the parts that `part` speaks of lie; those outside the file are left out."""
    folder, name = posixpath.split(part)
    source = posixpath.join(folder, "_rels", f"{name}.rels")
    found: list[_Relation] = []

    def start(name: str, attributes: Attributes) -> None:
        if name == "Relationship" and attributes.get("TargetMode") != "External":
            target = posixpath.normpath(posixpath.join("/", folder, attributes.get("Target", ""))).lstrip("/")
            found.append(_Relation(attributes.get("Id", ""), attributes.get("Type", "").rpartition("/")[2], target))

    if source in package:
        scan(package.pieces(source), start, _nothing)
    return tuple(found)


def _sheets(package: Package, workbook: str) -> tuple[list[_Sheet], date]:
    """The sheets in the workbook's order, and its day zero (1904 in files of old Macintosh programs)."""
    sheets: list[_Sheet] = []
    first_day = date(1899, 12, 30)

    def start(name: str, attributes: Attributes) -> None:
        nonlocal first_day
        if name == "sheet":
            relation = next((value for key, value in attributes.items() if key.endswith(":id")), "")
            hidden = attributes.get("state", "visible") != "visible"
            sheets.append(_Sheet(attributes.get("name", ""), relation, hidden))
        elif name == "workbookPr" and attributes.get("date1904") in ("1", "true"):
            first_day = date(1904, 1, 1)

    if workbook not in package:
        raise Unreadable(DAMAGED)
    scan(package.pieces(workbook), start, _nothing)
    return sheets, first_day


def _strings(package: Package, relations: tuple[_Relation, ...]) -> list[Cell]:
    strings = SharedStrings()
    for relation in relations:
        if relation.kind == "sharedStrings" and relation.target in package:
            scan(package.pieces(relation.target), strings.start, strings.end, strings.text)
    return strings.cells


def _styles(package: Package, relations: tuple[_Relation, ...]) -> list[NumberFormat]:
    """The number format of every cell style."""
    codes: dict[str, str] = {}
    styles: list[NumberFormat] = []
    within = False

    def start(name: str, attributes: Attributes) -> None:
        nonlocal within
        if name == "numFmt":
            codes[attributes.get("numFmtId", "")] = attributes.get("formatCode", "")
        elif name == "cellXfs":
            within = True
        elif name == "xf" and within:
            id = attributes.get("numFmtId", "0")
            styles.append(number_format(int(id) if id.isdecimal() and len(id) <= 6 else 0, codes.get(id)))

    def end(name: str) -> None:
        nonlocal within
        if name == "cellXfs":
            within = False

    for relation in relations:
        if relation.kind == "styles" and relation.target in package:
            scan(package.pieces(relation.target), start, end)
    return styles


def _nothing(_: str) -> None:
    """No end of an element matters here."""


ENTRY = Format(
    name="workbook",
    suffixes=(".xlsx", ".xlsm"),
    fits=lambda data: is_package(data, b"xl/workbook", b"xl/worksheets"),
    read=_read,
)
