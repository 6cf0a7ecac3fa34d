"""The worked solution page: answers, steps and plots of every problem; the same bytes every time."""

import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from grader.circuit.response import solve
from grader.errors import RubricError
from grader.marking.marks import CORRECT, Mark
from grader.reading.render.typeset import equation_mathml
from grader.reports.mathematics import safe_mathml
from grader.reports.worked import worked_html
from grader.rubric.files import load_rubric, read_rubric
from grader.rubric.references import references
from grader.solution import worked_solution
from tests.reports.report_samples import rubric

RUBRICS = sorted((Path(__file__).parents[2] / "rubrics").glob("*.toml"))


@pytest.fixture(scope="module")
def page():
    return worked_html(rubric(), references(rubric()))


def test_it_holds_answers_steps_and_plots(page):
    text = re.sub(r"<[^>]+>", "", page)
    assert "Worked solution" in text
    for heading in ("Just before t = 0", "At t = 0+", "As t → ∞", "Sources off: time constant", "The response"):
        assert heading in text
    assert "final value 6 A" in text
    assert "after τ = 20 ms" in text
    assert page.count('class="plot"') == 2
    assert page.count('class="schematic') == 4  # each problem, and what its storage element looks into


def test_what_a_person_decided_is_said_beside_what_the_student_wrote():
    """A tick beside another value than the one that stands there as the answer."""
    own = Mark(problem="valve", item="tau", answer="7 ms", awarded=2.0, possible=2.0, verdict=CORRECT)
    pages = [
        worked_html(rubric(), references(rubric()), "S1", [replace(own, decision=said)])
        for said in ("", "Half a slip.")
    ]
    assert ["(decided)" in page for page in pages] == [False, True]


def test_resistors_are_drawn_as_the_rubric_says():
    """Everywhere on the page, in reduced drawings as well."""
    content = (RUBRICS[0].parent / "lock_valve.toml").read_bytes()
    box, zigzag = '<rect x="-22" y="-7" width="44" height="14"/>', '<path d="M-22 0L-18.3 -7'
    pages = [
        worked_html(shown, references(shown))
        for shown in (read_rubric(head + content, "lock_valve.toml") for head in (b"", b'resistors = "zigzag"\n'))
    ]
    count = pages[0].count(box)
    assert count > 6
    assert [(page.count(box), page.count(zigzag)) for page in pages] == [(count, 0), (0, count)]
    with pytest.raises(RubricError, match="'resistors' must be one of rectangle, zigzag, not 'wavy'"):
        read_rubric(b'resistors = "wavy"\n' + content, "lock_valve.toml")


def test_ids_are_unique(page):
    ids = re.findall(r'id="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_no_scripts_and_no_addresses(page):
    assert "<script" not in page
    assert not re.search(r"(?:src|href)=\"(?!#)", page)


def test_same_rubric_same_bytes(page):
    assert worked_html(rubric(), references(rubric())) == page


def test_nodes_that_the_steps_speak_of_are_drawn(page):
    """The horn's steps say "S1 connects c to q" and name node c in an equation."""
    horn = page[page.index('id="horn"') :]
    names = {re.sub(r"<[^>]+>", "", text) for text in re.findall(r"<text.*?</text>", horn)}
    assert {"c", "p", "q"} <= names
    assert "g" not in names


@pytest.mark.parametrize("path", RUBRICS, ids=lambda path: path.stem)
def test_every_formula_of_the_worked_solutions_is_mathematics_that_pages_let_through(path):
    for problem in load_rubric(path).problems:
        if problem.circuit is None:
            continue
        signals = [item.signal for item in problem.items if item.signal is not None]
        for step in worked_solution(solve(problem.circuit), signals):
            prose = [piece for sentence in (step.heading, *step.sentences) for piece in sentence]
            formulas = [side for line in step.lines for side in line.chain]
            for formula in (*formulas, *(piece for piece in prose if not isinstance(piece, str))):
                for piece in equation_mathml([formula.tree]):
                    assert safe_mathml(piece) == piece
                    assert not re.search(r"[_^*]", re.sub(r"<[^>]+>", "", piece))


def test_a_long_line_may_break_before_its_signs_and_prose_is_typeset(page):
    page = re.sub(r' alttext="[^"]*"', "", page)
    line = next(line for line in page.splitlines() if "<dd>" in line and "mfrac" in line and line.count("=</mo>") == 3)
    assert line.count("<math>") == 4 == line.count("<wbr>") + 1
    assert "e^(" not in page
    assert "R_th" not in page
    assert "i_L1" not in page
