"""Gradebook and review list: rows by student, numbers as numbers, texts that cannot act."""

import csv
import io
import zipfile

import pytest
from msgspec.structs import replace
from openpyxl import load_workbook

from grader.marking.marks import BLANK, FOLLOWED, INCORRECT, PARTLY, Marked, Part
from grader.reports.gradebook import GradebookCell, gradebook_csv, gradebook_header, gradebook_row, gradebook_xlsx
from grader.reports.paper import paper
from grader.reports.review import REVIEW_HEADER, pooled, review_csv, review_rows
from grader.uploads.upload import Student, Upload
from tests.reports.report_samples import marked, rubric

ENTRIES = (
    GradebookCell(
        student=Student(id="S0012", name="Ines Märwood", section="A"), marked=marked(), flags=("handed in twice",)
    ),
    GradebookCell(student=Student(id="S0013", name='=HYPERLINK("x")', section="B"), marked=None),
)


@pytest.fixture(scope="module")
def problems():
    return paper(rubric())


def test_columns_follow_the_rubric(problems):
    assert gradebook_header(problems) == (
        "student", "name", "section", "valve.i0", "valve.tau", "valve.i", "valve total", "horn.v0", "horn.heat",
        "horn total", "total", "possible", "percent", "points lost to", "flags",
    )  # fmt: skip


def test_points_totals_and_flags(problems):
    """What nobody could read is a gap until a person gives it points, and lowers no mean of its column."""
    row = gradebook_row(problems, ENTRIES[0])
    assert row == (
        "S0012", "Ines Märwood", "A", 1, 0, 3, 4, None, 0, 0, 4, 9, 44.44,
        "valve.tau 2 (R/L for L/R); valve.i 1 (decided: Agreed in the office hour.); horn.heat 1 (blank)", "1 for review; 1 decided; handed in twice",
    )  # fmt: skip


def test_every_lost_point_says_to_what(problems):
    """Parts, a mistake that alone explains the answer, the unit, too few figures; thirds as the student's page says them."""
    said = {
        "unit": {"reasons": ("The unit is missing, which costs 25 % of the points.",)},
        "figures": {
            "reasons": ("It is given to 1 significant figure; 3 are expected, which costs 25 % of the points.",)
        },
        "in part": {"verdict": PARTLY},
        "following, unit": {
            "reasons": ("For t > 2 s: The unit is missing, which costs 25 % of what it earns.",),
            "parts": (Part(name="form", awarded=0.9, possible=1, verdict=FOLLOWED),),
        },
        "final value": {"parts": (Part(name="final value", awarded=0, possible=1, verdict=INCORRECT),)},
    }
    for words, given in said.items():
        mark = replace(marked().marks[0], awarded=2 / 3, possible=1, decision="", review=False, **given)
        row = gradebook_row(
            problems, GradebookCell(student=Student(id="S1"), marked=Marked(student="S1", file="", marks=(mark,)))
        )
        assert (row[3], row[-2]) == (0.67, f"valve.i0 0.33 ({words})")


def test_who_handed_nothing_in_has_empty_cells_not_zeros(problems):
    row = gradebook_row(problems, ENTRIES[1])
    assert set(row[3:11]) == {None}
    assert row[-2:] == ("", "nothing handed in")


def test_the_table_reads_back(problems):
    data = gradebook_csv(problems, ENTRIES)
    assert data.startswith(b"\xef\xbb\xbf")
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))
    assert rows[0] == list(gradebook_header(problems))
    assert rows[1][:6] == ["S0012", "Ines Märwood", "A", "1", "0", "3"]
    assert rows[2][1] == '\'=HYPERLINK("x")'
    assert {len(row) for row in rows} == {len(rows[0])}


def test_the_workbook_has_numbers_filters_and_points_possible(problems):
    book = load_workbook(io.BytesIO(gradebook_xlsx(problems, ENTRIES)))
    sheet = book["Grades"]
    assert sheet.freeze_panes == "D2"
    assert sheet.auto_filter.ref == "A1:O3"
    assert [cell.value for cell in sheet[2]] == list(gradebook_row(problems, ENTRIES[0]))
    assert sheet["B3"].value == '=HYPERLINK("x")'
    assert sheet["B3"].data_type == "s"
    points = [[cell.value for cell in row] for row in book["Points possible"].iter_rows()]
    assert points[2] == ["valve", "tau", "Time constant τ", 2]
    assert points[-1][-1] == 9


@pytest.mark.parametrize("name", ["R&D <b> \"x\" 'y'", " two blanks ", "Straße\n‹2›", "=1+1", "x" * 33_000])
def test_texts_come_back_from_the_workbook_as_they_were(problems, name):
    entry = GradebookCell(student=Student(id="S1", name=name), marked=None)
    sheet = load_workbook(io.BytesIO(gradebook_xlsx(problems, [entry])))["Grades"]
    assert (sheet["B2"].value, sheet["B2"].data_type) == (name[:32_000], "s")


