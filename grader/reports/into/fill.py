"""Points filled into a copy of a table that has the students' ids in a column; every row that is not filled is told."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple, Protocol

from grader.errors import UsageError
from grader.reports.into.delimited import DELIMITERS, Delimited
from grader.reports.into.workbook import Worksheet
from grader.uploads.content.document import Unreadable
from grader.uploads.escaping import restored
from grader.uploads.formats import read_document
from grader.uploads.formats._package import Package
from grader.uploads.formats.xlsx import contents
from grader.uploads.names import folded, tokens

Points = Mapping[str, float | None]
"""By student id; None for who handed nothing in."""

ROWS_NAMED = 40
"""Rows named one by one in a sentence; beyond, they are counted."""


class Sheet(Protocol):
    """A table that can be filled."""

    @property
    def cells(self) -> Mapping[tuple[int, int], str]:
        """What stands in it, by row and column from 0."""

    def locked(self, row: int, column: int) -> str:
        """Why a cell cannot be filled; "" where it can."""

    def filled(self, values: Mapping[tuple[int, int], float]) -> bytes:
        """The whole file with these values."""


class Headed(NamedTuple):
    """A table whose heading row has the columns to be filled."""

    sheet: Sheet
    row: int
    columns: Mapping[str, int]


class Filled(NamedTuple):
    """The file, how many cells were filled, and a sentence for whatever was not."""

    content: bytes
    cells: int
    told: tuple[str, ...]


def headed(name: str, data: bytes, headings: Sequence[str]) -> Headed:
    """Find the columns of these headings in a .csv or .xlsx table.

    Raises
    ------
    UsageError
        If it cannot be read, or no row or more than one has all these headings: what is there instead.
    """
    try:
        sheets = [*_sheets(name, data)]
    except Unreadable as refusal:
        raise UsageError(f"{name}: the table cannot be filled: {refusal}.") from None
    wanted = [folded(heading) for heading in headings]
    found = []
    for sheet in sheets:
        rows: dict[int, dict[str, list[int]]] = {}
        for (row, column), text in sheet.cells.items():
            if folded(text) in wanted:
                rows.setdefault(row, {}).setdefault(folded(text), []).append(column)
        found += [(sheet, row, places) for row, places in rows.items() if len(places) == len(set(wanted))]
    called = " and ".join(f"'{heading}'" for heading in headings)
    if not found:
        raise UsageError(f"{name}: no row has the heading {called}; the first row reads: {_first_row(sheets)}.")
    if len(found) > 1 or any(len(columns) > 1 for columns in found[0][2].values()):
        raise UsageError(f"{name}: {called} stands in more than one place; give the column a heading of its own.")
    sheet, row, places = found[0]
    return Headed(sheet, row, {heading: places[folded(heading)][0] for heading in headings})


def _sheets(name: str, data: bytes) -> Iterator[Sheet]:
    if name.lower().endswith((".xlsx", ".xlsm")):
        tables = read_document(name, data).tables
        package = Package(data)
        for table, sheet in zip(tables, contents(package).worksheets, strict=False):
            yield Worksheet(package, sheet.part, table)
    elif name.lower().endswith((".csv", ".tsv", ".txt")):
        # Which delimiter it is shows by the headings found; a table without any of them has one column.
        yield from (Delimited(data, one) for one in DELIMITERS if one.encode() in data)
    else:
        raise Unreadable("only .csv and .xlsx tables are; save it as one of these")


def _first_row(sheets: Sequence[Sheet]) -> str:
    cells = max((sheet.cells for sheet in sheets), key=lambda cells: sum(row == 0 for row, _ in cells), default={})
    first = [text for (row, _), text in sorted(cells.items()) if row == 0]
    return ", ".join(f"'{text[:40]}'" for text in first[:20]) or "nothing"


def fill(table: Headed, points: Mapping[str, Points]) -> Filled:
    """Fill in points, by heading and student.

    Raises
    ------
    UsageError
        If no column below the headings holds ids of these students.
    """
    rows = _rows_of(table, {tokens(restored(id)): id for one in points.values() for id in one})
    values: dict[tuple[int, int], float] = {}
    unfilled: dict[str, list[int]] = {}
    often = Counter(rows.values())
    for row, id in rows.items():
        if not id:
            unfilled.setdefault("no id of this run's students stands there", []).append(row)
            continue
        if often[id] > 1:
            unfilled.setdefault("the id stands in several rows", []).append(row)
            continue
        for heading, column in table.columns.items():
            value, locked = points[heading].get(id), table.sheet.locked(row, column)
            if value is None or locked:
                unfilled.setdefault(locked or "handed nothing in that was marked", []).append(row)
            else:
                values[row, column] = value
    told = [f"Not filled, {reason}: {_rows_text(some)}." for reason, some in unfilled.items()]
    replaced = [row for (row, column) in values if table.sheet.cells.get((row, column))]
    told += [f"Held something else before: {_rows_text(replaced)}."] if replaced else []
    marked = {id for one in points.values() for id, value in one.items() if value is not None}
    absent = sorted(marked.difference(rows.values()))
    told += [f"Marked, but without a row: {_some(absent)}."] if absent else []
    return Filled(table.sheet.filled(values), len(values), tuple(told))


def _rows_of(table: Headed, known: Mapping[tuple[str, ...], str]) -> dict[int, str]:
    """The student's id in every row below the headings, from the column that holds most ids; "" where it is nobody's."""
    below = {(row, column): text for (row, column), text in table.sheet.cells.items() if row > table.row}
    hits = Counter(column for (_, column), text in below.items() if tokens(text) in known)
    if not hits:
        raise UsageError("No column of the table holds the ids of this run's students, so nothing was filled in.")
    best = max(hits, key=lambda column: (hits[column], -column))
    return {row: known.get(tokens(below.get((row, best), "")), "") for row in sorted({row for row, _ in below})}


def _rows_text(rows: Sequence[int]) -> str:
    ordered = sorted(set(rows))
    return f"row{'' if len(ordered) == 1 else 's'} {_some([str(row + 1) for row in ordered])}"


def _some(texts: Sequence[str]) -> str:
    more = len(texts) - ROWS_NAMED
    return ", ".join(texts[:ROWS_NAMED]) + (f" and {more} more" if more > 0 else "")
