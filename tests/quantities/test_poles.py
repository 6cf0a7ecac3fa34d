"""Poles and zeros as items: by hand, by follow-through, and what students write."""

import pytest

from grader.errors import NotDefined
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.problem import Rubric
from grader.quantities import asked
from grader.uploads.upload import Upload, Written
from grader.values.scalar import to_float
from grader.values.waveform import number_of
from tests.quantities.building import problem, question

LAG = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "6 u(t) V"},
    {name = "R1", kind = "resistor", between = ["a", "b"], value = "3 ohm"},
    {name = "R2", kind = "resistor", between = ["b", "c"], value = "1 ohm"},
    {name = "C1", kind = "capacitor", between = ["c", "g"], value = "0.5 F"},
"""
"""v(b, g)/Vs = (1 + s/2)/(1 + 2 s): a zero at -2 /s, a pole at -1/2 /s; the step adds a pole at 0."""

LOOP = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "1 u(t) V"},
    {name = "R1", kind = "resistor", between = ["a", "b"], value = "R"},
    {name = "L1", kind = "inductor", between = ["b", "g"], value = "L"},
"""


def values(circuit: str, item: str) -> list[complex]:
    found = question(circuit, f'id = "x", {item}')
    roots = asked(found.item.find).reference(found)
    parts = (tuple(to_float(number_of(part)) for part in root) for root in roots)
    return sorted((complex(*part) for part in parts), key=lambda z: (z.real, z.imag))


@pytest.mark.parametrize(
    "circuit, item, right",
    [
        (LAG, 'find = "poles", voltage = ["b", "g"], of = "Vs"', [-0.5]),
        (LAG, 'find = "zeros", voltage = ["b", "g"], of = "Vs"', [-2]),
        (LAG, 'find = "poles", voltage = ["b", "g"]', [-0.5, 0]),
        # Current of the damper: s/(s² + 6s + 25) · 5/s, the zero at 0 and the step's pole cancel.
        ("damper", 'find = "poles", current = "L1"', [-3 - 4j, -3 + 4j]),
        ("damper", 'find = "zeros", current = "L1", of = "Vs"', [0]),
        # v_L/Vs = s²/(s² + 6s + 25).
        ("damper", 'find = "zeros", voltage = "L1", of = "Vs"', [0, 0]),
        # v_R + v_L over Vs = (s² + 6s)/(s² + 6s + 25).
        ("damper", 'find = "zeros", voltage = ["a", "c"], of = "Vs"', [-6, 0]),
    ],
)
def test_by_hand(circuit, item, right):
    assert values(circuit, item) == pytest.approx(right)


def test_letters():
    """I/V = (1/L)/(s + R/L)."""
    found = question(LOOP, 'id = "x", find = "poles", current = "L1", of = "Vs"')
    ((real, imaginary),) = asked("poles").reference(found)
    assert not imaginary.terms
    assert real == question_value('key = "-R1/L1"')


def question_value(key: str):
    found = question(LOOP, f'id = "x", find = "stated value", {key}')
    return asked("stated value").reference(found)


def test_where_there_are_none():
    with pytest.raises(NotDefined, match="no finite zeros"):
        values("damper", 'find = "zeros", voltage = "C1", of = "Vs"')


ITEMS = (
    'id = "H", find = "transfer function", voltage = ["b", "g"], of = "Vs"',
    'id = "V", find = "transform", voltage = ["b", "g"]',
    'id = "p", find = "poles", voltage = ["b", "g"]',
    'id = "z", find = "zeros", voltage = ["b", "g"], of = "Vs"',
)


@pytest.mark.parametrize(
    "answers, points",
    [
        ({"p": "s = 0 and s = -0.5", "z": "-2"}, [1, 1]),
        ({"p": "-1/2, 0", "z": "s1 = -2 1/s"}, [1, 1]),
        ({"p": "0; -0,5", "z": "z = -2 rad/s"}, [1, 1]),
        ({"p": "-0.5", "z": "2"}, [0.5, 0.5]),  # one of two; a turned sign
        # Of the own V(s) = 6(s + 2)/(s (4s + 5)): 0 and -1.25; of the own H(s) = (s + 3)/(4s + 2): -3.
        ({"H": "(s + 3)/(4s + 2)", "V": "6(s + 2)/(s(4s + 5))", "p": "0, -1.25", "z": "-3"}, [1, 1]),
    ],
)
def test_marks(answers, points):
    rubric = Rubric(title="", course="", problems=(problem(LAG, *ITEMS),), digest="", name="test.toml")
    written = tuple(Written(problem="p", item=item, text=text) for item, text in answers.items())
    marks = mark_upload(build_key(rubric), Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    assert [mark.awarded for mark in marks if mark.item in ("p", "z")] == points
