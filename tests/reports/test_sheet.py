"""Blank sheets: what is filled in comes back through the reader of uploads, in every form."""

import html
import io
import re
import zipfile
from pathlib import Path

import pytest
from openpyxl import load_workbook

from grader.errors import UsageError
from grader.problem import Rubric
from grader.reports.paper import paper
from grader.reports.picture import height, picture
from grader.reports.sheet import ANSWER, HEADER, sheet_bytes, sheet_csv, sheet_txt, sheet_xlsx
from grader.rubric.files import load_rubric, read_rubric
from grader.uploads.files.source import Source
from grader.uploads.reader import read_source
from tests.quantities import building
from tests.reports.report_samples import PAIRS, rubric

ANSWERS = {
    ("valve", "i0"): ("4", "A", "24/(2+4)"),
    ("valve", "tau"): ("1/50", "s", ""),
    ("valve", "i"): ("6 - 2e^(-50t)", "A", "=xf+(x0-xf)e^(-t/tau)"),
    ("horn", "v0"): ("0", "V", ""),
    ("horn", "heat"): ("R2", "", ""),
}


@pytest.fixture(scope="module")
def problems():
    return paper(rubric())


def read(name, data):
    (upload,) = read_source(Source(file=name, digest="0", data=data), PAIRS)
    return upload


def as_written(upload):
    return {(a.problem, a.item): (a.text, a.unit) for a in upload.answers}


WANTED = {pair: (text, unit) for pair, (text, unit, _) in ANSWERS.items()}


def test_every_sheet_says_where_signs_are_counted_from(problems):
    """A sign costs points: without the schematic at hand the words must settle it."""
    for form in (sheet_csv(problems).decode("utf-8"), sheet_txt(problems).decode("utf-8")):
        assert "plus at the node named first, and its current is counted from there" in " ".join(
            form.replace("\n|", "").split()
        )


@pytest.mark.parametrize("rule", ["advised", "required"])
def test_every_sheet_tells_the_figures_that_are_expected_of_a_value(rule):
    told = read_rubric(
        f"""
        title = "Winch brake"
        marking = {{significant_figures = 3, significant_figures_rule = "{rule}"}}
        [[problem]]
        id = "brake"
        item = [
          {{id = "t", find = "stated value", text = "Time constant", key = "21.3 ms", points = 1}},
          {{id = "up", find = "true or false", text = "It rises.", key = "true", points = 1}},
        ]
        """.encode(),
        "brake.toml",
    )
    for suffix in (".csv", ".txt", ".html"):
        said = " ".join(sheet_bytes(paper(told), suffix).decode("utf-8-sig").replace("\n|", "").split())
        assert said.count("(to 3 significant figures)") == 1


def test_a_unit_column_is_spoken_of_where_there_is_one(problems):
    for suffix in (".txt", ".html"):
        assert "unit column" not in sheet_bytes(problems, suffix).decode()
        assert "Put the unit after the number." in sheet_bytes(problems, suffix).decode()
    notes = load_workbook(io.BytesIO(sheet_xlsx(problems)))["How to write answers"]
    assert any("in the unit column" in str(cell.value) for (cell,) in notes.iter_rows(max_col=1))


@pytest.mark.parametrize("suffix", [".xlsx", ".csv", ".txt", ".html"])
def test_every_sheet_carries_the_caution_of_its_circuit(suffix):
    shown = paper(load_rubric(Path(__file__).parents[2] / "rubrics" / "gate_release.toml"))
    (problem,) = shown.problems
    content = sheet_bytes(shown, suffix)
    text = content.decode("utf-8-sig", "replace")
    if suffix == ".xlsx":
        text = " ".join(str(cell.value) for row in load_workbook(io.BytesIO(content))["Answers"] for cell in row)
    said = " ".join(html.unescape(re.sub(r"<[^>]+>|\|", " ", text)).split())
    assert problem.caution.startswith("Caution. ")
    assert problem.caution in said


def test_lines_of_a_text_sheet_are_as_narrow_as_an_editor(problems):
    """Folded, and every piece is still marked as no answer."""
    told, _, answers = sheet_txt(problems).decode().partition("\n\n")
    assert max(map(len, told.splitlines())) <= 80
    assert all(line.startswith("|") for line in told.splitlines())
    assert "valve.i0: " in answers


def test_the_workbook_holds_the_schematics(problems):
    """As pictures on a sheet of their own, with words for who cannot see them; the same bytes every time."""
    pytest.importorskip("resvg_py", reason="the renderer of drawings is not installed")
    data = sheet_xlsx(problems)
    assert data == sheet_xlsx(problems)
    drawn = [problem for problem in problems.problems if problem.figure]
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        pictures = [name for name in book.namelist() if name.endswith(".png")]
        assert len(pictures) == len(drawn) > 0
        assert all(book.read(name).startswith(b"\x89PNG") for name in pictures)
        described = b"".join(book.read(name) for name in book.namelist() if "drawings/drawing" in name).decode()
    assert all(html.escape(problem.elements[0]) in described for problem in drawn)


def test_labels_of_a_picture_are_drawn_in_its_own_fonts():
    """A letter is neither blank nor the box that stands for one that the font has not."""
    pytest.importorskip("resvg_py", reason="the renderer of drawings is not installed")
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="90" height="20"><text x="2" y="15" font-size="13">{}</text></svg>'
    blank = picture(svg.format(" "))
    others = {blank, picture(svg.format("\ue000"))}
    assert not others & {picture(svg.format(text)) for text in ("R1", "Ω", "μF", "τ", "é", "Ж")}
    assert height(blank) == 20


