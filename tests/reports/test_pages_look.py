"""The self-contained pages in a real browser: accessible by axe-core's rules in light and dark, no wider than a phone."""

from pathlib import Path

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.reports.audit import audit, audit_html
from grader.reports.feedback import feedback_html
from grader.reports.mark_scheme import write_scheme
from grader.reports.paper import paper
from grader.reports.sheet import sheet_bytes
from grader.reports.worked import worked_html
from grader.rubric.files import load_rubric
from grader.rubric.references import references
from grader.uploads.upload import Student, Upload, Written
from tests.reports.report_samples import marked, rubric
from tests.reports.test_audit import TAU_IDEA, class_of, explained, folder
from tests.reports.test_worked import RUBRICS
from tests.web.test_browser import phone, webdriver
from tests.web.test_pages_look import CHECK, axe

__all__ = ["axe", "phone", "webdriver"]  # fixtures
pytestmark = pytest.mark.browser


WORKED = ("in_letters", "gate_damping", "tide_gauge")
"""Letters, both kinds of second order, and a sinusoid."""


FED_BACK = ("sluice_sequence", "weir_gauge")
"""An answer wider than a phone, and a drawing wider than the column beside the marks."""


def fed_back(name: str) -> str:
    """The feedback on the reference answers to a rubric, as a student may hand them in."""
    asked = load_rubric(Path("rubrics", f"{name}.toml"))
    answers = tuple(Written(problem=r.problem, item=r.item, text=r.text) for r in references(asked))
    upload = Upload(file="all.txt", digest="", student="S0012", answers=answers)
    return feedback_html(paper(asked), mark_upload(build_key(asked), upload))


@pytest.fixture(scope="module")
def pages(tmp_path_factory) -> list[Path]:
    """A page of every kind, as files."""
    place = tmp_path_factory.mktemp("pages")
    student = Student(id="S0012", name="Ines Marwood", section="A")
    found = audit([explained(folder(place / "results", class_of(20)), TAU_IDEA)])
    texts = {"feedback": feedback_html(paper(rubric()), marked(), student), "audit": audit_html(found)}
    texts.update({f"feedback_{name}": fed_back(name) for name in FED_BACK})
    texts["sheet"] = sheet_bytes(paper(rubric()), ".html").decode()
    for path in RUBRICS:
        if path.stem in WORKED:
            shown = load_rubric(path)
            texts[path.stem] = worked_html(shown, references(shown))
    write_scheme(build_key(load_rubric(Path("rubrics", "gate_damping.toml"))), place / "key.html")
    for name, text in texts.items():
        (place / f"{name}.html").write_text(text, encoding="utf-8")
    return sorted(place.glob("*.html"))


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_page_has_a_serious_fault_of_accessibility(pages, phone, axe, scheme):
    browser = phone(1300, 900)
    browser.execute_cdp_cmd(
        "Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": scheme}]}
    )
    found = []
    for page in pages:
        browser.get(page.as_uri())
        browser.execute_script(axe)
        shown = browser.execute_async_script(CHECK)
        found += [(page.name, *one) for one in shown if one[0] in {"serious", "critical"}]
    assert found == []


def test_no_page_is_wider_than_a_phone(pages, phone):
    browser = phone(390, 800)
    wide = []
    for page in pages:
        browser.get(page.as_uri())
        width = browser.execute_script("return document.documentElement.scrollWidth")
        if width > 390:
            wide.append((page.name, width))
    assert wide == []


def test_no_drawing_beside_the_marks_is_cut_off(pages, phone):
    browser = phone(1300, 900)
    for page in pages:
        browser.get(page.as_uri())
        cut = browser.execute_script(
            "return [...document.querySelectorAll('.beside .figure')].filter(f => f.scrollWidth > f.clientWidth).length"
        )
        assert cut == 0, page.name


def test_on_a_phone_every_verdict_stands_above_its_answer(pages, phone):
    browser = phone(390, 800)
    for page in pages:
        browser.get(page.as_uri())
        below = browser.execute_script(
            "return [...document.querySelectorAll('.mark:has(.wrote)')].filter(m => m.querySelector('.wrote')"
            ".getBoundingClientRect().top < m.querySelector('.verdict').getBoundingClientRect().top).length"
        )
        assert below == 0, page.name