def test_what_looks_like_the_code_of_a_character_stays_text(problems):
    """A workbook takes _x0041_ for an A; the underscore in front is written as its own code (ST_Xstring of ECMA-376, from memory)."""
    entry = GradebookCell(student=Student(id="S1", name="_x0041_"), marked=None)
    with zipfile.ZipFile(io.BytesIO(gradebook_xlsx(problems, [entry]))) as book:
        assert b">_x005F_x0041_<" in book.read("xl/worksheets/sheet1.xml")


def test_every_sheet_of_the_workbook_is_printed_one_page_wide(problems):
    book = load_workbook(io.BytesIO(gradebook_xlsx(problems, ENTRIES)))
    assert all(sheet.sheet_properties.pageSetUpPr.fitToPage for sheet in book.worksheets)


def test_a_wide_gradebook_is_printed_on_several_pages_side_by_side_with_the_ids_on_each(problems):
    """60 columns of at most 13 characters and some 200 of others: six pages of 190 characters at most."""
    (first, *others) = problems.problems
    many = tuple(replace(first.items[0], id=f"item{k}") for k in range(60))
    wide = replace(problems, problems=(replace(first, items=many), *others))
    for shown, least, most in ((problems, 1, 1), (wide, 2, 6)):
        sheet = load_workbook(io.BytesIO(gradebook_xlsx(shown, [])))["Grades"]
        assert least <= int(sheet.page_setup.fitToWidth or 1) <= most
        assert sheet.print_title_cols == "$A:$A" or sheet.print_title_cols == "A:A"


def test_same_marks_same_bytes(problems):
    assert gradebook_xlsx(problems, ENTRIES) == gradebook_xlsx(problems, ENTRIES)


def test_the_review_list_holds_what_waits_for_a_person():
    upload = Upload(file="lost.xlsx", digest="", student=None, answers=(), faults=("The file names no student.",))
    rows = list(review_rows([marked()], [upload]))
    assert [dict(zip(REVIEW_HEADER, row, strict=True))["item"] for row in rows] == ["v0", ""]
    assert rows[1][2] == "lost.xlsx"
    assert rows[1][10] == "The file names no student."
    assert all(row[-2:] == ("", "") for row in rows)


def review_row(**cells):
    return tuple({"count": "1", **cells}.get(name, "") for name in REVIEW_HEADER)


def test_equal_readings_are_one_row_with_a_count():
    rows = [
        review_row(student="S1", file="a.txt", item="tau", answer="7ms", reading="7 ms"),
        review_row(student="S2", file="b.txt", item="tau", answer="8 ms", reading="8 ms"),
        review_row(student="S3", file="c.txt", item="tau", answer="7 ms", reading="7 ms"),
        review_row(student="S4", file="d.txt", item="tau", answer="??"),
        review_row(student="S5", file="e.txt", item="tau", answer="???"),
    ]
    found = [dict(zip(REVIEW_HEADER, row, strict=True)) for row in pooled(rows)]
    assert [(row["student"], row["count"]) for row in found] == [("S1; S3", "2"), ("S2", "1"), ("S4", "1"), ("S5", "1")]
    assert (found[0]["answer"], found[0]["file"], found[1]["file"]) == ("7ms\n7 ms", "", "b.txt")


def test_the_review_table_cannot_act():
    data = review_csv(review_rows([marked()])).decode("utf-8-sig")
    row = next(iter(csv.DictReader(io.StringIO(data))))
    assert row["answer"] == "'@ninety"
    assert row["decision"] == ""


def test_nothing_to_review_gives_the_heading_alone():
    data = review_csv(review_rows([Marked(student="S1", file="", marks=())])).decode("utf-8-sig")
    assert data == ",".join(REVIEW_HEADER) + "\r\n"


def test_the_workbook_ends_with_the_means_of_those_who_handed_something_in(problems):
    """(1 + 0.5)/2 = 0.75; who handed nothing in counts nowhere."""
    second = replace(marked(), marks=tuple(replace(mark, awarded=mark.awarded / 2) for mark in marked().marks))
    third = GradebookCell(student=Student(id="S0014"), marked=second)
    sheet = load_workbook(io.BytesIO(gradebook_xlsx(problems, (*ENTRIES, third))))["Grades"]
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert rows[-2] == [None] * len(rows[0])
    means = dict(zip(rows[0], rows[-1], strict=True))
    assert means["student"] == "mean"
    assert (means["valve.i0"], means["valve total"], means["total"], means["possible"]) == (0.75, 3, 3, 9)
    assert means["flags"] is None
    assert sheet["D2"].number_format == "General"  # '0.##' would show "1."


def test_an_upload_without_any_answer_is_flagged(problems):
    blank = replace(
        marked(), marks=tuple(replace(mark, verdict=BLANK, review=False, decision="") for mark in marked().marks)
    )
    assert gradebook_row(problems, GradebookCell(student=Student(id="S1"), marked=blank))[-1] == "no answer in it"
