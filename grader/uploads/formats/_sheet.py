"""The rows of one worksheet of a workbook, turned into cells (ECMA-376, part 1, 18.3.1)."""

from collections.abc import Iterator
from datetime import date
from xml.etree.ElementTree import Element

from msgspec import Struct

from grader.regex import regex
from grader.uploads.content.dates import date_cell
from grader.uploads.content.document import Cell, Unreadable, typed
from grader.uploads.content.numbers import finite
from grader.uploads.formats._cells import Cells, NumberFormat, failed_formula_cell, number_cell, text_cell
from grader.uploads.formats._xml import DAMAGED

_ADDRESS = regex(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7})")
_PLAIN = NumberFormat()


class Shared(Struct, frozen=True, kw_only=True):
    """What the sheets of a workbook share: texts, number formats by style, day zero."""

    strings: list[Cell]
    formats: list[NumberFormat]
    first_day: date


def runs_of(text: Element) -> Iterator[tuple[bool, str]]:
    """Whether raised, and the characters, of every run of a text; how it is pronounced is left out."""
    for part in text:
        if part.tag == "t":
            yield False, part.text or ""
        elif part.tag == "r":
            position = part.find("rPr/vertAlign")
            yield position is not None and position.get("val") == "superscript", part.findtext("t", "")


class Sheet(Struct):
    """Fills the cells of one sheet by its rows; kept by address, so that a far cell costs no more."""

    shared: Shared
    cells: Cells
    _row: int = -1

    def row(self, row: Element) -> None:
        """Take a row with its cells."""
        number = row.get("r", "")
        self._row = int(number) - 1 if number.isdecimal() and len(number) <= 7 else self._row + 1
        hidden, column = row.get("hidden") in ("1", "true"), -1
        for element in row.iterfind("c"):
            place = element.get("r")
            self._row, column = (self._row, column + 1) if place is None else address(place)
            if (cell := self._cell(element)) is not None:
                self.cells.put(self._row, column, cell, hidden=hidden)

    def merge(self, reference: str) -> None:
        """Take a merged range such as ``A1:B3``."""
        first, _, last = reference.partition(":")
        self.cells.merge(*address(first), *address(last or first))

    def _cell(self, element: Element) -> Cell | None:
        """What one cell holds; None where nothing is in it."""
        kind, value = element.get("t", "n"), element.findtext("v", "")
        if kind == "s":
            return self._string(value.strip())
        inside = element.find("is")
        if inside is not None and not value:
            return text_cell(runs_of(inside))
        formula = f"={text}" if (text := element.findtext("f", "")) else ""
        if kind == "e":
            return failed_formula_cell(formula, value.strip())
        if not value:
            return failed_formula_cell(formula, "") if formula and kind != "str" else None
        if kind == "b":
            return Cell("FALSE" if value.strip() == "0" else "TRUE")
        if kind == "n" and (number := finite(value)) is not None:
            return number_cell(number, self._format(element), formula=formula, first_day=self.shared.first_day)
        if kind == "d":
            try:
                return date_cell(date.fromisoformat(value[:10]))
            except ValueError:
                return typed(value)
        return typed(value, (), formula)

    def _string(self, number: str) -> Cell | None:
        if not number:
            return None
        if not number.isdecimal() or len(number) > 7 or int(number) >= len(self.shared.strings):
            raise Unreadable(DAMAGED)
        return self.shared.strings[int(number)]

    def _format(self, element: Element) -> NumberFormat:
        style, formats = element.get("s", "0"), self.shared.formats
        known = style.isdecimal() and len(style) <= 6 and int(style) < len(formats)
        return formats[int(style)] if known else _PLAIN


def address(text: str) -> tuple[int, int]:
    """Row and column, from 0, of ``C7``."""
    found = _ADDRESS.fullmatch(text)
    if found is None or found[2].strip("0") == "":
        raise Unreadable(DAMAGED)
    column = 0
    for letter in found[1].upper():
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(found[2]) - 1, column - 1
