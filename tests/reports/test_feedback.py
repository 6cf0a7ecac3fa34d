"""The student's page and workbook: everything there, nothing that must not be, nothing that acts."""

import io
import re
from html.parser import HTMLParser

import pytest
from msgspec.structs import replace
from openpyxl import load_workbook

from grader.marking.marks import VERDICTS
from grader.reports.annotated import COLUMNS, HEADER_ROW, INKS, annotated_xlsx
from grader.reports.feedback import feedback_html
from grader.reports.pages import TEMPLATES
from grader.reports.paper import paper
from grader.reports.wording import read_as_written, with_titles
from grader.reports.workbook import WASH
from grader.rubric.references import references
from grader.uploads.upload import Student
from tests.reports.report_samples import marked, rubric


@pytest.fixture(scope="module")
def page():
    return feedback_html(paper(rubric()), marked(), Student(id="S0012", name="Ines Marwood", section="A"))


class Reader(HTMLParser):
    """What a browser sees: tags with their attributes, and the headings in order."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.headings, self.words = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))

    def handle_data(self, data):
        self.words.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.words).split())


def test_everything_of_a_mark_is_shown(page):
    text = Reader(page).text
    for expected in (
        "Ines Marwood", "(S0012)", "hw3_S0012.xlsx", "4 of 9 points (44.4 %)",
        "Initial value: current in L1 just after switching", "=4 A", "Right 1 of 1", "Not yet 0 of 2",
        "Partly right 3 of 4", "Could not be read 0 of 1", "No answer 0 of 1",
        "Work out the unit of your expression: is it seconds?", "Agreed in the office hour.",
        "1 answer will still be looked at by a person", "time constant, following your earlier answer 2 of 2", "initial value 1 of 2", "Look at this first",
    ):  # fmt: skip
        assert expected in text
    assert "<math><mn>4</mn>" in page


def test_notes_and_reference_answers_stay_away(page):
    text = Reader(page).text
    assert "For the instructor alone" not in text
    assert "rl-time-constant-inverted" not in text
    written = " ".join(mark.answer + mark.reading for mark in marked().marks)
    for reference in references(rubric()):
        if reference.kind != "choice":
            assert reference.text not in text or reference.text in written


def test_nothing_a_student_writes_acts(page):
    tags = Reader(page).tags
    names = {tag for tag, _ in tags}
    assert not names & {"script", "iframe", "object", "embed", "form", "link", "img"}
    assert not any(name.startswith("on") or name == "style" for _, attributes in tags for name in attributes)
    links = [a["href"] for tag, a in tags if tag == "a"]
    assert links
    assert all(link.startswith("#") for link in links)
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


def test_the_page_is_sound_for_screen_readers(page):
    reader = Reader(page)
    assert ("html", {"lang": "en"}) in reader.tags
    assert reader.headings[0] == 1
    assert all(after - before <= 1 for before, after in zip(reader.headings, reader.headings[1:], strict=False))
    ids = [a["id"] for _, a in reader.tags if "id" in a]
    assert len(ids) == len(set(ids))
    for _, attributes in reader.tags:
        for name in ("aria-labelledby",):
            assert set(attributes.get(name, "").split()) <= set(ids)
    assert all("scope" in a for tag, a in reader.tags if tag == "th")
    assert sum(tag == "table" for tag, _ in reader.tags) == sum(tag == "caption" for tag, _ in reader.tags)


def test_cautions_stand_where_a_circuit_would_be_dangerous(page):
    valve, horn = page.split('<section class="beside" aria-labelledby="horn">')
    assert "Caution." not in valve
    assert "could be charged to 60 V or more" in horn
    assert "local codes and licensed practice govern" in horn


def luminance(colour):
    """Relative luminance (WCAG 2.2, definition)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_the_formula_itself():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


def full(colour):
    return "#" + "".join(2 * digit for digit in colour[1:]) if len(colour) == 4 else colour


