"""The lines of single items: a time to reach, a value at, an energy, a first slope; figures worked by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from grader.circuit.response import solve
from grader.reports.values_asked import values_step
from grader.rubric.files import load_rubric, read_rubric
from grader.rubric.references import references

RELAY = """
title = "Relay, invented"
[[problem]]
id = "relay"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "%s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "2 H"},
]
item = [
  {id = "i0", find = "initial value", current = "L1", points = 1},
  {id = "reach", find = "time to reach", current = "L1", level = "1.5 A", points = 1},
  {id = "at", find = "value at", current = "R1", at = "1.5 s", points = 1},
  {id = "slope", find = "initial slope", current = "L1", points = 1},
  {id = "fall", find = "initial slope", voltage = "R1", points = 1},
  {id = "energy", find = "stored energy", of = "L1", points = 1},
]
"""


def lines(closes):
    rubric = read_rubric((RELAY % closes).encode(), "relay.toml")
    (problem,) = rubric.problems
    step = values_step(problem, solve(problem.circuit), references(rubric))
    return {line.label: line for line in step.lines}


def shown(line):
    return " = ".join(side.text for side in line.sides)


def test_every_kind_has_its_formula_with_figures():
    """3 A at the end, 2 H over 4 ohm: 0.5 s."""
    found = lines("0 s")
    assert {label: shown(line) for label, line in found.items()} == {
        "reach": "t = τ·ln((i_L1(0+) − i_L1(∞))/(1.5 A − i_L1(∞))) = 500 ms·ln((0 A − 3 A)/(1.5 A − 3 A))",
        "at": "i_R1(1.5 s) = (3 − 3e^(−2·1.5 s)) A",
        "slope": "di_L1/dt(0+) = v_L1(0+)/L1 = 12 V/(2 H)",
        "fall": "dv_R1/dt(0+) = (v_R1(∞) − v_R1(0+))/τ = (12 V − 0 V)/(500 ms)",
        "energy": "w_L1(∞) = ½·L1·i_L1^2 = ½·2 H·(3 A)^2",
    }
    assert {label: line.value.value() for label, line in found.items()} == pytest.approx(
        {"reach": math.log(2) / 2, "at": 3 - 3 * math.exp(-3), "slope": 6, "fall": 24, "energy": 9}
    )


def test_time_counts_from_the_switching_and_stays_on_the_problems_clock():
    found = lines("1 s")
    assert shown(found["reach"]).startswith("t = 1 s + τ·ln((i_L1(1 s+) − i_L1(∞))")
    assert found["reach"].value.value() == pytest.approx(1 + math.log(2) / 2)
    assert shown(found["at"]) == "i_R1(1.5 s) = (3 − 3e^(−2·500 ms)) A"


RINGING = """
title = "Ringing, invented"
[[problem]]
id = "ring"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "10 V", at = "0 s"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "2 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "0.1 F"},
]
item = [
  {id = "at", find = "value at", voltage = "C1", at = "1 s", points = 1},
  {id = "reach", find = "time to reach", voltage = "C1", level = "5 V", points = 1},
]
"""


def test_second_order_answers_are_put_into_the_expression():
    """alpha = 4/(2*2) = 1, w0^2 = 1/(2*0.1) = 5, wd = 2: v = 10 - e^-t (10 cos 2t + 5 sin 2t) V, 7.4 V or so at 1 s."""
    rubric = read_rubric(RINGING.encode(), "ringing.toml")
    (problem,) = rubric.problems
    step = values_step(problem, solve(problem.circuit), references(rubric))
    at, reach = step.lines
    assert shown(at) == "v_C1(1 s) = (10 − 10e^(−1 s)·cos(2·1 s) − 5e^(−1 s)·sin(2·1 s)) V"
    assert at.value.value() == pytest.approx(10 - math.exp(-1) * (10 * math.cos(2) + 5 * math.sin(2)))
    assert reach.label == "reach, by trial"
    time, put_in, level = reach.sides
    assert level.text == "5 V"
    seconds = float(time.text.removeprefix("v_C1(").removesuffix(" ms)")) / 1e3
    assert 10 - math.exp(-seconds) * (10 * math.cos(2 * seconds) + 5 * math.sin(2 * seconds)) == pytest.approx(
        5, abs=0.01
    )
    assert put_in.text.count(" ms") == 4


def test_parts_energies_and_periods():
    """500 ms over 4.7 µF and ln 3; 6 mJ before, 90 µF at 6.67 V after; 3 : 1; 2.2 s ln 2 and 98.8 ms ln 2.156."""
    bell = load_rubric(Path(__file__).parents[2] / "rubrics" / "harbour_bell.toml")
    found = references(bell)
    steps = {
        problem.id: step
        for problem in bell.problems
        if (step := values_step(problem, solve(problem.circuit), found)) is not None
    }
    (put_in,) = steps["delay"].lines
    assert put_in.label == "Time t at which the voltage across C1 reaches 6 V with this R1"
    assert put_in.value.value() == pytest.approx(0.47 * math.log(3))
    assert shown(steps["sharing"].lines[0]) == "w(0−) − w(0+) = 6 mJ − 2 mJ"
    assert shown(steps["heat"].lines[0]) == "w_R2/w_C1 = 10.15 mJ/(13.54 mJ)"
    assert [shown(line) for line in steps["flasher"].lines] == [
        "T = t1 + t2 = 1.525 s + 75.85 ms",
        "t2/(t1 + t2) = 75.85 ms/(1.601 s)",
    ]


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
        return {line.label: shown(line) for line in step.lines}

    assert set(found(DAMPED.replace('"1 H"', '"1 H", initial = "1 A"'))) == {"zeta", "q", "dec"}
    assert found(DAMPED) == {
        "zeta": "ζ = α/ω0 = 3/5",
        "q": "Q = ω0/(2·α) = 5/(2·3)",
        "dec": "Λ = 2·π·α/ω_d = 2·π·3/4",
        "peak": "t_p = π/ω_d = π/(4 1/s)",
        "over": "e^(−π·α/ω_d) = e^(−π·3/4)",
    }


def test_heat_and_half_life_of_a_coil_that_runs_down():
    """2 A, 3 H and 6 Ω: τ = 0.5 s, 24 W·0.5 s/2 = 6 J, which is ½·3 H·(2 A)²."""
    text = """
title = "Run-down, invented"
[[problem]]
id = "down"
ground = "g"
element = [
  {name = "L1", kind = "inductor", between = ["a", "g"], value = "3 H", initial = "2 A"},
  {name = "R1", kind = "resistor", between = ["a", "g"], value = "6 ohm"},
]
item = [
  {id = "heat", find = "energy dissipated", of = "R1", points = 1},
  {id = "half", find = "half life", points = 1},
]
"""
    rubric = read_rubric(text.encode(), "down.toml")
    (problem,) = rubric.problems
    step = values_step(problem, solve(problem.circuit), references(rubric))
    assert [shown(line) for line in step.lines] == ["w_R1 = p_R1(0+)·τ/2 = 24 W·500 ms/2", "τ·ln(2) = 500 ms·ln(2)"]
