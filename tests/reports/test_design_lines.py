"""Lines for elements that are designed, combined, or told by the damping."""

import pytest

from grader.circuit.response import solve
from grader.quantities.samples import CIRCUITS
from grader.reports.item_lines import values_step
from grader.rubric.files import read_rubric
from grader.rubric.references import references

from .item_boards import board, shown


def test_a_condition_is_solved_for_the_element():
    """5 ms/2 µF = 2.5 kΩ; 4 V at last of 10 V; 0.5 A of 12 V; a series gives the nearest, and what it leads to."""
    assert board(
        "unknown resistor",
        'id = "R"\nfind = "element value"\nof = "R1"\nso_that = {find = "time constant", is = "5 ms"}',
    ) == ["R: τ = R1·C1", ": R1 = τ/C1 = 5 ms/(2 μF) = 2.5 kΩ"]
    divider = """
      {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
      {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
      {name = "R1", kind = "resistor", between = ["b", "c"], value = "unknown"},
      {name = "R2", kind = "resistor", between = ["c", "g"], value = "2 kohm"},
      {name = "C1", kind = "capacitor", between = ["c", "g"], value = "2 uF"},
    """
    final = 'so_that = {find = "final value", voltage = "C1", is = "4 V"}'
    equation, *others = board(divider, f'id = "R"\nfind = "element value"\nof = "R1"\n{final}\nseries = "E12"')
    assert equation == "R: v_C1(∞) = R2·Vs/(R1 + R2)"
    assert others[0].endswith(" = 3 kΩ")
    assert others[1].startswith("Final value: voltage across C1 after a long time with R1 = 3.3 kΩ: ")
    assert others[2] == ": R1 = 3.3 kΩ"


def test_an_overshoot_is_made_a_damping_ratio_first():
    """Of 10 %: ζ = 2.303/√(9.87 + 5.302) = 0.5912; R = 2ζ√(L/C) = 2·0.5912·5 Ω = 5.912 Ω with 1 H and 40 mF."""
    lines = board(
        CIRCUITS["damper"].replace('"6 ohm"', '"unknown"'),
        'id = "R"\nfind = "element value"\nof = "R1"\n'
        'so_that = {find = "percent overshoot", voltage = "C1", at_most = "10 %"}',
    )
    assert lines[0] == "R: ζ = ln(1/0.1)/√(π^2 + ln(1/0.1)^2) = 0.5912"
    assert lines[-1].startswith(": R1 = √(")
    assert lines[-1].endswith(" = 5.912 Ω")


CRITICAL = 'id = "R"\nfind = "element value"\nof = "R1"\nso_that = {find = "damping type", is = "critically damped"}'
IN_SERIES = """
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "40 mF", initial = "10 V"},
  {name = "L1", kind = "inductor", between = ["g", "d"], value = "1 H"},
  {name = "R2", kind = "resistor", between = ["d", "c"], value = "2 ohm"},
  {name = "R1", kind = "resistor", between = ["c", "a"], value = "unknown"},
"""


def test_beside_another_resistor_critical_damping_is_told_by_alpha():
    """1/√0.04 = 5 rad/s = (R1 + 2)/2: 8 Ω; in parallel 1/√(0.5·20m) = 10 rad/s = (1/R1 + 1/20)/(2·20m): 2.857 Ω."""
    omega0, condition, equation, value = board(IN_SERIES, CRITICAL)
    assert omega0.startswith("R: ω0 = ")
    assert omega0.endswith(" = 5 rad/s")
    assert condition == ": α = ω0 = 5 1/s"
    assert equation.startswith(": α = ")
    assert value.startswith(": R1 = ")
    assert value.endswith(" = 8 Ω")
    in_parallel = """
      {name = "C1", kind = "capacitor", between = ["a", "g"], value = "20 mF", initial = "10 V"},
      {name = "L1", kind = "inductor", between = ["a", "g"], value = "0.5 H"},
      {name = "R2", kind = "resistor", between = ["a", "g"], value = "20 ohm"},
      {name = "R1", kind = "resistor", between = ["a", "g"], value = "unknown"},
    """
    lines = board(in_parallel, CRITICAL)
    assert lines[1] == ": α = ω0 = 10 1/s"
    assert lines[-1].endswith(" = 2.857 Ω")


def test_alpha_tells_nothing_where_the_natural_frequency_hangs_on_the_element_too():
    """Of L1 with R1 behind it and R2 across C1, ω0² = (1 + R1/R2)/(L C): the value is put in."""
    lines = board(IN_SERIES.replace('["d", "c"]', '["a", "g"]').replace('["c", "a"]', '["d", "a"]'), CRITICAL)
    assert lines == ["R, ζ with R1 = 2.5 Ω: 1", ": R1 = 2.5 Ω"]


