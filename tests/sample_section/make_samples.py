"""Writes the files of `sample_submissions/` from `written.py`, as untidy as real ones, the same bytes each time.

Everything in them is invented: students, answers, the Harbour Lock works.  The files are committed and the tests read
those; run this by hand after a change:  python -m tests.sample_section.make_samples
"""

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import openpyxl
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont

from grader.reports.paper import paper
from grader.reports.sheet import sheet_bytes
from grader.rubric.files import load_rubric
from tests.sample_section.written import ANSWERS, FIRST_TRY, ITEMS, STRANGER, STUDENTS, Formula, Raised

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "sample_submissions"
SECTION = SAMPLES / "section"
TIME = (2025, 3, 10, 18, 30, 0)
"""Of every file inside a zip or a workbook (an invented evening)."""

Answers = Sequence[Any]
Rows = Iterable[Sequence[Any]]


def pair(answer: Any) -> tuple[Any, str]:
    """An answer and the text of the unit's own cell."""
    return answer if isinstance(answer, tuple) else (answer, "")


# -- workbooks -------------------------------------------------------------------------------------


def saved(book: openpyxl.Workbook, stored: dict[str, float | str] | None = None) -> bytes:
    """A workbook's bytes without the hour of saving; `stored` are the values that a spreadsheet program computed."""
    book.properties.creator = "a student (invented)"
    stream = io.BytesIO()
    book.save(stream)
    with zipfile.ZipFile(stream) as source:
        parts = {name: source.read(name) for name in source.namelist()}
    core = parts["docProps/core.xml"].decode()
    parts["docProps/core.xml"] = re.sub(r"\d{4}-\d\d-\d\dT[\d:.]+Z", "2025-03-10T18:30:00Z", core).encode()
    sheet = parts["xl/worksheets/sheet1.xml"].decode()
    for address, value in (stored or {}).items():
        sheet = _with_value(sheet, address, value)
    parts["xl/worksheets/sheet1.xml"] = sheet.encode()
    return zipped(parts)


def _with_value(sheet: str, address: str, value: float | str) -> str:
    """Put the stored value of one computing cell into the XML of its sheet; a text is an error such as ``#NAME?``."""
    cell = re.search(rf'<c r="{address}"([^>]*)>(<f>.*?</f>)<v\s*/?>(?:</v>)?', sheet)
    assert cell is not None, address
    style = re.sub(r' t="\w*"', "", cell[1])
    kind = ' t="e"' if isinstance(value, str) else ""
    return sheet.replace(cell[0], f'<c r="{address}"{style}{kind}>{cell[2]}<v>{value}</v>')


