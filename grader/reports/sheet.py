"""The blank answer sheet: workbook, delimited table, plain text, and a page to print."""

from __future__ import annotations

import csv
import io
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Any

from grader.errors import UsageError
from grader.reports.paper import Paper, PaperProblem
from grader.reports.wording import in_points, points_text
from grader.uploads.escaping import escaped

if TYPE_CHECKING:
    from grader.reports.workbook import Book

HEADER = ("problem", "item", "what is asked", "points", "answer", "unit", "working")
"""Heading of the table; the reader of uploads finds its columns by these words."""

WIDTHS = (11, 12, 50, 7, 34, 9, 40)
ASKED, ANSWER = 2, 4
ROW_PIXELS = 20
"""Height of a worksheet's row unless set otherwise."""

STUDENT_LABEL = "student id"
"""Stands where the cell below it is empty: the reader looks beside a label first, then below it."""

HINT = "Write in the columns answer, unit and working only, and do not rename the headings."

UNIT_AFTER, UNIT_COLUMN = (
    "Put the unit after the number.",
    "Put the unit after the number or in the unit column, not in both.",
)
HOW_TO_WRITE = (
    "One answer to a line, as you would write it on paper: 2.5 mA, 3.3 kohm, 7/4 V, 1.2e-3 s. Zero is an answer: write 0.",
    f"{UNIT_AFTER} Prefixes count: mA is not A.",
    "An expression is a function of t in seconds: 1.5 - 0.4 e^(-250 t) A, or 5 exp(-t/4ms) V. Keep a power in brackets.",
    "You may use the names of elements (R1, C1) and of earlier answers (tau): V1/R1 (1 - e^(-t/tau)).",
    "Decimal points and decimal commas are both understood; do not group thousands.",
    "Several roots go into one answer, with semicolons between them.",
    "Working is welcome and not needed: a later answer that follows from an earlier one of yours is marked as following.",
)  # fmt: skip


def sheet_bytes(paper: Paper, suffix: str) -> bytes:
    """The blank answer sheet in one of its forms: ``.xlsx``, ``.csv``, ``.txt`` or ``.html``.

    Raises
    ------
    UsageError
        For another suffix.
    """
    forms = {".xlsx": sheet_xlsx, ".csv": sheet_csv, ".txt": sheet_txt, ".html": sheet_html}
    if suffix.lower() not in forms:
        raise UsageError(f"An answer sheet ends in {', '.join(forms)}, not in '{suffix}'.")
    return forms[suffix.lower()](paper)


def write_sheet(paper: Paper, path: Path) -> None:
    """Write the blank answer sheet; the form follows from the file's ending.

    Raises
    ------
    UsageError
        If the ending is none of those of `sheet_bytes`.
    OutputError
        If the file cannot be written.
    """
    from grader.reports.workbook import save

    save(sheet_bytes(paper, path.suffix), path)


def _headline(problem: PaperProblem) -> str:
    return f"{problem.title} ({in_points(problem.points)})"


# -- workbook --------------------------------------------------------------------------------------


def sheet_xlsx(paper: Paper) -> bytes:
    """The sheet as a workbook: answer cells tinted, of format text and open, everything else locked."""
    from grader.reports.workbook import INK, WASH, Book, footer_text, text

    book = Book(paper.heading, "Answer sheet")
    sheet = book.sheet("Answers")
    for column, width in enumerate(WIDTHS):
        sheet.set_column(column, column, width)
    text(sheet, 0, 0, paper.heading, book.look(bold=True, font_size=14, font_color=INK))
    text(sheet, 1, ASKED, STUDENT_LABEL, book.look(bold=True, align="right"))
    text(sheet, 1, ANSWER, paper.student, _open_look(book))
    text(sheet, 2, 0, HINT, book.look(italic=True))
    for column, heading in enumerate(HEADER):
        text(sheet, 3, column, heading, book.look(bold=True, bottom=2, bg_color=WASH))
    row = 4
    for problem in paper.problems:
        row = _problem_rows(book, sheet, row, problem)
    sheet.freeze_panes(4, 0)
    sheet.repeat_rows(3)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_margins(left=0.4, right=0.4, top=0.5, bottom=0.6)
    sheet.set_footer(f"&L{footer_text(paper.heading)}&R&P / &N")
    sheet.protect("", {"format_columns": True, "format_rows": True})
    _circuits(book, paper)
    _how_to_write(book)
    return book.content()


def _open_look(book: Book, **more: Any) -> Any:
    from grader.reports.workbook import TINT

    return book.look(
        locked=False, num_format="@", bg_color=TINT, border=1, border_color="#7D8690", text_wrap=True, **more
    )


