"""The events of one worksheet of a workbook, turned into cells (ECMA-376, part 1, 18.3.1)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from grader.uploads import limits
from grader.uploads.content.dates import date_cell
from grader.uploads.content.document import Cell, Unreadable, typed
from grader.uploads.content.numbers import finite
from grader.uploads.formats._cells import Cells, Count, failed_formula_cell, number_cell
from grader.uploads.formats._number_format import NumberFormat
from grader.uploads.formats._strings import Runs
from grader.uploads.formats._xml import DAMAGED, Attributes

_ADDRESS = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7})")
_PLAIN = NumberFormat()


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """What the sheets of a workbook share: texts, number formats by style, day zero."""

    strings: list[Cell]
    formats: list[NumberFormat]
    first_day: date


def address(text: str) -> tuple[int, int]:
    """Row and column, from 0, of ``C7``.

    Raises
    ------
    Unreadable
        If that is no address.
    """
    found = _ADDRESS.fullmatch(text)
    if found is None or found[2].strip("0") == "":
        raise Unreadable(DAMAGED)
    column = 0
    for letter in found[1].upper():
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(found[2]) - 1, column - 1


class SheetScan:
    """Collects the cells and merged ranges of one sheet; feed it the events of its part."""

    def __init__(self, shared: Shared, count: Count) -> None:
        self.cells = Cells(count)
        self.merged: list[tuple[int, int, int, int]] = []
        self._shared = shared
        self._row, self._column = -1, -1
        self._hidden = False
        self._kind, self._style = "n", 0
        self._within = ""
        self._value: list[str] = []
        self._formula: list[str] = []
        self._runs: Runs | None = None

    def start(self, name: str, attributes: Attributes) -> None:
        """An element opens."""
        if name == "c":
            self._begin_cell(attributes)
        elif name in ("v", "f"):
            self._within = name
        elif name == "row":
            number = attributes.get("r", "")
            self._row = int(number) - 1 if number.isdecimal() and len(number) <= 7 else self._row + 1
            self._column = -1
            self._hidden = attributes.get("hidden") in ("1", "true")
        elif name == "is":
            self._runs = Runs()
        elif name == "mergeCell":
            self._merge(attributes.get("ref", ""))
        elif self._runs is not None:
            self._runs.start(name, attributes)

    def end(self, name: str) -> None:
        """An element closes."""
        if name in ("v", "f"):
            self._within = ""
        elif name == "c":
            cell = self._cell()
            if cell is not None:
                self.cells.put(self._row, self._column, cell, hidden=self._hidden)
            self._runs = None
        elif self._runs is not None and name != "is":
            self._runs.end(name)

    def text(self, piece: str) -> None:
        """Characters; a value longer than a cell may be is cut, with a doubt on its cell."""
        if self._within:
            kept = self._value if self._within == "v" else self._formula
            if sum(map(len, kept)) <= limits.CELL_CHARS:
                kept.append(piece)
        elif self._runs is not None:
            self._runs.text(piece)

    def _begin_cell(self, attributes: Attributes) -> None:
        place = attributes.get("r")
        if place is None:
            self._column += 1
        else:
            self._row, self._column = address(place)
        self._kind = attributes.get("t", "n")
        style = attributes.get("s", "0")
        self._style = int(style) if style.isdecimal() and len(style) <= 6 else 0
        self._value, self._formula = [], []

    def _merge(self, reference: str) -> None:
        if len(self.merged) < limits.MERGED:
            first, _, last = reference.partition(":")
            (top, left), (bottom, right) = address(first), address(last or first)
            self.merged.append((top, left, min(bottom, top + limits.MERGED_ROWS), right))

    def _cell(self) -> Cell | None:
        """The cell just closed; None where nothing is in it."""
        value = "".join(self._value)
        formula = f"={''.join(self._formula)}" if self._formula else ""
        kind = self._kind
        if kind == "s":
            return self._string(value)
        if kind == "inlineStr" or (self._runs is not None and not value):
            return self._runs.cell() if self._runs is not None else None
        if kind == "e":
            return failed_formula_cell(formula, value.strip())
        if not value:
            return failed_formula_cell(formula, "") if formula and kind != "str" else None
        if kind == "b":
            return Cell("FALSE" if value.strip() == "0" else "TRUE")
        number = finite(value) if kind == "n" else None
        if number is not None:
            return number_cell(number, self._format(), formula=formula, first_day=self._shared.first_day)
        if kind == "d":
            try:
                return date_cell(date.fromisoformat(value[:10]))
            except ValueError:
                return typed(value)
        return typed(value, (), formula)

    def _string(self, value: str) -> Cell | None:
        number = value.strip()
        if not number:
            return None
        if not number.isdecimal() or len(number) > 7 or int(number) >= len(self._shared.strings):
            raise Unreadable(DAMAGED)
        return self._shared.strings[int(number)]

    def _format(self) -> NumberFormat:
        formats = self._shared.formats
        return formats[self._style] if self._style < len(formats) else _PLAIN
