"""Transforms of what begins later, e^(-sT) and delayed impulses: by hand, and points for what students write."""

import pytest

from grader.errors import NotDefined
from grader.marking.fractions import judge_fraction
from grader.marking.judgement import Size
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.problem import Rubric
from grader.quantities import asked
from grader.rubric.references import references
from grader.uploads.upload import Upload, Written
from tests.quantities.building import problem, question

PULSE = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "10 u(t) - 10 u(t - 2 ms) V"},
    {name = "R1", kind = "resistor", between = ["a", "b"], value = "1 kohm"},
    {name = "C1", kind = "capacitor", between = ["b", "g"], value = "2 uF"},
"""
"""V(s) = 5000 (1 - e^(-0.002 s))/(s (s + 500)), I(s) = 0.01 (1 - e^(-0.002 s))/(s + 500)."""

LATE = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "10 u(t - 1 s) V"},
    {name = "R1", kind = "resistor", between = ["a", "b"], value = "6 ohm"},
    {name = "L1", kind = "inductor", between = ["b", "c"], value = "1 H"},
    {name = "C1", kind = "capacitor", between = ["c", "g"], value = "40 mF"},
"""
"""V(s) = 250 e^(-s)/(s (s² + 6 s + 25))."""

STRUCK = """
    {name = "Is", kind = "current source", between = ["g", "a"], waveform = "(6 δ(t) - 2 δ(t - 2 s)) mA"},
    {name = "R1", kind = "resistor", between = ["a", "g"], value = "1 kohm"},
    {name = "C1", kind = "capacitor", between = ["a", "g"], value = "2 mF"},
"""
"""6 mC bring 3 V, -2 mC at 2 s take 1 V: V(s) = (3 - e^(-2 s))/(s + 1/2)."""

