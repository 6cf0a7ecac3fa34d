"""The answer sheet given back: a workbook with what was written, how it was read, points, verdict and reasons."""

from typing import Any

from grader.marking.marks import (
    BLANK,
    CORRECT,
    FOLLOWED,
    FOR_A_PERSON,
    INCORRECT,
    NOT_DECIDED,
    PARTLY,
    UNREADABLE,
    Mark,
    Marked,
)
from grader.reports.feedback import rows_by_problem
from grader.reports.paper import Paper, PaperItem
from grader.reports.wording import awaits_person, out_of, percent, points_text, reasons_told, said
from grader.reports.workbook import (
    BAD,
    FAINT,
    GOOD,
    LINE,
    LINE_POINTS,
    PARTLY_GOOD,
    POINTS,
    WASH,
    Book,
    footer_text,
    lines_of,
    text,
)
from grader.uploads.upload import Student

COLUMNS = (
    ("problem", 10), ("item", 10), ("what is asked", 28), ("answer", 24), ("read as", 22), ("points", 7), ("possible", 8),
    ("verdict", 18), ("reasons", 44), ("look again", 34),
)  # fmt: skip
HEADER_ROW, VERDICT = 3, 7

INKS = {CORRECT: GOOD, FOLLOWED: GOOD, PARTLY: PARTLY_GOOD, INCORRECT: BAD, UNREADABLE: BAD} | dict.fromkeys(
    (BLANK, NOT_DECIDED, FOR_A_PERSON), FAINT
)


def annotated_xlsx(
    paper: Paper, marked: Marked, student: Student | None = None, not_counted: tuple[str, ...] = ()
) -> bytes:
    """The workbook for one student, some milliseconds of work; never shows the reference answer."""
    student = student if student is not None else Student(id=marked.student)
    book = Book(paper.heading, f"Feedback for {student.id}")
    sheet = book.sheet("Feedback")
    for column, (_, width) in enumerate(COLUMNS):
        sheet.set_column(column, column, width)
    text(sheet, 0, 0, paper.heading, book.look(bold=True, font_size=14))
    text(sheet, 1, 0, _summary(marked, student), book.look())
    if not_counted:
        text(sheet, 2, 0, " ".join(not_counted), book.look())
    for column, (heading, _) in enumerate(COLUMNS):
        text(sheet, HEADER_ROW, column, heading, book.look(bold=True, bottom=2, bg_color=WASH))
    row = HEADER_ROW + 1
    for problem in rows_by_problem(paper, marked):
        for item, mark in problem.rows:
            _line(book, sheet, row, problem.paper.id, item, mark)
            row += 1
    sheet.freeze_panes(HEADER_ROW + 1, 2)
    sheet.autofilter(HEADER_ROW, 0, max(row - 1, HEADER_ROW), len(COLUMNS) - 1)
    sheet.repeat_rows(HEADER_ROW)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_margins(left=0.4, right=0.4, top=0.5, bottom=0.6)
    sheet.set_footer(f"&L{footer_text(paper.heading)}&C{footer_text(student.id)}&R&P / &N")
    if paper.student:
        _values(book, paper)
    return book.content()


def _values(book: Book, paper: Paper) -> None:
    """The student's own circuits in words, where the paper is made out to one."""
    sheet = book.sheet("Your values")
    sheet.set_column(0, 0, 100)
    row = 0
    for problem in paper.problems:
        text(sheet, row, 0, problem.title, book.look(bold=True))
        for number, element in enumerate(problem.elements, start=row + 1):
            text(sheet, number, 0, element, book.look(text_wrap=True))
        row += len(problem.elements) + 2


def _summary(marked: Marked, student: Student) -> str:
    who = f"{student.name} ({student.id})" if student.name else student.id
    share = percent(marked.total, marked.possible)
    total = out_of(marked.total, marked.possible)
    return ", ".join(
        part for part in (who, total if share is None else f"{total} ({share:.3g} %)", marked.file) if part
    )


def _line(book: Book, sheet: Any, row: int, problem: str, item: PaperItem, mark: Mark) -> None:
    cell = book.look(text_wrap=True, bottom=1, bottom_color=LINE)
    number = book.look(num_format=POINTS, align="center", bottom=1, bottom_color=LINE)
    reasons, again = "\n".join(_reasons(mark)), "\n".join(mark.nudges)
    verdict = said(mark.verdict)
    texts = {
        0: problem,
        1: item.id,
        2: item.question,
        3: mark.answer,
        4: mark.reading,
        VERDICT: f"{verdict.sign} {verdict.words}",
        8: reasons,
        9: again,
    }
    inked = book.look(text_wrap=True, bottom=1, bottom_color=LINE, font_color=INKS[mark.verdict], bold=True)
    for column, value in texts.items():
        text(sheet, row, column, value, inked if column == VERDICT else cell)
    sheet.write_number(row, 5, round(mark.awarded, 2), number)
    sheet.write_number(row, 6, round(mark.possible, 2), number)
    sheet.set_row(row, LINE_POINTS * max(lines_of(value, COLUMNS[column][1]) for column, value in texts.items()) + 3)


def _reasons(mark: Mark) -> list[str]:
    parts = [
        f"{part.name[:1].upper()}{part.name[1:]}: {said(part.verdict).words.lower()}, "
        f"{points_text(part.awarded)} of {points_text(part.possible)}."
        for part in mark.parts
    ]
    person = [f"Decided by a person: {mark.decision}"] if mark.decision else []
    waiting = ["A person will still look at this answer; the points may change."] if awaits_person(mark) else []
    return [*person, *parts, *reasons_told(mark), *waiting]
