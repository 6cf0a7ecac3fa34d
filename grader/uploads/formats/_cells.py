"""Cells of a sheet while it is read: counted, kept by address; values, raised text and numbers in their formats turned into text as typed."""

import re
from collections.abc import Iterable
from datetime import date, timedelta
from functools import lru_cache
from itertools import groupby

from msgspec import Struct, field

from grader.regex import regex
from grader.uploads import limits
from grader.uploads.content.dates import date_cell, time_cell
from grader.uploads.content.document import Cell, Document, Table, Unreadable, typed
from grader.uploads.content.numbers import number_text, percent_text

_DATES = {14, 15, 16, 17, 22, *range(27, 32), 34, 35, 36, *range(50, 55), 57, 58}
_TIMES = {18, 19, 20, 21, 32, 33, 45, 46, 47, 55, 56}
_PERCENTS = {9, 10}
_MONTH_YEAR = 17
"""Number formats that have no code in the file."""

_NOT_PLACES = regex(r'"[^"]*"|\\.|_.|\*.|\[(?![hms]+\])[^\]]*\]', re.IGNORECASE)
_BEHIND = regex(r'[0#?]((?:"[^"]*"|\\.|\s)+)$')
"""Text in quotation marks, or with a backslash before each letter, behind the last digit's place."""


class NumberFormat(Struct, frozen=True):
    """Whether a number is shown as a percentage, a date (with its day?) or a time, and the unit written behind it."""

    percent: bool = False
    date: bool = False
    day: bool = True
    time: bool = False
    unit: str = ""


@lru_cache(maxsize=512)
def number_format(id: int, code: str | None = None) -> NumberFormat:
    """Understand a number format by its number and, where the file gives one, its code (ECMA-376, part 1, 18.8.30 and 18.8.31).

    Examples
    --------
    >>> number_format(16).date, number_format(164, "0.00%").percent, number_format(165, '0.0" mA"').unit
    (True, True, 'mA')
    """
    if code is None:
        return NumberFormat(percent=id in _PERCENTS, date=id in _DATES, day=id != _MONTH_YEAR, time=id in _TIMES)
    first = code[:255].split(";")[0]
    places = _NOT_PLACES.sub("", first).casefold()
    if "general" in places:
        return NumberFormat()
    dated = any(letter in places for letter in "yd") or ("m" in places and not any(letter in places for letter in "hs"))
    timed = not dated and any(letter in places for letter in "hs")
    behind = _BEHIND.search(first)
    unit = re.sub(r'["\\]', "", behind[1]).strip() if behind else ""
    return NumberFormat(percent="%" in places, date=dated, day="d" in places, time=timed, unit=unit)


RAISED = "raised text was read as an exponent"
_ESCAPE = regex("_x([0-9A-Fa-f]{4})_")
_SIGNS = {"+", "-", "−", "–", ""}
"""Raised signs alone stand at an instant, as in i(0⁺); they are no exponents."""


def text_cell(runs: Iterable[tuple[bool, str]]) -> Cell:
    """The cell of a text whose runs are raised or not; raised ones are exponents and must not become ordinary text."""
    text, noted = "", False
    for raised, group in groupby(runs, key=lambda run: run[0]):
        run = _unescaped("".join(piece for _, piece in group))
        if raised and run.strip() not in _SIGNS:
            noted = True
            run = _exponent(text, run.strip())
        text += run
    return typed(text, (RAISED,) if noted else ())


def _exponent(before: str, raised: str) -> str:
    power = raised if raised.startswith("(") and raised.endswith(")") else f"({raised})"
    return power if before.rstrip().endswith("^") else f"^{power}"


def _unescaped(text: str) -> str:
    """Undo ``_x000D_`` and give line ends one form (ECMA-376, part 1, 22.9.2.19)."""
    if "_x" in text:
        text = _ESCAPE.sub(lambda found: chr(int(found[1], 16)), text)
        text = text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    return text.replace("\r\n", "\n").replace("\r", "\n")