def test_a_filled_workbook_reads_back(problems):
    book = load_workbook(io.BytesIO(sheet_xlsx(problems)))
    sheet = book["Answers"]
    sheet.cell(2, ANSWER + 1).value = "S0012"
    for row in sheet.iter_rows(min_row=5):
        pair = (row[0].value, row[1].value)
        if pair in ANSWERS:
            for cell, text in zip(row[ANSWER : ANSWER + 3], ANSWERS[pair], strict=True):
                assert not cell.protection.locked
                assert cell.number_format == "@", "1/50 would become a date"
                cell.value = text or None
                cell.data_type = "s" if text else "n"
    filled = io.BytesIO()
    book.save(filled)
    upload = read("hw.xlsx", filled.getvalue())
    assert as_written(upload) == WANTED
    assert upload.student == "S0012"
    assert upload.faults == ()


def test_everything_but_the_answer_cells_is_locked(problems):
    sheet = load_workbook(io.BytesIO(sheet_xlsx(problems)))["Answers"]
    assert sheet.protection.sheet
    assert sheet.protection.password is None
    open_cells = [cell.coordinate for row in sheet.iter_rows() for cell in row if not cell.protection.locked]
    assert len(open_cells) == 1 + 3 * len(PAIRS)


def test_a_workbook_prints_and_scrolls_well(problems):
    sheet = load_workbook(io.BytesIO(sheet_xlsx(problems)))["Answers"]
    assert [cell.value for cell in sheet[4]] == list(HEADER)
    assert sheet.freeze_panes == "A5"
    assert sheet.print_title_rows == "$4:$4"
    assert sheet.page_setup.fitToHeight in (0, "0")
    assert sheet.oddFooter.left.text == "EE 118 – Lock valve && <horn>"


def test_a_filled_table_reads_back(problems):
    lines = sheet_csv(problems).decode("utf-8-sig").split("\r\n")

    def fill(line):
        pair = tuple(line.split(",")[:2])
        if pair in ANSWERS:
            return ",".join([*line.rsplit(",", 3)[:1], *ANSWERS[pair]])
        return ",,student id,,S0012,," if "student id" in line else line

    upload = read("hw.csv", "\r\n".join(map(fill, lines)).encode())
    assert as_written(upload) == WANTED
    assert upload.student == "S0012"
    assert upload.faults == ()


def test_a_filled_text_reads_back(problems):
    text = sheet_txt(problems).decode().replace("student: ", "student: S0012")
    for (problem, item), (value, unit, _) in ANSWERS.items():
        assert f"\n{problem}.{item}: \n" in text
        text = text.replace(f"\n{problem}.{item}: \n", f"\n{problem}.{item}: {value} {unit}".rstrip() + "\n")
    upload = read("hw.txt", text.encode())
    assert {pair: answer for pair, (answer, _) in as_written(upload).items()} == {
        pair: f"{value} {unit}".strip() for pair, (value, unit) in WANTED.items()
    }
    assert upload.student == "S0012"
    assert upload.faults == ()
    assert all(answer.working == "" for answer in upload.answers)


@pytest.mark.parametrize("suffix", [".xlsx", ".csv"])
def test_a_blank_sheet_is_an_upload_of_blanks(problems, suffix):
    upload = read(f"hw{suffix}", sheet_bytes(problems, suffix))
    assert all(answer.text == "" for answer in upload.answers)
    assert upload.faults == ()


def test_the_page_shows_schematics_and_escapes(problems):
    page = sheet_bytes(problems, ".html").decode()
    assert page.count("<svg") == 2
    assert "Lock valve &amp; &lt;horn&gt;" in page
    assert "<script" not in page


@pytest.mark.parametrize("suffix", [".xlsx", ".csv", ".txt", ".html"])
def test_same_rubric_same_bytes(suffix):
    assert sheet_bytes(paper(rubric()), suffix) == sheet_bytes(paper(rubric()), suffix)


def test_another_ending_is_refused(problems):
    with pytest.raises(UsageError, match=r"ends in \.xlsx, \.csv, \.txt, \.html, not in '\.pdf'"):
        sheet_bytes(problems, ".pdf")


def test_every_printed_page_names_the_student_and_its_number():
    """A header group of a table is repeated on every page (CSS 2.2, 17.2); page numbers stand in the margin."""
    page = sheet_bytes(paper(rubric(), student="S0012"), ".html").decode()
    running = page[page.index('<p class="running">') :]
    assert "S0012" in running[: running.index("</p>")]
    assert page.index('<div class="pages">') < page.index('<p class="running">') < page.index("<section")
    assert ".running { display: table-header-group" in page
    assert "counter(page)" in page


STATED = ("", 'text = "At t = 0+", ', 'text = "Of (a) rises, (b) falls, (c) ends at 0: at t = 0+", ')


@pytest.mark.parametrize("text", STATED)
def test_whatever_a_question_says_all_that_may_be_chosen_stands_beside_it_once(text):
    """On every sheet, on the key, in the solution and in feedback, which all print the question."""
    item = f'id = "x", find = "choices", {text}options = ["rises", "falls", "ends at 0"], key = ["falls", "ends at 0"]'
    papers = paper(Rubric(title="", course="", problems=(building.problem("", item),), digest="", name="test.toml"))
    assert papers.problems[0].items[0].question.endswith(": at t = 0+") is (text == STATED[2])
    for suffix in (".csv", ".txt", ".html"):
        shown = " ".join(sheet_bytes(papers, suffix).decode().replace("\n|", "").split())
        assert shown.count("(a) rises, (b) falls, (c) ends at 0") == 1
    book = load_workbook(io.BytesIO(sheet_xlsx(papers)))["Answers"]
    assert any("(b) falls" in str(cell.value) for row in book.iter_rows() for cell in row)
    assert not book.data_validations.dataValidation, "a list from which one is chosen"
