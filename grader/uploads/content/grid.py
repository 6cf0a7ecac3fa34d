"""A table by rows, as a person sees it: merged cells show in every row they cover."""

from collections.abc import Iterator

from grader.uploads.content.document import Cell, Table
from grader.uploads.content.headings import STUDENT, role_of

BLANK = Cell("")

_WIDEST_HEADING = 20
"""Columns of a merged heading that are searched for the text below it."""

_LABEL_REACH = 4
"""How far to the right of a label its text may stand."""


class Grid:
    """Rows and merged ranges of a table, prepared for looking up."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.rows: dict[int, dict[int, Cell]] = {}
        for (row, column), cell in table.cells.items():
            if cell.text.strip():
                self.rows.setdefault(row, {})[column] = cell
        self.order = sorted(self.rows)
        self._first: dict[tuple[int, int], tuple[int, int]] = {}
        self._right: dict[tuple[int, int], int] = {}
        for top, left, bottom, right in table.merged:
            if (top, left) in table.cells:
                self._right[top, left] = right
                for row in self.order:
                    if top <= row <= bottom:
                        self._first[row, left] = (top, left)

    def texts(self, row: int) -> dict[int, str]:
        """What stands in a row, by column; blank cells are left out."""
        return {column: cell.text for column, cell in self.rows[row].items()}

    def at(self, row: int, column: int) -> Cell:
        """One cell; in a merged range, what its first cell holds."""
        return self.table.cells.get(self._first.get((row, column), (row, column)), BLANK)

    def continues(self, row: int, column: int) -> bool:
        """Whether this cell belongs to a merged one that began in a row above."""
        return self._first.get((row, column), (row, column))[0] < row

    def under(self, row: int, heading: tuple[int, int]) -> Cell:
        """The cell of this row below a heading, which may be merged over several columns."""
        right = min(self._right.get(heading, heading[1]), heading[1] + _WIDEST_HEADING)
        for column in range(heading[1], right + 1):
            if (cell := self.at(row, column)).text.strip():
                return cell
        return BLANK

    def labelled(self, row: int) -> Iterator[str]:
        """Texts that stand behind, beside or below a label such as "student" in this row."""
        cells = self.rows[row]
        for column, cell in cells.items():
            label, _, behind = cell.text.partition(":")
            role = role_of(label)
            if role is None or role[0] != STUDENT:
                continue
            if behind.strip():
                yield behind.strip()
                continue
            right = [other for other in sorted(cells) if column < other <= column + _LABEL_REACH]
            beside = cells[right[0]] if right else self.rows.get(row + 1, {}).get(column, BLANK)
            if beside.text.strip():
                yield beside.text.strip()
