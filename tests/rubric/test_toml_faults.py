"""A file that is not TOML: one sentence with the line, what is wrong there, and what would be right."""

import pytest

from grader.errors import RubricError
from grader.rubric.files import read_rubric

HEAD = 'title = "Lamp"\n'
CASES = {
    "value = 12 V": (2, 'value = "12 V"'),
    "value = kohm": (2, 'value = "kohm"'),
    "tolerance = 2 %": (2, 'tolerance = "2 %"'),
    'element = [\n  {name = "a", value = 3 V},\n]': (3, 'value = "3 V"'),
    "element = [\n  {name = R1, value = 3},\n]": (3, 'name = "R1"'),
    'course = "abc\nb = 1': (2, "opened and not closed"),
    'list = [\n  {name = "a"}\n  {name = "b"}\n]': (4, "comma is missing"),
    'list = [\n  {name = "a" kind = "b"},\n]': (3, "comma or a closing }"),
    "course 3": (2, "no '='"),
    'text = "5 \\ohm"': (2, "backslash"),
    "a = 1\na = 2": (3, "second time"),
    '[problem]\nid = "x"\n[[problem]]\nid = "y"': (4, "[[problem]], in double brackets"),
    '[[problem]]\nid = "x"\n[problem]\nid = "y"': (4, "[[problem]], in double brackets"),
    '[[problem]]\nitem = [{id = "a"}]\n[[problem.item]]\nid = "b"': (4, "not both"),
    '[[problem]\nid = "x"': (2, "bracket is missing"),
    "course = “EE 118”": (2, "straight ones"),
    'text = """abc\n def': (3, 'write """ at its end'),
    "a = 1,5": (2, "decimal comma goes into quotation marks"),
    "follow_absurd = True": (2, "true and false are written small"),
    "course =": (2, "a value is missing"),
    'course = "x", # last': (2, "comma stands between entries"),
}


@pytest.mark.parametrize("content", CASES)
def test_line_and_what_would_be_right(content):
    line, told = CASES[content]
    with pytest.raises(RubricError) as caught:
        read_rubric((HEAD + content).encode(), "lamp.toml")
    (sentence,) = caught.value.faults
    assert sentence.startswith(f"lamp.toml, line {line}: ")
    assert told in sentence
    assert "\n" not in sentence