def test_text_stands_out_from_its_ground():
    """WCAG 2.2, 1.4.3: 4.5 to 1 for text; 1.4.11: 3 to 1 for the lines that carry meaning."""
    style = (TEMPLATES / "page.css").read_text(encoding="utf-8")
    colours = {name: full(value) for name, value in re.findall(r"--([\w-]+): (#[0-9a-f]+)", style)}
    grounds = [colours[name] for name in ("paper", "wash", "field", "caution")] + ["#ffffff"]
    for name in ("ink", "soft", "right", "partly", "not-yet", "blank"):
        assert min(contrast(colours[name], ground) for ground in grounds) >= 4.5, name
    assert min(contrast(colours["edge"], ground) for ground in grounds) >= 3


def test_the_workbook_keeps_texts_as_texts():
    book = load_workbook(io.BytesIO(annotated_xlsx(paper(rubric()), marked())))
    sheet = book.active
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=HEADER_ROW + 1)]
    assert rows[0] == [name for name, _ in COLUMNS]
    assert [row[3] for row in rows[1:]] == [mark.answer or None for mark in marked().marks]
    assert [row[5] for row in rows[1:]] == [1, 0, 3, 0, 0]
    assert rows[2][7] == "✗ Not yet"
    assert "Time constant: right, following your earlier answer, 2 of 2." in rows[3][8]
    assert not any(cell.data_type == "f" for row in sheet.iter_rows() for cell in row)
    assert "For the instructor alone." not in str(rows)


def test_same_marks_same_bytes():
    assert annotated_xlsx(paper(rubric()), marked()) == annotated_xlsx(paper(rubric()), marked())
    assert feedback_html(paper(rubric()), marked()) == feedback_html(paper(rubric()), marked())


@pytest.mark.benchmark
def test_feedback_is_fast():
    import time

    problems, marks = paper(rubric()), marked()
    for make in (feedback_html, annotated_xlsx):
        make(problems, marks)
        start = time.perf_counter()
        for _ in range(50):
            make(problems, marks)
        print(f"{make.__name__}: {(time.perf_counter() - start) / 50 * 1000:.2f} ms for each student")


def test_a_right_answer_takes_one_line_and_nothing_is_said_twice(page):
    """Verdict, points and what was written stand in the line of the question; a wrong answer says why below it."""
    right, wrong, *_ = re.findall(r'<li class="mark.*?</li>', page, re.DOTALL)
    said, _, verdict = right.partition('<p class="verdict">')
    assert "You wrote" in said[said.index('<div class="line">') :]
    assert verdict.partition("</p>")[2].replace("</div>", "").split() == ["</li>"]
    assert "You wrote" not in wrong[: wrong.index('<p class="verdict">')]


def test_verdicts_of_the_workbook_have_a_sign_words_and_an_ink_that_stands_out():
    """Never colour alone; every verdict has one."""
    sheet = load_workbook(io.BytesIO(annotated_xlsx(paper(rubric()), marked())))["Feedback"]
    cells = [sheet.cell(row, 8) for row in range(5, sheet.max_row + 1)]
    assert len({cell.font.color.rgb for cell in cells}) > 2
    assert not any("This is right" in str(sheet.cell(row, 9).value) for row in range(5, sheet.max_row + 1))
    assert all(cell.value.strip() for cell in cells)
    assert set(INKS) == set(VERDICTS)
    assert all(contrast(ink, ground) >= 4.5 for ink in INKS.values() for ground in ("#FFFFFF", WASH))


def test_earlier_items_are_told_by_what_they_ask_and_nothing_else_is():
    mark = marked().marks[0]
    titles = {(mark.problem, "v"): "Voltage", (mark.problem, "tau"): "Time constant"}
    told = with_titles("'v' was read as V. This is right for your own answers to 'v' and 'tau'.", mark, titles)
    assert told == "'v' was read as V. This is right for your own answers to “Voltage” and “Time constant”."


def test_words_read_as_they_stand_are_not_told_twice():
    one = replace(
        marked().marks[0], answer="It rises; then it falls.", reading="it rises then it falls", reading_mathml=""
    )
    assert read_as_written(one)
    assert not read_as_written(replace(one, reading="it falls"))
    assert not read_as_written(replace(one, answer="3", reading="3", reading_mathml="<math><mn>3</mn></math>"))
