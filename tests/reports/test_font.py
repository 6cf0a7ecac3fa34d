"""The mathematics font: it holds every sign that the pages' formulas need, grows its brackets, and keeps its licence."""

import re

import pytest

from grader.reports.feedback import feedback_html
from grader.reports.pages import FONTS
from grader.reports.paper import paper
from grader.reports.worked import worked_html
from grader.rubric.files import load_rubric
from grader.rubric.references import references
from tests.reports.report_samples import marked, rubric
from tests.reports.test_worked import RUBRICS

ttlib = pytest.importorskip("fontTools.ttLib")
pytest.importorskip("brotli")

INVISIBLE = "\u2061\u2062"


@pytest.fixture(scope="module")
def font():
    return ttlib.TTFont(FONTS / "mathematics.woff2")


def test_it_is_a_small_font_for_mathematics_under_its_own_name_and_licence(font):
    assert font["MATH"].table.MathVariants.VertGlyphConstruction
    assert font["name"].getDebugName(1) == "Board Mathematics"
    assert (FONTS / "mathematics.woff2").stat().st_size < 30_000
    assert "SIL OPEN FONT LICENSE Version 1.1" in (FONTS / "OFL.txt").read_text(encoding="utf-8")


def slanted(letter: str) -> str:
    """What MathML Core draws a one-letter ``mi`` with (section 2.4.2, table of italic mappings)."""
    if letter == "h":
        return "ℎ"
    for first, start in (("A", 0x1D434), ("a", 0x1D44E), ("α", 0x1D6FC)):
        if 0 <= ord(letter) - ord(first) < 26:
            return chr(start + ord(letter) - ord(first))
    return letter


@pytest.mark.parametrize("path", RUBRICS, ids=lambda path: path.stem)
def test_every_sign_of_every_formula_is_in_it(font, path):
    shown = load_rubric(path)
    html = worked_html(shown, references(shown))
    signs = {one for text in re.findall(r"<m(?:n|o|i|text)[^>]*>([^<]*)<", html) for one in text} - set(INVISIBLE)
    signs |= {slanted(text) for text in re.findall(r"<mi>([^<])</mi>", html)}
    assert signs <= {chr(code) for code in font.getBestCmap()} | {" "}


def test_pages_with_formulas_carry_it_and_their_policy_lets_it():
    shown = load_rubric(RUBRICS[0])
    for html in (worked_html(shown, references(shown)), feedback_html(paper(rubric()), marked())):
        assert html.count("@font-face") == 1
        assert "font-src data:" in html
