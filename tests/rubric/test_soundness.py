"""What `vet` remarks on besides faults."""

import pytest

from grader.rubric.files import read_rubric
from grader.rubric.soundness import soundness

BASE = """
title = "T"
[[problem]]
id = "p"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], opens = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "g"], value = "4 ohm"},
  {name = "R2", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "1 H"},
]
item = [
  {id = "x", find = "expression", current = "L1", points = 4, parts = {"initial value" = 1, "form" = 3}},
]
"""


def remarks(text: str) -> list[str]:
    return [str(remark) for remark in soundness(read_rubric(text.encode(), "t.toml"))]


def test_a_sound_rubric_has_no_remark():
    assert remarks(BASE) == []


@pytest.mark.parametrize(
    "good, bad, what, wrong",
    [
        ('"form" = 3', '"form" = 1', "the parts add up to 2 points, but the item has 4", True),
        ("points = 4, parts", "points = 0, tolerance = 0, parts", "with a tolerance of 0", False),
        ("points = 4, parts", "tolerance = 0.3, points = 4, parts", "a tolerance of 30%", False),
        ('current = "L1"', 'voltage = "Vs"', "does not change at t = 0 s", False),
        ('name = "R2"', 'name = "r1"', "'R1' and 'r1' differ in letter case, width or alphabet alone", False),
        ('name = "R2"', 'name = "Ｒ1"', "'R1' and 'Ｒ1' differ in letter case, width or alphabet alone", False),
        ('["b", "g"], value', '["b", "h"], value', "only 'R1' is connected to node 'h'", False),
    ],
)
def test_remarks(good, bad, what, wrong):
    found = [r for r in soundness(read_rubric(BASE.replace(good, bad, 1).encode(), "t.toml")) if what in r.sentence]
    assert [remark.wrong for remark in found] == [wrong]
    assert found[0].where.startswith("problem 'p'")


def test_interrupted_inductor():
    """Without R1 nothing is left for the coil's current."""
    text = BASE.replace('{name = "R1", kind = "resistor", between = ["b", "g"], value = "4 ohm"},', "")
    assert any("leave a path for every inductor's current" in remark for remark in remarks(text))


def test_names_in_letters_of_two_alphabets():
    (remark,) = remarks(BASE.replace("R1", "A1").replace("R2", "\N{GREEK CAPITAL LETTER ALPHA}1"))
    assert "' differ in letter case, width or alphabet alone" in remark


def test_no_points_at_all():
    text = BASE.replace('points = 4, parts = {"initial value" = 1, "form" = 3}', "points = 0")
    found = soundness(read_rubric(text.encode(), "t.toml"))
    assert any(remark.wrong and "no item has any points" in remark.sentence for remark in found)


@pytest.mark.parametrize(
    "value, what",
    [
        ('"320 MH"', "the value of 'L1', 320 MH, is an unusual size; is its prefix right (m and M differ)?"),
        ('"0.32"', "the value of 'L1', 0.32, has no unit; it is taken as 320 mH."),
        ("0.32", "the value of 'L1', 0.32, has no unit; it is taken as 320 mH."),
        ('"320 mH"', None),
        ('"320m"', None),
        ('"L"', None),
    ],
)
def test_values_that_a_slip_makes(value, what):
    """A prefix mixed up or a unit left out changes every answer and is no fault of form."""
    found = remarks(BASE.replace('"1 H"', value))
    assert [text.split(": ", 1)[1] for text in found] == ([what] if what else [])


def sentences(elements: str, items: str) -> list[str]:
    text = f'title = "x"\n[[problem]]\nid = "p"\nground = "g"\nelement = [{elements}]\nitem = [{items}]'
    return [remark.sentence for remark in soundness(read_rubric(text.encode(), "x.toml"))]


STEP_ON_C = """
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "5 V"}},
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "1 uF"},
"""


def test_an_impulse_is_no_signal_that_does_not_change():
    found = sentences(STEP_ON_C, '{id = "i", find = "expression", current = "C1", points = 1}')
    assert any("is an impulse" in sentence for sentence in found)
    assert not any("does not change" in sentence for sentence in found)


TWICE = """
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "5 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s", opens = "5 ms"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF"},
"""


def test_items_that_leave_their_interval_open_are_told_in_one_sentence():
    asked = "\n".join(f'{{id = "{id}", find = "final value", voltage = "C1", points = 1}},' for id in ("f", "e"))
    told = [sentence for sentence in sentences(TWICE, asked) if "taken to speak" in sentence]
    assert len(told) == 1
    assert "'f' and 'e' are taken to speak of the switching at t = 0 s" in told[0]


def test_an_item_that_leaves_its_interval_open():
    asked = '{id = "f", find = "final value", voltage = "C1", points = 1}'
    assert any("taken to speak of the switching at t = 0 s" in sentence for sentence in sentences(TWICE, asked))
    said = asked.replace("points", 'after = "0 s", points')
    assert not any("taken to speak" in sentence for sentence in sentences(TWICE, said))


def test_two_items_that_read_alike():
    again = '{id = "f", find = "final value", voltage = "C1", points = 1}, {id = "h", find = "final value", voltage = "C1", points = 1}'
    assert any(sentence.startswith("f, h all read") for sentence in sentences(TWICE, again))


@pytest.mark.parametrize("nodes, wire", [(["b", "g"], False), (["c", "g"], True), (["g", "c"], True)])
def test_a_resistance_between_the_ends_of_a_coil(nodes, wire):
    """What is around the coil, 8 ohm, would be `resistance seen`."""
    between = f'{{id = "r", find = "resistance between", between = {nodes}, points = 1}},\n]'
    found = remarks(BASE.strip().removesuffix("]") + between)
    assert [("'L1' between these nodes is a wire" in remark) for remark in found] == [True] * wire