def zipped(parts: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as target:
        for name, data in parts.items():
            entry = zipfile.ZipInfo(name, TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            target.writestr(entry, data)
    return stream.getvalue()


def put(cell: Any, value: Any, stored: dict[str, float | str]) -> None:
    """Fill a cell as a person does: text stays text, numbers and formulas become what they are."""
    if isinstance(value, Formula):
        cell.number_format = "General"
        cell.value = f"={value.text}"
        stored[cell.coordinate] = value.stored
    elif isinstance(value, date):
        cell.number_format = "d-mmm"
        cell.value = value
    elif isinstance(value, Raised):
        power = TextBlock(InlineFont(vertAlign="superscript"), value.power)
        cell.value = CellRichText(value.before, power, value.after)
    elif value != "":
        cell.value = value
        if isinstance(value, str):
            cell.data_type = "s"  # text that begins with = is no formula in a cell of format text


def on_sheet(id: str, answers: Answers) -> bytes:
    """The answer sheet of `grader sheet`, filled in."""
    blank = sheet_bytes(paper(load_rubric(ROOT / "rubrics" / "lock_valve.toml")), ".xlsx")
    book = openpyxl.load_workbook(io.BytesIO(blank))
    sheet = book.worksheets[0]
    stored: dict[str, float | str] = {}
    wanted = dict(zip(ITEMS, answers, strict=True))
    heading = next(row for row in sheet.iter_rows() if row[0].value == "problem")
    place = {cell.value: cell.column for cell in heading}
    for row in sheet.iter_rows():
        for cell in row:
            if cell.value == "student id":
                sheet.cell(cell.row, place["answer"]).value = id
        if (found := (row[0].value, row[1].value)) in wanted:
            answer, unit = pair(wanted[found])
            put(sheet.cell(row[0].row, place["answer"]), answer, stored)
            put(sheet.cell(row[0].row, place["unit"]), unit, stored)
    return saved(book, stored)


def on_sheet_text(id: str, answers: Answers, suffix: str) -> str:
    """The answer sheet as a table or as text, filled in."""
    blank = sheet_bytes(paper(load_rubric(ROOT / "rubrics" / "lock_valve.toml")), suffix).decode("utf-8-sig")
    if suffix == ".txt":
        filled = blank.replace("student: ", f"student: {id}")
        for (problem, item), answer in zip(ITEMS, answers, strict=True):
            filled = filled.replace(f"\n{problem}.{item}: ", f"\n{problem}.{item}: {' '.join(pair(answer))}".rstrip())
        return filled
    rows = list(csv.reader(io.StringIO(blank)))
    wanted = dict(zip(ITEMS, answers, strict=True))
    heading = next(row for row in rows if row[0] == "problem")
    for row in rows:
        if "student id" in row:
            row[heading.index("answer")] = id
        if (row[0], row[1]) in wanted:
            row[heading.index("answer")], row[heading.index("unit")] = pair(wanted[row[0], row[1]])
    return table(rows, ",")


def freehand(rows: Rows, *, merged: str = "") -> bytes:
    """A workbook typed by hand in the student's own layout."""
    book = openpyxl.Workbook()
    sheet = book.active
    stored: dict[str, float | str] = {}
    for number, row in enumerate(rows, 1):
        for column, value in enumerate(row, 1):
            put(sheet.cell(number, column), value, stored)
    if merged:
        sheet.merge_cells(merged)
    return saved(book, stored)


def open_document(rows: Rows) -> bytes:
    """A sheet in the open document format, as small as it may be."""
    lines = []
    for row in rows:
        cells = "".join(
            f'<table:table-cell office:value-type="float" office:value="{value}"><text:p>{value}</text:p></table:table-cell>'
            if isinstance(value, (int, float))
            else f'<table:table-cell office:value-type="string"><text:p>{escape(value)}</text:p></table:table-cell>'
            if value
            else "<table:table-cell/>"
            for value in row
        )
        lines.append(f"<table:table-row>{cells}</table:table-row>")
    names = "urn:oasis:names:tc:opendocument:xmlns:"
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content xmlns:office="{names}office:1.0" '
        f'xmlns:table="{names}table:1.0" xmlns:text="{names}text:1.0" office:version="1.2"><office:body>'
        f'<office:spreadsheet><table:table table:name="Sheet1">{"".join(lines)}</table:table></office:spreadsheet>'
        "</office:body></office:document-content>"
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    manifest = (
        f'<?xml version="1.0" encoding="UTF-8"?><manifest:manifest xmlns:manifest="{names}manifest:1.0" '
        f'manifest:version="1.2"><manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/>'
        '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>'
    )
    return zipped(
        {"mimetype": kind.encode(), "content.xml": content.encode(), "META-INF/manifest.xml": manifest.encode()}
    )


# -- text ------------------------------------------------------------------------------------------


def table(rows: Rows, delimiter: str) -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\r\n").writerows(rows)
    return out.getvalue()


def rows_of(answers: Answers, *, dotted: bool = False) -> list[list[Any]]:
    """A row per answer: problem, item, answer, unit; or ``problem.item`` in one cell."""
    return [
        [*([f"{problem}.{item}"] if dotted else [problem, item]), *pair(answer)]
        for (problem, item), answer in zip(ITEMS, answers, strict=True)
    ]


def lines_of(answers: Answers, sign: str = ": ", bullet: str = "") -> str:
    """A line per answer that is not blank."""
    return "".join(
        f"{bullet}{problem}.{item}{sign}{answer}\n"
        for (problem, item), answer in zip(ITEMS, answers, strict=True)
        if answer != ""
    )


def by_problem(answers: Answers) -> str:
    """Lines ``item = answer`` below the name of each problem."""
    text, last = "", ""
    for (problem, item), answer in zip(ITEMS, answers, strict=True):
        text += f"\n{problem}\n" if problem != last else ""
        text, last = f"{text}{item} = {answer}\n", problem
    return text


# -- the section -----------------------------------------------------------------------------------


def section() -> dict[str, bytes | str]:
    """Every file of the section; text is written as UTF-8."""
    a = ANSWERS
    late = {
        "S0016.txt": on_sheet_text("S0016", a["S0016"], ".txt").encode(),
        "S0020/hw4.xlsx": on_sheet("S0020", a["S0020"]),
        "hw4_S0021.tsv": table([["Student", "S0021"], ["item", "answer"], *_short(a["S0021"])], "\t").encode(),
        "catarina nogueira S0029.txt": f"student S0029\n\n{by_problem(a['S0029'])}".encode(),
    }
    return {
        "hw_S0001.xlsx": on_sheet("S0001", a["S0001"]),
        "S0002_answers.txt": f"student: S0002\n{lines_of(a['S0002'])}",
        "S0003.md": f"# Transients, week 4\n\nStudent: **S0003**\n\n{lines_of(a['S0003'], bullet='- ')}",
        "S0004.csv": table(
            [["student", "S0004", "", ""], ["problem", "item", "answer", "unit"], *rows_of(a["S0004"])], ";"
        ),
        "hw_S0005.xlsx": on_sheet("S0005", a["S0005"]),
        "~$hw_S0005.xlsx": "Eilidh",
        "Lock valve S0006 final.xlsx": freehand(
            [
                ["EE 118 homework 4"],
                [],
                ["", "Question", "Result", "Units"],
                *(["", *row] for row in rows_of(a["S0006"], dotted=True)),
            ],
            merged="A1:D1",
        ),
        "S0007.txt": b"\xff\xfe"
        + f"Student: S0007\r\n{lines_of(a['S0007'])}".replace("\n", "\r\n").encode("utf-16-le"),
        "S0008.ods": open_document([["id", "S0008"], [], ["problem", "item", "answer", "unit"], *rows_of(a["S0008"])]),
        "S0009 devoir.txt": f"Étudiant S0009, remis à l'heure\n{lines_of(a['S0009'], ' = ')}".encode("latin-1"),
        "S0010.tsv": table([["problem", "item", "answer", "unit"], *rows_of(a["S0010"])], "\t"),
        "hw_S0011.xlsx": on_sheet("S0011", a["S0011"]),
        "hw_S0012_v1.txt": f"student: S0012\n{lines_of(FIRST_TRY)}",
        "hw_S0012_v2.xlsx": freehand(
            [
                ["item", "what I did", "answer"],
                *([row[0], "see paper", row[1]] for row in rows_of(a["S0012"], dotted=True)),
            ]
        ),
        "S0013.csv": on_sheet_text("S0013", a["S0013"], ".csv"),
        "hw_S0014.xlsx": on_sheet("S0014", a["S0014"]),
        "S0015.txt": f"S0015 homework 4\n{by_problem(a['S0015'])}",
        "lab group 3/S0017.xlsx": on_sheet("S0017", a["S0017"]),
        "lab group 3/S0018.csv": table([["sep=;"], ["student", "S0018"], ["item", "answer"], *_short(a["S0018"])], ";"),
        "lab group 3/S0027.xlsx": on_sheet("S0027", a["S0027"]),
        "S0019.md": _drawn_table("S0019", a["S0019"]),
        "hw_S0022.xlsx": on_sheet("S0022", a["S0022"]),
        "S0023.ods": open_document(
            [["student id", "S0023"], ["problem", "item", "answer", "unit"], *rows_of(a["S0023"])]
        ),
        "S0024 Dubois.xlsx": freehand([["item", "answer"], *_short(a["S0024"])]),
        "S0025.txt": f"student: S0025\n{lines_of(a['S0025'])}",
        "paper_answers_typed_in.csv": table(
            [
                ["student", *(f"{problem}.{item}" for problem, item in ITEMS)],
                ["S0026", *a["S0026"]],
                ["S0036", *a["S0036"]],
            ],
            ",",
        ),
        "hw_S0028.xlsx": on_sheet("S0028", a["S0028"]),
        "S0030.xlsx": freehand(
            [["Id", "S0030"], ["Problem", "Part", "Value"], *(row[:3] for row in rows_of(a["S0030"]))]
        ),
        "S0031.csv": table([["student id", "S0031"], ["item", "answer"], *_short(a["S0031"])], ","),
        "hw_S0031_old.txt": f"student: S0013\n{lines_of(STRANGER)}",
        "S0032.txt": f"Student: S0032\n{lines_of(a['S0032'])}",
        "S0033.csv": on_sheet_text("S0033", a["S0033"], ".csv"),
        "hw_S0034.xlsx": on_sheet("S0034", a["S0001"])[:5000],
        "hw_S0999.xlsx": on_sheet("S0999", STRANGER),
        "homework.txt": lines_of(STRANGER),
        "scan0001.pdf": b"%PDF-1.4\n% an invented scan, and no answer sheet\n",
        "late_section_b.zip": zipped(late),
    }


def _short(answers: Answers) -> list[list[Any]]:
    return [row[:2] for row in rows_of(answers, dotted=True)]


def _drawn_table(id: str, answers: Answers) -> str:
    rows = "".join(f"| {problem}.{item} | {answer} |\n" for (problem, item), answer in zip(ITEMS, answers, strict=True))
    return f"## Homework 4\n\nstudent: {id}\n\n| item | answer |\n| --- | --- |\n{rows}"


def main() -> None:
    """Write the roster and the section."""
    for name, content in section().items():
        path = SECTION / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content.encode() if isinstance(content, str) else content)
    rows = [["id", "name", "section"], *STUDENTS]
    (SAMPLES / "roster.csv").write_bytes(table(rows, ",").replace("\r\n", "\n").encode())


if __name__ == "__main__":
    main()
