"""The worked solution page: answers, steps and plots of every problem; the same bytes every time."""

from __future__ import annotations

import re

import pytest

from grader.reports.worked import worked_html
from grader.rubric.references import references
from tests.reports.report_samples import rubric


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
    assert page.count('class="schematic') == 2


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


def test_a_long_line_may_break_before_its_equals_signs_and_prose_is_typeset(page):
    line = next(line for line in page.splitlines() if "<dd>" in line and "mfrac" in line and line.count("=</mo>") == 3)
    assert line.count("<math>") == 4
    assert "e^(" not in page
    assert "R_th" not in page
    assert "i_L1" not in page
