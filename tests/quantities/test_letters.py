"""Circuits in letters: sources with symbols in their waveforms, levels in letters, and the time to reach them."""

import math

import pytest
import sympy

from grader.errors import RubricError
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.problem import Rubric
from grader.rubric.references import references
from grader.uploads.upload import Upload, Written
from tests.quantities.building import problem


def charging(waveform: str) -> str:
    return f"""
        {{name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "{waveform}"}},
        {{name = "R1", kind = "resistor", between = ["a", "b"], value = "R"}},
        {{name = "C1", kind = "capacitor", between = ["b", "g"], value = "C"}},
    """


def rubric(circuit: str, *items: str) -> Rubric:
    return Rubric(title="", course="", problems=(problem(circuit, *items),), digest="", name="test.toml")


def awarded(circuit: str, items: tuple[str, ...], answers: dict[str, str]) -> list[float]:
    written = tuple(Written(problem="p", item=item, text=text) for item, text in answers.items())
    upload = Upload(file="u.txt", digest="", student="S1", answers=written)
    return [mark.awarded for mark in mark_upload(build_key(rubric(circuit, *items)), upload).marks]


VOLTAGE = 'id = "x", find = "expression", voltage = "C1"'


@pytest.mark.parametrize(
    "waveform",
    [
        "V0 u(t)",
        "Vm cos(w t)",
        "Vm cos(w t) u(t)",
        "A0 sin(w t) u(t)",
        "V0 e^(-a t) u(t)",
        "k t u(t)",
        "10 cos(w t) u(t) V",
    ],
)
def test_the_response_obeys_its_equation(waveform):
    """R C dv/dt + v = vs for t > 0, by sympy's own derivatives; from rest unless the source acts for ever."""
    (reference,) = references(rubric(charging(waveform), VOLTAGE))
    t, letters = (
        sympy.Symbol("t"),
        {name: sympy.Symbol(name, positive=True) for name in ("V0", "Vm", "A0", "w", "a", "k", "R", "C")},
    )
    v = sympy.sympify(reference.exact, locals={"t": t, **letters})
    source = sympy.sympify(
        {"V0 u(t)": "V0", "Vm cos(w t)": "Vm*cos(w*t)", "Vm cos(w t) u(t)": "Vm*cos(w*t)", "A0 sin(w t) u(t)": "A0*sin(w*t)",
         "V0 e^(-a t) u(t)": "V0*exp(-a*t)", "k t u(t)": "k*t", "10 cos(w t) u(t) V": "10*cos(w*t)"}[waveform],
        locals={"t": t, **letters},
    )  # fmt: skip
    assert sympy.simplify(letters["R"] * letters["C"] * v.diff(t) + v - source) == 0
    if "u(t)" in waveform:
        assert sympy.simplify(v.subs(t, 0)) == 0


@pytest.mark.parametrize(
    "waveform, answer, earned",
    [
        ("V0 u(t)", "V0 (1 - e^(-t/(R C)))", 1),
        ("V0 u(t)", "Vs (1 - e^(-t/(R1 C1)))", 1),
        ("Vm cos(w t)", "Vm/(1 + w^2 R^2 C^2) (cos(w t) + w R C sin(w t))", 1),
        ("k t u(t)", "k (t - R C + R C e^(-t/(R C)))", 1),
        ("V0 e^(-a t) u(t)", "V0/(1 - a R C) (e^(-a t) - e^(-t/(R C)))", 1),
    ],
)
def test_answers_in_letters(waveform, answer, earned):
    assert awarded(charging(waveform), (VOLTAGE,), {"x": answer}) == [earned]


@pytest.mark.parametrize(
    "level, factor, answer",
    [
        ("V0/2", math.log(2), "R C ln 2"),
        ("50 %", math.log(2), "0.693 R C"),
        ("0.9*V0", math.log(10), "R C ln(10)"),
        ("Vs/4", -math.log(0.75), "R1 C1 ln(4/3)"),
    ],
)
def test_time_to_reach_a_level_in_letters(level, factor, answer):
    """V0 (1 - e^(-t/(R C))) = x V0 at t = R C ln(1/(1 - x))."""
    item = f'id = "x", find = "time to reach", voltage = "C1", level = "{level}"'
    (reference,) = references(rubric(charging("V0 u(t)"), item))
    assert float(
        sympy.sympify(reference.exact, locals={"R": sympy.Integer(1), "C": sympy.Integer(1)})
    ) == pytest.approx(factor)
    assert awarded(charging("V0 u(t)"), (item,), {"x": answer}) == [1]
    assert awarded(charging("V0 u(t)"), (item,), {"x": "R C"}) == [0]


@pytest.mark.parametrize("level, sentence", [("2*V0", "never reaches"), ("R", "no closed form"), ("Vz", "'Vz'")])
def test_no_time_in_letters(level, sentence):
    with pytest.raises(RubricError, match=sentence):
        references(rubric(charging("V0 u(t)"), f'id = "x", find = "time to reach", voltage = "C1", level = "{level}"'))


def test_a_step_in_letters_is_refused_in_a_sentence():
    with pytest.raises(RubricError, match="need numbers, not letters"):
        problem(charging("V0 u(t - T1)"), VOLTAGE)


COIL = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "V"},
    {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
    {name = "R1", kind = "resistor", between = ["b", "c"], value = "R"},
    {name = "R2", kind = "resistor", between = ["c", "d"], value = "r"},
    {name = "L1", kind = "inductor", between = ["d", "g"], value = "L"},
"""


@pytest.mark.parametrize(
    ("answer", "points"),
    [("L/(R+r)", 1), ("L/(r+R)", 1), ("L/(R1+R2)", 1), ("l/(R+r)", 1), ("L/(R+R)", 0), ("L/(r+r)", 0), ("L/R", 0)],
)
def test_letter_case_tells_two_symbols_apart(answer, points):
    """A coil's own resistance is written r beside an R."""
    assert awarded(COIL, ('id = "x", find = "time constant"',), {"x": answer}) == [points]
