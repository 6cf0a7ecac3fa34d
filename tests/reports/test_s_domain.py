"""The worked solution's step in the s-domain, by the example among the rubrics."""

from pathlib import Path

from grader.circuit.response import solve
from grader.reports.s_domain import s_domain_step
from grader.rubric.files import load_rubric, read_rubric
from grader.rubric.references import references

RUBRICS = Path(__file__).parents[2] / "rubrics"


def lines(path, problem):
    rubric = load_rubric(RUBRICS / path)
    found = rubric.problem(problem)
    step = s_domain_step(found, solve(found.circuit), references(rubric))
    return None if step is None else [" = ".join(side.text for side in line.chain) for line in step.lines]


def test_impedances_sources_and_answers():
    assert lines("bilge_filter.toml", "filter") == [
        "Z_C1 = 1/(s·C1) = 1/(2·10^−6·s)",
        "Vs(s) = 10/s",
        "v_C1(0−)/s = 4/s",
        "(V_c − 10/s)/1000 + 2·10^−6·s·V_c − 8·10^−6 = 0",
        "V_c = (4·s + 5000)/(s^2 + 500·s)",
        "V_C1(s) = V_c = (4·s + 5000)/(s^2 + 500·s)",
        "I_C1(s) = C1·(s·V_C1(s) − v_C1(0−)) = 0.006/(s + 500)",
    ]


def test_nothing_where_nothing_is_asked_in_s():
    assert lines("lock_valve.toml", "valve") is None


def test_a_transfer_function_and_an_impedance_have_node_equations():
    """6 Ω, 1 H and 40 mF in series: Z = 6 + s + 25/s, H = (25/s)/Z; an equation said already is not said again."""
    found = lines("bilge_filter.toml", "damper")
    assert found[2:19] == [
        "Vs(s) = 5/s",
        "(V_b − 5/s)/6 + (V_b − V_c)/s = 0",
        "(V_c − V_b)/s + 0.04·s·V_c = 0",
        "V_b = (5·s^2 + 125)/(s^3 + 6·s^2 + 25·s)",
        "V_c = 125/(s^3 + 6·s^2 + 25·s)",
        "I(s) = 1",
        "(V_a − V_b)/6 − 1 = 0",
        "(V_b − V_a)/6 + (V_b − V_c)/s = 0",
        "V_a = (s^2 + 6·s + 25)/s",
        "V_b = (s^2 + 25)/s",
        "V_c = 25/s",
        "Z(s) = V(s)/I(s) = V_a = (s^2 + 6·s + 25)/s",
        "Vs(s) = 1",
        "(V_b − 1)/6 + (V_b − V_c)/s = 0",
        "V_b = (s^2 + 25)/(s^2 + 6·s + 25)",
        "V_c = 25/(s^2 + 6·s + 25)",
        "H(s) = V_C1(s)/Vs(s) = V_c = 25/(s^2 + 6·s + 25)",
    ]


def test_poles_are_roots_of_the_denominator_and_zeros_those_of_the_numerator():
    """Of 25/(s² + 6s + 25), of s²/(s² + 6s + 25) for the coil, and of the capacitor's own transform with the step's 1/s."""
    assert lines("bilge_filter.toml", "damper")[19:] == [
        "s^2 + 6·s + 25 = 0",
        "s = (−3 ± j4) 1/s",
        "H(s) = V_L1(s)/Vs(s) = V_b − V_c = s^2/(s^2 + 6·s + 25)",
        "s^2 = 0",
        "s = 0 1/s",
        "V_C1(s) = V_c = 125/(s^3 + 6·s^2 + 25·s)",
        "s^3 + 6·s^2 + 25·s = 0",
        "s = 0 1/s",
        "s = (−3 ± j4) 1/s",
    ]


def test_what_a_coil_carried_acts_as_a_source_beside_it():
    """2 A through 3 H and 6 Ω: V/6 + V/(3 s) + 2/s = 0, so V = −12 s/(s² + 2 s) = −12/(s + 2)."""
    text = """
title = "Run-down, invented"
[[problem]]
id = "down"
ground = "g"
element = [
  {name = "L1", kind = "inductor", between = ["a", "g"], value = "3 H", initial = "2 A"},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "6 ohm"},
]
item = [{id = "v", find = "transform", voltage = "L1", points = 1}]
"""
    rubric = read_rubric(text.encode(), "down.toml")
    (problem,) = rubric.problems
    step = s_domain_step(problem, solve(problem.circuit), references(rubric))
    assert [" = ".join(side.text for side in line.chain) for line in step.lines][2:] == [
        "V_a/(3·s) + 2/s + V_a/6 = 0",
        "V_a = −12/(s + 2)",
        "V_L1(s) = L1·(s·I_L1(s) − i_L1(0−)) = V_a = −12/(s + 2)",
    ]
