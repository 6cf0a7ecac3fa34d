"""Finds the answers in tables with a row per item, under a heading that has ``item`` and ``answer``."""

from itertools import chain

from msgspec import Struct, field

from grader.uploads.content.document import Cell, Table
from grader.uploads.content.found import Collector, Parsed, short
from grader.uploads.content.grid import BLANK, Grid
from grader.uploads.content.headings import (
    ANSWER,
    ITEM,
    PROBLEM,
    STUDENT,
    UNIT,
    WORKING,
    columns,
    is_heading,
    role_of,
    side_by_side,
)
from grader.uploads.content.items import Items
from grader.uploads.content.lines import add_lines_around

_WHOLE = "a comma, semicolon or bar in this row was taken as the answer's own"


def answers_in(tables: tuple[Table, ...], items: Items) -> Parsed | None:
    """The answers of all tables with such a heading, hidden ones last; None where no table has one."""
    reading = _Reading(Collector(items))
    around = [reading.take(Grid(table)) for table in sorted(tables, key=lambda table: table.hidden)]
    if not reading.any_heading:
        return None
    for lines in chain.from_iterable(around):
        add_lines_around(lines, reading.gathering)
    if reading.whole:
        reading.gathering.faults.append(
            f"commas, semicolons or bars in these rows were taken as the answer's own: {short(', '.join(reading.whole), 1000)}"
        )
    return reading.gathering.found(labelled=tuple(reading.labelled), loose=tuple(reading.loose))


class _Reading(Struct):
    """What is known while going down the rows of one table after the other."""

    gathering: Collector
    labelled: list[str] = field(default_factory=list)
    loose: list[str] = field(default_factory=list)
    any_heading: bool = False
    headings: list[tuple[int, dict[str, int]]] = field(default_factory=list)
    problem: str | None = None
    whole: list[str] = field(default_factory=list)
    """Answers set together of what the delimiter had parted, for one remark on the file."""

    def take(self, grid: Grid) -> list[dict[int, str]]:
        """Take the answers of a table; what stands alone in the first column of rows above, between and below them, by row."""
        self.headings, self.problem = [], None
        lines: list[dict[int, str]] = [{}]
        for row in grid.order:
            texts = grid.texts(row)
            if is_heading(columns(texts)):
                self.headings, self.any_heading = [(row, found) for found in side_by_side(texts)], True
            elif True not in [self._answer(grid, row, at, places) for at, places in self.headings]:
                if len(texts) == 1:
                    self.problem = self.gathering.items.problem(next(iter(texts.values()))) or self.problem
                    lines[-1] |= {row: texts[0]} if 0 in texts and not grid.table.hidden else {}
                self.labelled += grid.labelled(row)
                self.loose += texts.values()
                continue
            lines += [{}] if lines[-1] else []
        return lines

    def _answer(self, grid: Grid, row: int, heading: int, places: dict[str, int]) -> bool:
        """Take the answer of one row; False where the row is something else."""
        items = self.gathering.items
        cells = {
            role: grid.under(row, (heading, places[role])) if role in places else BLANK
            for role in (PROBLEM, ITEM, ANSWER, UNIT, WORKING, STUDENT)
        }
        where = grid.table.where(row, places[ANSWER])
        name, named = cells[ITEM].text.strip(), cells[PROBLEM].text.strip()
        if named:
            self.problem = items.problem(named)
        pair = items.find(name, self.problem) or (items.find(name) if not named else None)
        if pair is not None and (self.problem is not None or not named):
            student = cells[STUDENT].text.strip()
            if student and student not in self.labelled[-1:]:
                self.labelled.append(student)
            certain = grid.table.parted.get(row)
            self.gathering.add(
                pair, self._whole(cells[ANSWER], where) if certain else cells[ANSWER], where=where, unit=cells[UNIT].text, working=cells[WORKING].text,
                notes=("it stood on a hidden sheet",) if grid.table.hidden else (),
                continued=grid.continues(row, places[ITEM]),
            )  # fmt: skip
            if certain is False:
                self.gathering.leave_open(pair)
            return True
        role = role_of(name)
        if not cells[ANSWER].text.strip() or (role is not None and role[0] == STUDENT):
            return False
        self._unknown(name, named, cells[ANSWER], where)
        return True

    def _whole(self, answer: Cell, where: str) -> Cell:
        self.whole.append(f"{where} '{short(answer.text, 40)}'")
        return answer._replace(notes=(*answer.notes, _WHOLE))

    def _unknown(self, name: str, named: str, answer: Cell, where: str) -> None:
        why = "" if name else "its item cell is empty"
        if named and self.problem is None:
            why = f"the rubric has no problem '{named[:80]}'"
        above = next(reversed(self.gathering.answers), None)
        self.gathering.unknown(f"{named}.{name}" if named else name, answer, where, why, above)
