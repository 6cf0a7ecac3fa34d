"""Workbooks of Office Open XML (.xlsx), read part by part from the XML (ECMA-376, part 1, 18.2 to 18.8)."""

import posixpath
from collections.abc import Iterator
from datetime import date
from typing import NamedTuple
from xml.etree.ElementTree import Element

from grader.uploads import limits
from grader.uploads.content.document import Cell, Document, Unreadable
from grader.uploads.formats._cells import Cells, Count, NumberFormat, document, number_format, text_cell
from grader.uploads.formats._format import Format
from grader.uploads.formats._package import Package, is_package
from grader.uploads.formats._sheet import Shared, Sheet, runs_of
from grader.uploads.formats._xml import DAMAGED, elements


class _Relation(NamedTuple):
    id: str
    kind: str
    target: str


class Worksheet(NamedTuple):
    """A sheet of cells: its name, the part that holds it, and whether it is hidden."""

    name: str
    part: str
    hidden: bool


class Contents(NamedTuple):
    """Where the parts of a workbook lie, and its day zero."""

    workbook: str
    relations: tuple[_Relation, ...]
    worksheets: tuple[Worksheet, ...]
    first_day: date


def contents(package: Package) -> Contents:
    """What a workbook says of its parts, the worksheets in its own order.

    Raises
    ------
    Unreadable
        If it is damaged, or of the binary kind.
    """
    workbook = next((r.target for r in _relations(package, "") if r.kind == "officeDocument"), "xl/workbook.xml")
    if workbook.endswith(".bin"):
        raise Unreadable("it is a binary workbook (.xlsb); please save it as .xlsx")
    relations = _relations(package, workbook)
    worksheets, first_day = _sheets(package, workbook, relations)
    return Contents(workbook, relations, worksheets, first_day)


def _read(data: bytes) -> Document:
    package = Package(data)
    _, relations, worksheets, first_day = contents(package)
    shared = Shared(strings=_strings(package, relations), formats=_styles(package, relations), first_day=first_day)
    count, sheets = Count(), []
    for sheet in worksheets[: limits.SHEETS]:
        found = Sheet(shared, Cells(count, sheet.name, sheet.hidden))
        sheets.append(found.cells)
        for element in elements(package.pieces(sheet.part), "row", "mergeCell"):
            if element.tag == "row":
                found.row(element)
            else:
                found.merge(element.get("ref", ""))
    more = f"only the first {limits.SHEETS} of its {len(worksheets)} sheets were looked at"
    macros = any(name.endswith("vbaProject.bin") for name in package.names())
    return document(sheets, macros=macros, left_out=more if len(worksheets) > limits.SHEETS else "")


def _relations(package: Package, part: str) -> tuple[_Relation, ...]:
    """Where the parts that `part` speaks of lie; those outside the file are left out."""
    folder, name = posixpath.split(part)
    source = posixpath.join(folder, "_rels", f"{name}.rels")
    found: list[_Relation] = []
    if source in package:
        for element in elements(package.pieces(source), "Relationship"):
            if element.get("TargetMode") != "External":
                target = posixpath.normpath(posixpath.join("/", folder, element.get("Target", ""))).lstrip("/")
                found.append(_Relation(element.get("Id", ""), element.get("Type", "").rpartition("/")[2], target))
    return tuple(found)


def _sheets(package: Package, workbook: str, relations: tuple[_Relation, ...]) -> tuple[tuple[Worksheet, ...], date]:
    """The sheets in the workbook's order, and its day zero (1904 in files of old Macintosh programs)."""
    parts = {relation.id: relation.target for relation in relations if relation.kind == "worksheet"}
    sheets: list[Worksheet] = []
    first_day = date(1899, 12, 30)
    if workbook not in package:
        raise Unreadable(DAMAGED)
    for element in elements(package.pieces(workbook), "sheet", "workbookPr"):
        if element.tag == "sheet":
            relation = next((value for key, value in element.items() if key.endswith(":id")), "")
            if relation in parts:
                hidden = element.get("state", "visible") != "visible"
                sheets.append(Worksheet(element.get("name", ""), parts[relation], hidden))
        elif element.get("date1904") in ("1", "true"):
            first_day = date(1904, 1, 1)
    return tuple(sheets), first_day


def _strings(package: Package, relations: tuple[_Relation, ...]) -> list[Cell]:
    """The texts that the cells refer to by number."""
    cells: list[Cell] = []
    for element in _parts(package, relations, "sharedStrings", "si"):
        if len(cells) >= limits.CELLS:
            raise Unreadable(f"it holds more than {limits.CELLS} texts, so it was not opened")
        cells.append(text_cell(runs_of(element)))
    return cells


def _styles(package: Package, relations: tuple[_Relation, ...]) -> list[NumberFormat]:
    codes: dict[str, str] = {}
    styles: list[NumberFormat] = []
    of_cells = False
    for element in _parts(package, relations, "styles", "numFmt", "xf", opened=("cellStyleXfs", "cellXfs")):
        if element.tag == "numFmt":
            codes[element.get("numFmtId", "")] = element.get("formatCode", "")
        elif element.tag == "xf" and of_cells:
            id = element.get("numFmtId", "0")
            if len(styles) >= limits.STYLES:
                break
            styles.append(number_format(int(id) if id.isdecimal() and len(id) <= 6 else 0, codes.get(id)))
        elif element.tag != "xf":
            of_cells = element.tag == "cellXfs"
    return styles


def _parts(
    package: Package, relations: tuple[_Relation, ...], kind: str, *names: str, opened: tuple[str, ...] = ()
) -> Iterator[Element]:
    """The elements of these names in all parts of a kind."""
    for relation in relations:
        if relation.kind == kind and relation.target in package:
            yield from elements(package.pieces(relation.target), *names, opened=opened)


ENTRY = Format(
    name="workbook",
    suffixes=(".xlsx", ".xlsm"),
    fits=lambda data: is_package(data, b"xl/workbook", b"xl/worksheets"),
    read=_read,
)
