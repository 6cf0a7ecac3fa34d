"""The gradebook: a row per student, a column per item, totals and flags; as a delimited table and as a workbook."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from grader.marking.credit import charges_figures, charges_unit
from grader.marking.marks import BLANK, FOLLOWED, GAVE, INCORRECT, REMEMBERED, Mark, Marked
from grader.reports.faults import mistake_title, named_first
from grader.reports.table import Cell, table_bytes
from grader.reports.wording import awaits_person, nothing_answered, percent, points_text, rounded
from grader.uploads.upload import Student

if TYPE_CHECKING:
    from grader.reports.paper import Paper

IDENTITY = ("student", "name", "section")

PAGE_WIDTH = 190
"""Characters of columns side by side on a printed page that can still be read."""
LOST = "points lost to"
SUMMARY = ("total", "possible", "percent", LOST, "flags")


class GradebookCell(Struct, frozen=True, kw_only=True):
    """One student's line: the marks (None where there are none), and flags the run found.

    ``flags`` are short phrases, say ``"2 earlier uploads superseded"``; flags that follow from the marks are added here,
    and who has neither marks nor flags handed nothing in.
    """

    student: Student
    marked: Marked | None
    flags: tuple[str, ...] = ()


def gradebook_header(paper: Paper) -> tuple[str, ...]:
    """The columns: who, each ``problem.item`` and the total of each problem, then all in all."""
    columns = list(IDENTITY)
    for problem in paper.problems:
        columns += [f"{problem.id}.{item.id}" for item in problem.items]
        columns.append(f"{problem.id} total")
    return (*columns, *SUMMARY)


def gradebook_row(paper: Paper, entry: GradebookCell) -> tuple[Cell, ...]:
    """One line; cells of a student who handed nothing in are empty, not zero, and so are answers that nobody has marked yet."""
    row: list[Cell] = [entry.student.id, entry.student.name, entry.student.section]
    marked = entry.marked
    if marked is None:
        for problem in paper.problems:
            row += [None] * (len(problem.items) + 1)
        return (*row, None, paper.points, None, "", "; ".join(entry.flags) or "nothing handed in")
    told = {mark.place: _told(mark) for mark in marked.marks}
    for problem in paper.problems:
        own = [told.get((problem.id, item.id), _NOTHING) for item in problem.items]
        row += [one.shown for one in own]
        row.append(rounded(sum(one.points for one in own)))
    share = percent(marked.total, marked.possible)
    lost = "; ".join(one.lost for one in told.values() if one.lost)
    flags = "; ".join((*_flags(marked, told.values()), *entry.flags))
    return (*row, rounded(marked.total), marked.possible, None if share is None else round(share, 2), lost, flags)


class _Told(NamedTuple):
    """What a row says of one mark: points and their cell, what was lost, and what is flagged."""

    points: float = 0.0
    shown: float | None = None
    lost: str = ""
    waits: bool = False
    before: bool = False
    decided: bool = False


_NOTHING = _Told()


@lru_cache(REMEMBERED)
def _told(mark: Mark) -> _Told:
    flags = awaits_person(mark), any(reason.startswith(GAVE) for reason in mark.reasons), bool(mark.decision)
    if mark.unmarked:
        return _Told(0.0, None, "", *flags)
    lost = _lost(mark) if mark.awarded < mark.possible else ""
    return _Told(mark.awarded, rounded(mark.awarded), lost, *flags)


def _lost(mark: Mark) -> str:
    """How many points one answer lost, and to what, in as few words as a cell holds."""
    if mark.decision:
        why = [f"decided: {mark.decision}"]
    elif mark.verdict == BLANK:
        why = ["blank"]
    else:
        why = [part.name for part in mark.parts if part.verdict == INCORRECT]
        why += [mistake_title(id) for id in named_first(mark.mistakes[:1], 1)] if mark.tied == 1 else []
        short = any(part.verdict == FOLLOWED and part.awarded < part.possible for part in mark.parts)
        why += ["following"] if short or mark.verdict == FOLLOWED else []
        why += ["unit"] if any(map(charges_unit, mark.reasons)) else []
        why += ["figures"] if any(map(charges_figures, mark.reasons)) else []
    return f"{mark.problem}.{mark.item} {points_text(mark.possible - mark.awarded)} ({', '.join(why) or ('in part' if mark.awarded else 'wrong')})"


def _flags(marked: Marked, told: Collection[_Told]) -> list[str]:
    counts = (
        (sum(one.waits for one in told), "for review"),
        (sum(one.before for one in told), "decided for another answer"),
        (sum(one.decided for one in told), "decided"),
    )
    blank = ["no answer in it"] if nothing_answered(marked) else []
    return [*blank, *(f"{count} {what}" for count, what in counts if count)]


def gradebook_csv(paper: Paper, entries: Iterable[GradebookCell]) -> bytes:
    """The gradebook as a delimited table (see `grader.reports.table`)."""
    return table_bytes(gradebook_header(paper), (gradebook_row(paper, entry) for entry in entries))


def gradebook_xlsx(paper: Paper, entries: Iterable[GradebookCell]) -> bytes:
    """The gradebook as a workbook."""
    book = GradebookBook(paper)
    for entry in entries:
        book.add(gradebook_row(paper, entry))
    return book.content()


class GradebookBook:
    """The gradebook as a workbook that takes a row at a time and holds none.

    Header and names stay in view, columns can be filtered; points possible stand on a sheet of their own.
    """

    def __init__(self, paper: Paper) -> None:
        from grader.reports.workbook import POINTS, WASH, Book, footer_text, text

        self._paper, self._text = paper, text
        self._book = book = Book(paper.heading, "Gradebook", held=False)
        self._plain, self._number = book.look(), book.look(num_format=POINTS, align="center")
        self._total = book.look(num_format=POINTS, align="center", bold=True)
        self._head = book.look(bold=True, bottom=2, bg_color=WASH, text_wrap=True)
        self._header = gradebook_header(paper)
        looks = {"percent": book.look(num_format="0.0", align="center"), "total": self._total}
        self._looks = tuple(looks.get(name.rpartition(" ")[2], self._number) for name in self._header)
        self._sheet = sheet = book.sheet("Grades")
        for column, name in enumerate(self._header):
            sheet.set_column(column, column, _width(name))
        sheet.freeze_panes(1, len(IDENTITY))
        sheet.set_landscape()
        sheet.fit_to_pages(math.ceil(sum(map(_width, self._header)) / PAGE_WIDTH), 0)
        sheet.repeat_rows(0)
        sheet.repeat_columns(0)
        sheet.set_footer(f"&L{footer_text(paper.heading)}&R&P / &N")
        self._rows = 0
        self._sums: dict[int, tuple[int, float]] = {}
        for column, name in enumerate(self._header):
            text(sheet, 0, column, name, self._head)

    def add(self, row: Sequence[Cell]) -> None:
        """Write one student's row, from `gradebook_row`."""
        self._rows += 1
        for column, cell in enumerate(row[len(IDENTITY) : -1], start=len(IDENTITY)):
            if isinstance(cell, (int, float)):
                counted, added = self._sums.get(column, (0, 0.0))
                self._sums[column] = counted + 1, added + cell
        for column, cell in enumerate(row):
            if isinstance(cell, str):
                self._text(self._sheet, self._rows, column, cell, self._plain)
            elif cell is not None:
                self._sheet.write_number(self._rows, column, cell, self._looks[column])

    def content(self) -> bytes:
        """Finish the workbook and take its bytes."""
        self._sheet.autofilter(0, 0, self._rows, len(self._header) - 1)
        self._means()
        self._points_possible()
        return self._book.content()

    def close(self) -> None:
        """Give temporary files back, where `content` is never asked for."""
        self._book.close()

    def _means(self) -> None:
        """Below the students, apart from what is filtered: the mean of each column over those who have something in it."""
        row, head = self._rows + 2, self._book.look(bold=True, top=2)
        look = self._book.look(bold=True, top=2, align="center", num_format="0.00")
        self._text(self._sheet, row, 0, "mean", head)
        for column, (counted, added) in self._sums.items():
            self._sheet.write_number(row, column, round(added / counted, 2), look)

    def _points_possible(self) -> None:
        sheet, text, plain = self._book.sheet("Points possible"), self._text, self._plain
        for column, (name, width) in enumerate((("problem", 14), ("item", 14), ("what is asked", 60), ("points", 8))):
            text(sheet, 0, column, name, self._head)
            sheet.set_column(column, column, width)
        row = 1
        for problem in self._paper.problems:
            for item in problem.items:
                for column, value in enumerate((problem.id, item.id, item.question)):
                    text(sheet, row, column, value, plain)
                sheet.write_number(row, 3, item.points, self._number)
                row += 1
        bottom = self._book.look(bold=True, top=2)
        text(sheet, row, 2, "all problems", bottom)
        sheet.write_number(row, 3, self._paper.points, self._total)
        sheet.freeze_panes(1, 0)
        sheet.fit_to_pages(1, 0)


def _width(name: str) -> float:
    return {"student": 12, "name": 24, "section": 9, LOST: 22, "flags": 22}.get(name, max(8, min(len(name) + 1, 13)))
