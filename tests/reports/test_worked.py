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