def _problem_rows(book: Book, sheet: Any, row: int, problem: PaperProblem) -> int:
    from grader.reports.workbook import POINTS, lines_of, text

    wide = sum(WIDTHS[ASKED:])
    for value, look in (
        (_headline(problem), book.look(bold=True, font_size=12)),
        ("\n".join(problem.paragraphs), book.look(text_wrap=True)),
        ("\n".join(problem.elements), book.look(text_wrap=True, font_color="#56616D")),
        (problem.caution, book.look(text_wrap=True, bold=True)),
    ):
        if value:
            sheet.merge_range(row, ASKED, row, len(HEADER) - 1, "", look)
            text(sheet, row, ASKED, value, look)
            sheet.set_row(row, 15.5 * lines_of(value, wide) + 3)
            row += 1
    plain, numbers = book.look(text_wrap=True), book.look(num_format=POINTS, align="center")
    for item in problem.items:
        asked = item.question
        text(sheet, row, 0, problem.id, plain)
        text(sheet, row, 1, item.id, plain)
        text(sheet, row, ASKED, asked, plain)
        sheet.write_number(row, 3, item.points, numbers)
        for column in range(ANSWER, len(HEADER)):
            text(sheet, row, column, "", _open_look(book))
        if item.options and len(", ".join(item.options)) <= 250 and not any("," in option for option in item.options):
            sheet.data_validation(
                row,
                ANSWER,
                row,
                ANSWER,
                {"validate": "list", "source": list(item.options), "error_type": "information"},
            )
        sheet.set_row(row, 15.5 * max(lines_of(asked, WIDTHS[ASKED]), 2))
        row += 1
    return row


def _circuits(book: Book, paper: Paper) -> None:
    """The schematics, one below the other, each described in words for who cannot see it."""
    from grader.reports.picture import ZOOM, height, picture
    from grader.reports.workbook import text

    drawn = [(problem, png) for problem in paper.problems if problem.figure and (png := picture(problem.figure))]
    if not drawn:
        return
    sheet = book.sheet("Circuits")
    row = 0
    for problem, png in drawn:
        text(sheet, row, 0, problem.title, book.look(bold=True, font_size=12))
        placed = {"image_data": io.BytesIO(png), "x_scale": 1 / ZOOM, "y_scale": 1 / ZOOM, "object_position": 3}
        sheet.insert_image(row + 1, 0, f"{problem.id}.png", placed | {"description": " ".join(problem.elements)})
        row += height(png) // ROW_PIXELS + 4
    sheet.hide_gridlines(2)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.protect()


def _how_to_write(book: Book) -> None:
    from grader.reports.workbook import lines_of, text

    notes = book.sheet("How to write answers")
    notes.set_column(0, 0, 100)
    text(notes, 0, 0, "How to write answers", book.look(bold=True, font_size=14))
    told = [line.replace(UNIT_AFTER, UNIT_COLUMN) for line in HOW_TO_WRITE]
    for row, line in enumerate(told, start=1):
        text(notes, row, 0, line, book.look(text_wrap=True))
        notes.set_row(row, 15.5 * lines_of(line, 100) + 4)
    notes.set_landscape()
    notes.fit_to_pages(1, 0)
    notes.protect()


# -- table and text --------------------------------------------------------------------------------


def sheet_csv(paper: Paper) -> bytes:
    """The sheet as a delimited table (UTF-8 with a byte-order mark, which spreadsheet programs need)."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\r\n")
    rows.writerow([escaped(paper.heading), *[""] * (len(HEADER) - 1)])
    rows.writerow(["", "", STUDENT_LABEL, "", escaped(paper.student), "", ""])
    rows.writerow([HINT, *[""] * (len(HEADER) - 1)])
    rows.writerow(HEADER)
    for problem in paper.problems:
        for said in (_headline(problem), *problem.paragraphs, *problem.elements, problem.caution):
            if said:
                rows.writerow(["", "", escaped(said), "", "", "", ""])
        for item in problem.items:
            rows.writerow([problem.id, item.id, escaped(item.question), points_text(item.points), "", "", ""])
    return out.getvalue().encode("utf-8-sig")


TEXT_WIDTH = 80
"""Characters of a line of a text sheet."""

TOLD = "| "
"""Begins every line of a text sheet that is no answer: nobody's item is called that."""


def sheet_txt(paper: Paper) -> bytes:
    """The sheet as plain text: what is asked first, then a line for each answer."""
    told = [paper.heading, "", *HOW_TO_WRITE, ""]
    answers = [f"{STUDENT_LABEL.split(maxsplit=1)[0]}: {paper.student}"]
    for problem in paper.problems:
        told += [_headline(problem), *problem.paragraphs, *(f"- {line}" for line in problem.elements)]
        told += [problem.caution] if problem.caution else []
        told += [f"{problem.id}.{item.id} ({points_text(item.points)}) - {item.question}" for item in problem.items]
        told.append("")
        answers.append("")
        answers += [f"{problem.id}.{item.id}: " for item in problem.items]
    told.append("Write your answers after the colons.")
    lines = [f"{TOLD}{piece}".rstrip() for line in told for piece in _folded(line)] + ["", *answers]
    return ("\n".join(lines) + "\n").encode()


def _folded(line: str) -> list[str]:
    """A line in pieces as narrow as an editor's window, those after the first set in."""
    width = TEXT_WIDTH - len(TOLD)
    return textwrap.wrap(line, width, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False) or [""]


def sheet_html(paper: Paper) -> bytes:
    """The sheet as a page to print, with the schematics."""
    from grader.reports.pages import page

    return page("sheet.html", paper=paper, notes=HOW_TO_WRITE).encode()