DAMPED = """
title = "Ringing, invented"
[[problem]]
id = "ring"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {after = "5 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "6 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "1 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "40 mF"},
]
item = [
  {id = "zeta", find = "damping ratio", points = 1},
  {id = "q", find = "quality factor", points = 1},
  {id = "dec", find = "logarithmic decrement", points = 1},
  {id = "peak", find = "peak time", voltage = "C1", points = 1},
  {id = "over", find = "percent overshoot", voltage = "C1", points = 1},
]
"""


def test_what_follows_from_the_damping_has_its_formula_and_only_where_it_holds():
    """α = 6/2 = 3, ω0 = 1/√0.04 = 5, ω_d = 4 (1/s); with a current at the start the peak is no half turn away."""

    def found(text):
        rubric = read_rubric(text.encode(), "ring.toml")
        (problem,) = rubric.problems
        step = values_step(problem, solve(problem.circuit), references(rubric))
        return {line.label: shown(line) for line in step.lines if line.label}

    assert found(DAMPED.replace('"1 H"', '"1 H", initial = "1 A"'))["peak"].startswith("dv_C1/dt")
    assert found(DAMPED) == {
        "zeta": "ζ = α/ω0 = 3/5",
        "q": "Q = ω0/(2·α) = 5/(2·3)",
        "dec": "Λ = 2·π·α/ω_d = 2·π·3/4",
        "peak": "t_p = π/ω_d = π/(4 rad/s)",
        "over": "e^(−π·α/ω_d) = e^(−π·3/4)",
    }


STORES = """
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "5 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
"""


@pytest.mark.parametrize(
    ("kind", "line"),
    [
        (("capacitor", "c g", "c g"), "C_eq = C1 + C2 = 3 μF + 6 μF = 9 μF"),
        (("capacitor", "c d", "d g"), "C_eq = 1/(1/C1 + 1/C2) = 1/(1/(3 μF) + 1/(6 μF)) = 2 μF"),
        (("inductor", "c d", "d g"), "L_eq = L1 + L2 = 3 mH + 6 mH = 9 mH"),
        (("inductor", "c g", "c g"), "L_eq = L1 ∥ L2 = 3 mH ∥ 6 mH = 2 mH"),
    ],
)
def test_storage_elements_as_one(kind, line):
    """3 and 6: together 9, or 18/9 = 2."""
    word, *places = kind
    letter, unit = ("C", "uF") if word == "capacitor" else ("L", "mH")
    elements = "".join(
        f'{{name = "{letter}{k}", kind = "{word}", between = ["{place[0]}", "{place[2]}"], value = "{3 * k} {unit}"}},'
        for k, place in enumerate(places, start=1)
    )
    find = "equivalent capacitance" if word == "capacitor" else "equivalent inductance"
    assert board(STORES + elements, f'id = "one"\nfind = "{find}"') == [f"one: {line}"]


@pytest.mark.parametrize(
    ("places", "line"),
    [
        (("c d", "d g"), "L1 + L2 + 2·M = 2 H + 3 H + 2·1 H = 7 H"),
        (("c d", "g d"), "L1 + L2 − 2·M = 2 H + 3 H − 2·1 H = 3 H"),
        (("c g", "c g"), "(L1·L2 − M^2)/(L1 + L2 − 2·M) = (2 H·3 H − (1 H)^2)/(2 H + 3 H − 2·1 H) = 1.667 H"),
        (("c g", "g c"), "(L1·L2 − M^2)/(L1 + L2 + 2·M) = (2 H·3 H − (1 H)^2)/(2 H + 3 H + 2·1 H) = 714.3 mH"),
    ],
    ids=["series aiding", "series opposing", "parallel aiding", "parallel opposing"],
)
def test_coupled_coils_as_one(places, line):
    """2 H and 3 H with 1 H between them: 5 ± 2, and 5 H² over 5 ∓ 2 H."""
    elements = "".join(
        f'{{name = "L{k}", kind = "inductor", between = ["{at[0]}", "{at[2]}"], value = "{k + 1} H"}},'
        for k, at in enumerate(places, start=1)
    )
    coupling = '{name = "K1", kind = "coupled inductors", inductors = ["L1", "L2"], mutual = "1 H"},'
    assert board(STORES + elements + coupling, 'id = "one"\nfind = "equivalent inductance"') == [f"one: L_eq = {line}"]
