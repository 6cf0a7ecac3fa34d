"""Formulas of the worked solution as MathML: every line of many solutions is well formed and keeps its symbols."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from grader.circuit.response import solve
from grader.reports.formula import formula_mathml
from grader.reports.mathematics import safe_mathml
from grader.rubric.files import load_rubric
from grader.solution import worked_solution

RUBRICS = sorted((Path(__file__).parents[2] / "rubrics").glob("*.toml"))


def inside(text):
    return formula_mathml(text).removeprefix("<math>").removesuffix("</math>")


@pytest.mark.parametrize(
    ("text", "mathml"),
    [
        ("L/R", "<mfrac><mi>L</mi><mi>R</mi></mfrac>"),
        ("ω0", "<msub><mi>ω</mi><mtext>0</mtext></msub>"),
        ("v_C1", "<msub><mi>v</mi><mtext>C1</mtext></msub>"),
        ("1e7", "<mrow><msup><mn>10</mn><mn>7</mn></msup></mrow>"),
        ("RC", "<mi>R</mi><mi>C</mi>"),
        ("seen by C1", "<mtext>seen by C1</mtext>"),
        ("a < b", "<mi>a</mi><mo>&lt;</mo><mi>b</mi>"),
        ("−2", '<mo form="prefix">−</mo><mn>2</mn>'),
        ("2 kΩ·10 μF", '<mrow><mn>2</mn><mspace width="0.2em"/><mtext>kΩ</mtext></mrow><mo>·</mo>'
                       '<mrow><mn>10</mn><mspace width="0.2em"/><mtext>μF</mtext></mrow>'),
        ("√(L·C)", "<msqrt><mi>L</mi><mo>·</mo><mi>C</mi></msqrt>"),
        ("R3 + R1 ∥ R2", "<msub><mi>R</mi><mtext>3</mtext></msub><mo>+</mo><msub><mi>R</mi><mtext>1</mtext></msub>"
                         "<mo>∥</mo><msub><mi>R</mi><mtext>2</mtext></msub>"),
        ("e^(−t/τ)", '<msup><mi>e</mi><mrow><mo form="prefix">−</mo><mi>t</mi><mo>/</mo><mi>τ</mi></mrow></msup>'),
    ],
)  # fmt: skip
def test_forms(text, mathml):
    assert inside(text) == mathml


def test_an_instant_stays_with_its_name():
    shown = ET.fromstring(formula_mathml("i_C1(0+)/C"))
    assert shown[0].tag == "mfrac"
    assert "".join(shown[0][0].itertext()) == "iC1(0+)"


def symbols(text):
    """What is left when layout is taken away: brackets, signs of division and powers, blanks, underscores."""
    return re.sub(r"[\s()\[\]/^_*·,√²³]|½", "", text)


@pytest.mark.parametrize("path", RUBRICS, ids=lambda path: path.stem)
def test_every_line_of_the_worked_solutions(path):
    for problem in load_rubric(path).problems:
        if problem.circuit is None:
            continue
        signals = [item.signal for item in problem.items if item.signal is not None]
        for step in worked_solution(problem.circuit, solve(problem.circuit), signals):
            for text in (text for line in step.lines for text in (line.left, line.middle) if text):
                mathml = formula_mathml(text)
                assert safe_mathml(mathml) == mathml
                shown = "".join(ET.fromstring(mathml).itertext())
                plain = symbols(text)
                assert [c for c in symbols(shown) if c not in "23"] == [c for c in plain if c not in "23"]