SWITCHED = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
    {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s", opens = "2 s"},
    {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 ohm"},
    {name = "R2", kind = "resistor", between = ["c", "g"], value = "1 ohm"},
    {name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 F"},
"""
"""5 (1 - e^(-2t)) V until 2 s, then A e^(-(t - 2 s)) with A = 5 (1 - e^(-4)) V = 4.908422 V.

Without the opening V = 10/(s (s + 2)); it adds e^(-2s) (A/(s + 1) - 5/s + (5 - A)/(s + 2)).
"""

A = "4.908422"


@pytest.mark.parametrize(
    "circuit, signal, right",
    [
        (PULSE, 'voltage = "C1"', "5000/(s (s + 500)) - 5000 e^(-0.002 s)/(s (s + 500))"),
        (PULSE, 'current = "C1"', "0.01 (1 - e^(-0.002 s))/(s + 500)"),
        (LATE, 'voltage = "C1"', "250 e^(-s)/(s (s^2 + 6 s + 25))"),
        (STRUCK, 'voltage = "C1"', "(3 - e^(-2 s))/(s + 0.5)"),
        # The current of C1: 2e-3 s V(s), an impulse of 6 mC and one of -2 mC in it.
        (STRUCK, 'current = "C1"', "0.002 s (3 - e^(-2 s))/(s + 0.5)"),
        (SWITCHED, 'voltage = "C1"', f"10/(s(s+2)) + e^(-2s) ({A}/(s+1) - 5/s + (5 - {A})/(s+2))"),
    ],
)
def test_by_hand(circuit, signal, right):
    found = question(circuit, f'id = "x", find = "transform", {signal}')
    key = question(circuit, f'id = "x", find = "transform", {signal}, key = "{right}"').item.key
    rubric = Rubric(title="", course="", problems=(found.problem,), digest="", name="test.toml")
    assert points(rubric, {"x": key}) == [1]


def points(rubric, answers):
    written = tuple(Written(problem="p", item=item, text=text) for item, text in answers.items())
    marks = mark_upload(build_key(rubric), Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    return [mark.awarded for mark in marks if mark.item in answers]


@pytest.mark.parametrize(
    "answer, earned",
    [
        ("5000(1-e^{-0.002s})/(s(s+500)) V s", 1),
        ("(1 - exp(-2ms s)) (10/s - 10/(s+500))", 1),
        ("10/s - 10/(s+500) - 10e^-0.002s/s + 10e^-0.002s/(s+500)", 1),
        ("(1 - e^(-s/500)) 5000/(s^2 + 500 s)", 1),
        ("10/s - 10/(s+500) - (10/s - 10/(s+500)) e^(-0.002 s)", 1),
        # Poles, gain and delays count (there are no zeros): the delay wrong, a third is lost.
        ("5000(1-e^(-0.004 s))/(s(s+500))", 0.6667),
        # The delay right, a pole wrong; the gain fits.
        ("5000(1-e^(-0.002 s))/(s(s+400))", 0.6667),
        # The pulse's second edge forgotten.
        ("5000/(s(s+500))", 0),
        ("5000(e^(-0.002 s)-1)/(s(s+500))", 0.5),
    ],
)
def test_marks(answer, earned):
    found = problem(PULSE, 'id = "x", find = "transform", voltage = "C1"')
    rubric = Rubric(title="", course="", problems=(found,), digest="", name="test.toml")
    assert points(rubric, {"x": answer}) == pytest.approx([earned])


def test_the_answer_as_written():
    found = problem(PULSE, 'id = "x", find = "transform", voltage = "C1"')
    rubric = Rubric(title="", course="", problems=(found,), digest="", name="test.toml")
    (reference,) = references(rubric)
    assert reference.text == "5000/(s^2 + 500 s) - (5000/(s^2 + 500 s)) e^(-0.002 s)"


def test_letters():
    """V0/(s (1 + s R C)) (1 - e^(-0.002 s)), and a switch later on is refused in a sentence."""
    lines = PULSE.replace("10 u(t) - 10 u(t - 2 ms) V", "V0 u(t) - V0 u(t - 2 ms)")
    lines = lines.replace("1 kohm", "R").replace("2 uF", "C")
    found = problem(lines, 'id = "x", find = "transform", voltage = "C1"')
    rubric = Rubric(title="", course="", problems=(found,), digest="", name="test.toml")
    assert points(rubric, {"x": "V0 (1 - e^(-0.002 s))/(s (1 + s R C))"}) == [1]
    switched = SWITCHED.replace('"1 ohm"', '"R"')
    with pytest.raises(NotDefined, match="give numbers"):
        asked("transform").reference(question(switched, 'id = "x", find = "transform", voltage = "C1"'))


def test_impulses_at_other_instants_in_time():
    """3 V at once, 1 V less at 2 s: after it 3/e - 1 = 0.1036 V."""
    found = question(STRUCK, 'id = "x", find = "value at", voltage = "C1", at = "2 s"')
    assert asked("value at").reference(found).value() == pytest.approx(3 / 2.718281828459045 - 1)


def test_the_delay_decides():
    found = question(PULSE, 'id = "x", find = "transform", voltage = "C1"')
    right = asked("transform").reference(found)
    other = asked("transform").reference(
        question(PULSE.replace("2 ms", "3 ms"), 'id = "x", find = "transform", voltage = "C1"')
    )
    assert judge_fraction(right, right, 0.02).size is Size.RIGHT
    assert judge_fraction(other, right, 0.02).size is Size.PARTS


CONVOLVED = (
    'id = "h", find = "impulse response", voltage = "C1", of = "Vs"',
    'id = "v", find = "transform", voltage = "C1"',
    'id = "z", find = "zero-state part", voltage = "C1"',
    'id = "x", find = "expression", voltage = "C1", after = "2 ms"',
    'id = "w", find = "response", voltage = "C1"',
)


def test_convolution_follows_from_the_own_impulse_response():
    """h = 250 e^(-250t) for 500 e^(-500t): h * 10 (u(t) - u(t - 2 ms)) is 10 (1 - e^(-250t)) until 2 ms, then what is left of it."""
    rubric = Rubric(title="", course="", problems=(problem(PULSE, *CONVOLVED),), digest="", name="test.toml")
    own = {
        "h": "250 e^(-250t)",
        "v": "2500(1 - e^(-0.002 s))/(s(s + 250))",
        "z": "10 - 10 e^(-250t) V",
        "x": "10 e^(-250t)(e^0.5 - 1) V",
        "w": "10(1 - e^(-250t)) u(t) - 10(1 - e^(-250(t - 2 ms))) u(t - 2 ms) V",
    }
    assert points(rubric, own) == [0.5, 1, 1, 1, 1]  # of h, its final value and its form are right
    right = {
        "h": "500 e^(-500t)",
        "v": "5000(1 - e^(-0.002 s))/(s(s + 500))",
        "z": "10 - 10 e^(-500t) V",
        "x": "10 e^(-500t)(e - 1) V",
        "w": "10(1 - e^(-500t)) u(t) - 10(1 - e^(-500(t - 2 ms))) u(t - 2 ms) V",
    }
    assert points(rubric, right) == [1] * 5
