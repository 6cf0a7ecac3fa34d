"""Only presentation MathML reaches a page as markup."""

import pytest

from grader.reports.mathematics import safe_mathml
from tests.reports.report_samples import MATHML


def test_mathematics_passes():
    assert safe_mathml(MATHML) == MATHML


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("<math><mtext>a</mtext><script>alert(1)</script></math>", "aalert(1)"),
        ('<math onclick="x()"><mn>1</mn></math>', "1"),
        ('<math><mi href="javascript:x()">t</mi></math>', "t"),
        ("<math><mn>1</mn>", "&lt;math&gt;&lt;mn&gt;1&lt;/mn&gt;"),
        ("2 < 3", "2 &lt; 3"),
        ("<math><mrow><mtext>it\u00a0rises &lt; 2</mtext></mrow></math>", "it rises &lt; 2"),
        ("", ""),
    ],
)
def test_anything_else_becomes_text(text, shown):
    assert str(safe_mathml(text)) == shown


def test_a_document_type_is_never_parsed():
    bomb = '<!DOCTYPE math [<!ENTITY a "aaaa">]><math>&a;</math>'
    assert str(safe_mathml(bomb)).startswith("&lt;!DOCTYPE")
