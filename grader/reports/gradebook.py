"""The gradebook: a row per student, a column per item, totals and flags; as a delimited table and as a workbook."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from grader.marking.records import Marked
from grader.reports.feedback import percent
from grader.reports.paper import Paper
from grader.reports.wording import awaits_person
from grader.uploads.inert import inert
from grader.uploads.records import Student

Cell: TypeAlias = str | float | None
IDENTITY = ("student", "name", "section")
SUMMARY = ("total", "possible", "percent", "flags")


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One student's line: the marks (None where nothing was handed in), and flags the run found.

    ``flags`` are short phrases, say ``"2 earlier uploads superseded"``; flags that follow from the marks are added here.
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


def gradebook_row(paper: Paper, entry: Entry) -> tuple[Cell, ...]:
    """One line; cells of a student who handed nothing in are empty, not zero."""
    row: list[Cell] = [entry.student.id, entry.student.name, entry.student.section]
    marked = entry.marked
    marks = {} if marked is None else {(mark.problem, mark.item): mark.awarded for mark in marked.marks}
    for problem in paper.problems:
        own = [marks.get((problem.id, item.id)) for item in problem.items]
        row += [None if points is None else round(points, 4) for points in own]
        row.append(None if marked is None else round(sum(points for points in own if points is not None), 4))
    flags = "; ".join((*_flags(marked), *entry.flags))
    if marked is None:
        return (*row, None, paper.points, None, flags)
    share = percent(marked.total, marked.possible)
    return (*row, round(marked.total, 4), marked.possible, None if share is None else round(share, 2), flags)


def _flags(marked: Marked | None) -> list[str]:
    if marked is None:
        return ["nothing handed in"]
    waiting = sum(awaits_person(mark) for mark in marked.marks)
    decided = sum(bool(mark.decision) for mark in marked.marks)
    return [f"{count} {what}" for count, what in ((waiting, "for review"), (decided, "decided")) if count]


def gradebook_csv(paper: Paper, entries: Iterable[Entry]) -> bytes:
    """The gradebook as a delimited table.

    UTF-8 with a byte-order mark: without it spreadsheet programs take names for another encoding, and programs that
    read it as ``utf-8-sig`` never see it.  Decimal points; texts are made inert.
    """
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\r\n")
    rows.writerow(gradebook_header(paper))
    for entry in entries:
        rows.writerow([_written(cell) for cell in gradebook_row(paper, entry)])
    return out.getvalue().encode("utf-8-sig")


def _written(cell: Cell) -> str:
    if cell is None:
        return ""
    return inert(cell) if isinstance(cell, str) else f"{cell:.10g}"


def gradebook_xlsx(paper: Paper, entries: Sequence[Entry]) -> bytes:
    """The gradebook as a workbook: header and names stay in view, columns can be filtered; points possible beside it."""
    from grader.reports.workbook import POINTS, WASH, Book, footer_text, text

    book = Book(paper.heading, "Gradebook")
    sheet = book.sheet("Grades")
    header = gradebook_header(paper)
    head = book.look(bold=True, bottom=2, bg_color=WASH, text_wrap=True)
    plain, number = book.look(), book.look(num_format=POINTS, align="center")
    total, one_decimal = (
        book.look(num_format=POINTS, align="center", bold=True),
        book.look(num_format="0.0", align="center"),
    )
    for column, name in enumerate(header):
        text(sheet, 0, column, name, head)
        sheet.set_column(column, column, _width(name))
    for row, entry in enumerate(entries, start=1):
        for column, (name, cell) in enumerate(zip(header, gradebook_row(paper, entry), strict=True)):
            if isinstance(cell, str):
                text(sheet, row, column, cell, plain)
            elif cell is not None:
                look = one_decimal if name == "percent" else total if name.endswith("total") else number
                sheet.write_number(row, column, cell, look)
    sheet.freeze_panes(1, len(IDENTITY))
    sheet.autofilter(0, 0, len(entries), len(header) - 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    sheet.repeat_columns(0)
    sheet.set_footer(f"&L{footer_text(paper.heading)}&R&P / &N")
    possible = book.sheet("Points possible")
    for column, (name, width) in enumerate((("problem", 14), ("item", 14), ("what is asked", 60), ("points", 8))):
        text(possible, 0, column, name, head)
        possible.set_column(column, column, width)
    row = 1
    for problem in paper.problems:
        for item in problem.items:
            for column, value in enumerate((problem.id, item.id, item.question)):
                text(possible, row, column, value, plain)
            possible.write_number(row, 3, item.points, number)
            row += 1
    text(possible, row, 2, "all problems", book.look(bold=True, top=2))
    possible.write_number(row, 3, paper.points, book.look(num_format=POINTS, align="center", bold=True, top=2))
    possible.freeze_panes(1, 0)
    return book.content()


def _width(name: str) -> float:
    return {"student": 12, "name": 24, "section": 9, "flags": 40}.get(name, max(8, min(len(name) + 1, 13)))
