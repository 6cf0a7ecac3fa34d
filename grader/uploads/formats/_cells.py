"""Cells of a sheet while it is read: counted, kept by address, values turned into text as typed."""

from dataclasses import dataclass, field
from datetime import date, timedelta

from grader.uploads import limits
from grader.uploads.content.dates import date_cell, time_cell
from grader.uploads.content.document import Cell, Unreadable, typed
from grader.uploads.content.numbers import number_text, percent_text
from grader.uploads.formats._number_format import NumberFormat

PERCENT = "the spreadsheet shows this as a percentage"
HIDDEN_ROW = "it stood in a hidden row"
FORMAT_UNIT = "the unit comes from the cell's number format"
TOO_WIDE = f"cells beyond column {limits.COLUMNS} were not looked at"
MACROS = "it carries macros; none was run, and it should not be opened with macros allowed"
_LAST_DAY = 2_958_465
"""31 December 9999 as a day number."""


@dataclass(slots=True)
class Count:
    """How many cells one file has given so far, all sheets together."""

    cells: int = 0

    def one_more(self) -> None:
        """Count a cell.

        Raises
        ------
        Unreadable
            If there are too many.
        """
        self.cells += 1
        if self.cells > limits.CELLS:
            raise Unreadable(f"it holds more than {limits.CELLS} filled cells, so it was not read")


@dataclass(slots=True)
class Cells:
    """The filled cells of one sheet."""

    count: Count
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
