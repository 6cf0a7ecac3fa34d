"""What a field says of a number in per cent, and what Check reading says of one without its sign."""

import pytest

from grader.marking.key import build_key
from grader.rubric.files import read_rubric
from tests.web.conftest import SHEET

RUBRIC = """
title = "Bilge float"
[[problem]]
id = "float"
item = [{{id = "left", find = "stated value", text = "{text}", key = "{key}", points = 1}}]
"""


@pytest.mark.parametrize(
    "text, key, hint, warned",
    [
        ("Share that is left", "13.5 %", "A number, with its unit (%).", True),
        ("Share that is left, in percent", "13.5 %", "A number, in per cent.", False),
        ("Share that is left", "0.135", "A plain number.", False),
    ],
)
def test_a_number_in_per_cent(make_site, browser, codes, text, key, hint, warned):
    rubric = read_rubric(RUBRIC.format(text=text, key=key).encode(), "float.toml")
    student = browser(make_site(keys={SHEET: build_key(rubric)}), codes["S0001"])
    assert hint in student.get(f"/sheets/{SHEET}").text
    page = student.answer({"float.left": "13.5"}, do="check").text
    assert ("No percent sign was read" in page) is warned
    assert "No percent sign was read" not in student.answer({"float.left": "13.5 %"}, do="check").text


@pytest.mark.parametrize(
    "units, hint",
    [("required", "A time, with its unit (s)."), ("assumed", "A time, unit (s)."), ("ignored", "A time.")],
)
def test_a_field_asks_for_the_unit_that_counts(make_site, browser, codes, units, hint):
    text = RUBRIC.format(text="Time", key="2 ms").replace("points", f'units = "{units}", points')
    student = browser(make_site(keys={SHEET: build_key(read_rubric(text.encode(), "float.toml"))}), codes["S0001"])
    assert f">{hint}<" in student.get(f"/sheets/{SHEET}").text
