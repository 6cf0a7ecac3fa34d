"""A worksheet whose cells are known by their places in its XML, so that one can be changed and no other."""

import re
from bisect import bisect_left
from collections.abc import Mapping
from typing import NamedTuple
from xml.parsers import expat

from grader.reports.into.delimited import number_text
from grader.uploads.content.document import Table, Unreadable, column_letters
from grader.uploads.formats._package import Package
from grader.uploads.formats._sheet import address
from grader.uploads.formats._xml import DAMAGED
from grader.uploads.formats.xlsx import contents

_TAG = re.compile(rb"""<(?:[^>"']|"[^"]*"|'[^']*')*>""")
_TYPE = re.compile(rb"""\s+t\s*=\s*(?:"[^"]*"|'[^']*')""")
_CALCULATION = re.compile(rb"""(<(?:\w+:)?calcPr\b)((?:[^>"']|"[^"]*"|'[^']*')*?)(\s*/?>)""")
_FULL = re.compile(rb"""\s+fullCalcOnLoad\s*=\s*(?:"[^"]*"|'[^']*')""")


class Place(NamedTuple):
    """Bytes from ``start`` up to ``end``, and what stands in them."""

    start: int
    end: int
    formula: bool = False


class Worksheet:
    """One sheet of a workbook."""

    def __init__(self, package: Package, part: str, table: Table) -> None:
        self.name = table.name
        self._package, self._part, self._table = package, part, table
        self.cells = {place: cell.text.strip() for place, cell in table.cells.items()}
        self._xml = b"".join(package.pieces(part))
        self._places = _Places(self._xml)

    def locked(self, row: int, column: int) -> str:
        """Why a cell cannot be filled; "" where it can."""
        place = self._places.cells.get((row, column))
        if place is not None and place.formula:
            return "a formula stands in the cell"
        for top, left, bottom, right in self._table.merged:
            if top <= row <= bottom and left <= column <= right and (row, column) != (top, left):
                return "the cell is merged with another"
        return ""

    def filled(self, values: Mapping[tuple[int, int], float]) -> bytes:
        """The workbook with other values in some cells; every other part and cell as it was."""
        pieces, done = [], 0
        for (row, column), value in sorted(values.items()):
            place = self._places.cells.get((row, column))
            name, tag = self._places.prefix, b""
            if place is not None:
                tag = _tag_at(self._xml, place.start)
                opening = _TYPE.sub(b"", tag.rstrip(b">").rstrip(b"/").rstrip())
            else:
                place = self._places.gap(row, column)
                style = self._places.styles.get(column, "")
                opening = f'<{name}c r="{column_letters(column)}{row + 1}"{style}'.encode()
            cell = opening + f"><{name}v>{number_text(value)}</{name}v></{name}c>".encode()
            pieces += [self._xml[done : place.start], cell]
            done = place.end
        changed = {self._part: b"".join([*pieces, self._xml[done:]])}
        return self._package.copy(changed | self._calculated_anew())

    def _calculated_anew(self) -> dict[str, bytes]:
        """The workbook's part, told to work out formulas when it is opened; nothing where it says nothing of that."""
        part = contents(self._package).workbook
        text = b"".join(self._package.pieces(part))
        found = _CALCULATION.search(text)
        if found is None:
            return {}
        asked = found[1] + _FULL.sub(b"", found[2]) + b' fullCalcOnLoad="1"' + found[3]
        return {part: text[: found.start()] + asked + text[found.end() :]}


class _Places:
    """Where rows and cells stand in a sheet's XML."""

    def __init__(self, xml: bytes) -> None:
        self.cells: dict[tuple[int, int], Place] = {}
        self.styles: dict[int, str] = {}
        self.prefix = ""
        self._xml, self._columns = xml, dict[int, list[int]]()
        self._ends: dict[int, int] = {}
        self._row = self._column = -1
        self._start = 0
        self._formula = False
        if not xml.isascii() and xml.startswith((b"\xff\xfe", b"\xfe\xff")):
            raise Unreadable("its sheet is written in UTF-16; save it once more as .xlsx")
        self._parser = parser = expat.ParserCreate()
        parser.StartElementHandler, parser.EndElementHandler = self._on_start, self._on_end
        parser.StartDoctypeDeclHandler = _refuse
        try:
            parser.Parse(xml, True)
        except (expat.ExpatError, ValueError, LookupError):
            raise Unreadable(DAMAGED) from None

    def gap(self, row: int, column: int) -> Place:
        """Where a cell that is not there belongs: before the next one of its row, or at the row's end."""
        columns = self._columns.get(row, [])
        at = bisect_left(columns, column)
        start = self.cells[row, columns[at]].start if at < len(columns) else self._ends[row]
        return Place(start, start)

    def _on_start(self, name: str, attributes: dict[str, str]) -> None:
        prefix, _, bare = name.rpartition(":")
        if bare == "row":
            number = attributes.get("r", "")
            self._row = int(number) - 1 if number.isdecimal() and len(number) <= 7 else self._row + 1
            self._column = -1
            self.prefix = f"{prefix}:" if prefix else ""
        elif bare == "c":
            place = attributes.get("r")
            self._row, self._column = (self._row, self._column + 1) if place is None else address(place)
            self._start, self._formula = self._parser.CurrentByteIndex, False
        elif bare == "f":
            self._formula = True
        elif bare == "col" and "style" in attributes:
            first, last = (attributes.get(key, "") for key in ("min", "max"))
            if first.isdecimal() and last.isdecimal() and attributes["style"].isdecimal():
                style = f' s="{attributes["style"]}"'
                self.styles.update(dict.fromkeys(range(int(first) - 1, min(int(last), 16_384)), style))

    def _on_end(self, name: str) -> None:
        bare = name.rpartition(":")[2]
        if bare == "c":
            opening, at = _tag_at(self._xml, self._start), self._parser.CurrentByteIndex
            empty = opening.endswith(b"/>")
            end = self._start + len(opening) if empty else at + len(_tag_at(self._xml, at))
            self.cells[self._row, self._column] = Place(self._start, end, self._formula)
            self._columns.setdefault(self._row, []).append(self._column)
        elif bare == "row":
            self._ends[self._row] = self._parser.CurrentByteIndex


def _tag_at(xml: bytes, at: int) -> bytes:
    found = _TAG.match(xml, at)
    if found is None:
        raise Unreadable(DAMAGED)
    return found[0]


def _refuse(*_: object) -> None:
    raise Unreadable(DAMAGED)