PERCENT = "the spreadsheet shows this as a percentage"
HIDDEN_ROW = "it stood in a hidden row"
FORMAT_UNIT = "the unit comes from the cell's number format"
TOO_WIDE = f"cells beyond column {limits.COLUMNS} were not looked at"
MACROS = "it carries macros; none was run, and it should not be opened with macros allowed"
_LAST_DAY = 2_958_465
"""31 December 9999 as a day number."""


class Count(Struct):
    """How many cells one file has given so far, all sheets together."""

    cells: int = 0

    def one_more(self) -> None:
        """Count a cell; `Unreadable` if there are too many."""
        self.cells += 1
        if self.cells > limits.CELLS:
            raise Unreadable(f"it holds more than {limits.CELLS} filled cells, so it was not read")


class Cells(Struct):
    """The filled cells of one sheet, and its merged ranges."""

    count: Count
    name: str = ""
    hidden: bool = False
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    kept: dict[tuple[int, int], Cell] = field(default_factory=dict)
    too_wide: bool = False
    _rows: set[int] = field(default_factory=set)

    def put(self, row: int, column: int, cell: Cell, *, hidden: bool = False) -> None:
        """Keep a cell, unless it lies beyond the last column looked at."""
        if not cell.text:
            return
        if column >= limits.COLUMNS:
            self.too_wide = True
            return
        self.count.one_more()
        self._rows.add(row)
        if len(self._rows) > limits.ROWS:
            raise Unreadable(f"a sheet has more than {limits.ROWS} filled rows, so it was not read")
        self.kept[row, column] = cell._replace(notes=(*cell.notes, HIDDEN_ROW)) if hidden else cell

    def merge(self, top: int, left: int, bottom: int, right: int) -> None:
        """Keep a merged range, as far down as such ranges are looked at."""
        if len(self.merged) < limits.MERGED:
            self.merged.append((top, left, min(bottom, top + limits.MERGED_ROWS), right))


def document(sheets: Iterable[Cells], *, macros: bool, left_out: str = "") -> Document:
    """The sheets of a file as tables, and what a person must know of them."""
    sheets = tuple(sheets)
    said = ((macros, MACROS), (bool(left_out), left_out), (any(sheet.too_wide for sheet in sheets), TOO_WIDE))
    return Document(
        tables=tuple(Table(name=s.name, cells=s.kept, merged=tuple(s.merged), hidden=s.hidden) for s in sheets),
        faults=tuple(sentence for fact, sentence in said if fact),
    )


def number_cell(value: float, form: NumberFormat, *, formula: str = "", first_day: date = date(1899, 12, 30)) -> Cell:
    """Turn a stored number into what was typed, as far as its format tells.

    Parameters
    ----------
    value : float
        As stored.
    form : NumberFormat
        Of the cell.
    formula : str
        What it was computed from, with its equals sign.
    first_day : date
        Day zero of the workbook.
    """
    if form.date and 1 <= value <= _LAST_DAY:
        return date_cell(first_day + timedelta(days=int(value)), day_shown=form.day)
    if form.time and 0 <= value <= _LAST_DAY:
        return time_cell(round(value * 86400))
    if form.percent:
        return Cell(percent_text(value), (PERCENT,), formula=formula, stored=True)
    if form.unit:
        return Cell(f"{number_text(value)} {form.unit}", (FORMAT_UNIT,), formula=formula, stored=True)
    return Cell(number_text(value), formula=formula, stored=True)


def failed_formula_cell(formula: str, error: str) -> Cell:
    """Say what a cell that shows ``#NAME?`` or nothing holds: the text that the program took for a formula."""
    if not formula:
        return typed(error, ("the spreadsheet stored an error here and not what was typed",))
    shown = f"shows {error} here" if error else "stored no value here"
    return typed(formula.removeprefix("="), (f"the spreadsheet {shown}; what was typed was read instead",))
