"""The lines of single items: times, values, slopes, extremes, integrals, designs; figures worked by hand."""

import math

import pytest

from grader.circuit.response import solve
from grader.reports.item_lines import values_step
from grader.rubric.files import read_rubric
from grader.rubric.references import references

from .item_boards import RINGING, board, lines, shown


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


def test_a_time_after_a_second_switching_is_a_logarithm_on_the_clock_of_that_switching():
    """Toward 8 V with 1 ms from 0; at 1 ms R2 halves both: 8 (1 - 1/e) = 5.057 V falls to 4 V with 0.5 ms."""
    rubric = read_rubric(TWICE.encode(), "twice.toml")
    (problem,) = rubric.problems
    line, _ = values_step(problem, solve(problem.circuit), references(rubric)).lines
    assert shown(line).startswith("t = 1 ms + τ·ln((v_C1(1 ms+) − v_C1(∞))/(4.5 V − v_C1(∞)))")
    seconds = 1e-3 + 0.5e-3 * math.log((8 * (1 - math.exp(-1)) - 4) / 0.5)
    assert line.value.value() == pytest.approx(seconds)


def test_a_value_at_a_switching_comes_from_the_expression_that_ends_there():
    rubric = read_rubric(TWICE.encode(), "twice.toml")
    (problem,) = rubric.problems
    *_, line = values_step(problem, solve(problem.circuit), references(rubric)).lines
    assert shown(line) == "v_C1(1 ms) = (8 − 8e^(−1000·1 ms)) V"
    assert line.value.value() == pytest.approx(8 * (1 - math.exp(-1)))


TWICE = """
title = "Twice"
[[problem]]
id = "twice"
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], step = {before = 0, after = "8 V", at = "0 s"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "1 uF"},
  {name = "S1", kind = "switch", between = ["b", "c"], closes = "1 ms"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "1 kohm"},
]
item = [
  {id = "fall", find = "time to reach", voltage = "C1", after = "1 ms", level = "4.5 V", points = 1},
  {id = "peak", find = "value at", voltage = "C1", at = "1 ms", points = 1},
]
"""


def test_second_order_answers_are_put_into_the_expression():
    """alpha = 4/(2*2) = 1, w0^2 = 1/(2*0.1) = 5, wd = 2: v = 10 - e^-t (10 cos 2t + 5 sin 2t) V, 7.4 V or so at 1 s."""
    rubric = read_rubric(RINGING.encode(), "ringing.toml")
    (problem,) = rubric.problems
    step = values_step(problem, solve(problem.circuit), references(rubric))
    at, reach, time_itself = step.lines
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
    assert time_itself.value.value() == pytest.approx(seconds, rel=1e-3)


def test_times_of_a_single_exponential_are_logarithms():
    """2 ms: ln 50 = 3.912, ln 9 = 2.197, ln 2 = 0.6931."""
    assert board(
        "charging",
        'id = "s"\nfind = "settling time"\nvoltage = "C1"\nband = "2 %"',
        'id = "r"\nfind = "rise time"\nvoltage = "C1"',
        'id = "h"\nfind = "half life"',
    ) == [
        "s: t_s = τ·ln(1/0.02) = 2 ms·ln(50) = 7.824 ms",
        "r: t_r = τ·ln((1 − 0.1)/(1 − 0.9)) = 2 ms·ln(9) = 4.394 ms",
        "h: t_½ = τ·ln(2) = 2 ms·ln(2) = 1.386 ms",
    ]


def test_times_of_a_ringing_response_are_put_into_it():
    """5 V: 0.5 V and 4.5 V on the way; 5 % of 5 V about 5 V; at 1.28 s e^(-3t) is 0.021 and 0.25 V left, below 5 V."""
    lines = board(
        "damper",
        'id = "s"\nfind = "settling time"\nvoltage = "C1"\nband = "5 %"',
        'id = "r"\nfind = "rise time"\nvoltage = "C1"',
    )
    edge, trial, settled, early, late, rise = lines
    assert edge == "s, edge of the band crossed last: v_C1(∞) + 0.05(v_C1(∞) − v_C1(0+)) = 5 V + 0.05·5 V = 5.25 V"
    assert trial.startswith("by trial: v_C1(")
    assert trial.endswith(" = 5.25 V")
    assert settled.startswith(": t_s = ")
    assert early.startswith("r, by trial: v_C1(")
    assert early.endswith(" = 500 mV")
    assert late.endswith(" = 4.5 V")
    assert rise.startswith(": t_r = t2 − t1 = ")


def test_extremes_stand_where_the_derivative_is_zero():
    """i = 1.25 e^-3t sin 4t A: tan 4t = 4/3 = 5/3.75, 0.2318 s; v: half a turn, 5 V (1 + e^(-3π/4)) = 5.474 V."""
    assert board(
        "damper",
        'id = "time"\nfind = "time of maximum"\ncurrent = "C1"',
        'id = "most"\nfind = "maximum"\nvoltage = "C1"',
        'id = "over"\nfind = "overshoot"\nvoltage = "C1"',
        'id = "share"\nfind = "percent overshoot"\nvoltage = "C1"',
    ) == [
        "time: di_C1/dt = (5e^(−3t)·cos(4t) − 3.75e^(−3t)·sin(4t)) A/s",
        ": t_m = arctan(5/3.75)/(4 rad/s) = 231.8 ms",
        "most: dv_C1/dt = 31.25e^(−3t)·sin(4t) V/s",
        "derivative 0: t_m = π/(4 rad/s) = 785.4 ms",
        ": v_max = v_C1(785.4 ms) = "
        "(5 − 5e^(−3·785.4 ms)·cos(4·785.4 ms) − 3.75e^(−3·785.4 ms)·sin(4·785.4 ms)) V = 5.474 V",
        "over: v_C1(785.4 ms) = (5 − 5e^(−3·785.4 ms)·cos(4·785.4 ms) − 3.75e^(−3·785.4 ms)·sin(4·785.4 ms)) V = 5.474 V",
        ": v_C1(t_m) − v_C1(∞) = 5.474 V − 5 V = 473.9 mV",
        "share: e^(−π·α/ω_d) = e^(−π·3/4) = 9.478 %",
    ]


TWO_CAPACITORS = """
  {name = "C1", kind = "capacitor", between = ["a", "g"], value = "1 F", initial = "9 V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "1 ohm"},
  {name = "C2", kind = "capacitor", between = ["b", "g"], value = "1 F", initial = "0 V"},
  {name = "R2", kind = "resistor", between = ["b", "g"], value = "1.5 ohm"},
"""


def test_the_peak_of_two_exponentials_is_a_logarithm():
    """v2'' + 8/3 v2' + 2/3 v2 = 0, v2(0) = 0, v2' = 9: exponents −(4 ± √10)/3, peak ln(s2/s1)/(s1 − s2) = 1.024 s."""
    _, time = board(TWO_CAPACITORS, 'id = "t"\nfind = "time of maximum"\nvoltage = "C2"')
    fast, slow = ((4 + sign * math.sqrt(10)) / 3 for sign in (1, -1))
    assert time.startswith(": t_m = ln(")
    assert time.endswith(f" = {math.log(fast / slow) / (fast - slow):.3f} s")


def test_ends_and_limits_are_extremes_without_a_derivative():
    """3 e^(-20t) A falls: 3 A at once, 3 e^-2 = 0.406 A at 0.1 s."""
    assert board(
        "relay",
        'id = "most"\nfind = "maximum"\ncurrent = "L1"',
        'id = "least"\nfind = "minimum"\ncurrent = "L1"\nuntil = "0.1 s"',
        'id = "when"\nfind = "time of maximum"\ncurrent = "L1"',
    ) == [
        "most: i_max = i_L1(0+) = 3 A",
        "least: i_min = i_L1(100 ms) = 406 mA",
        "when: i_L1(0+) = 3 A",
        ": t = 0 s",
    ]


def test_slopes_and_second_derivatives():
    """3 e^(−20t) A: −60 A/s at first, −60 e^-1 = −22.07 at 50 ms; 1200 A/s² at first."""
    assert board(
        "relay",
        'id = "slope"\nfind = "slope at"\ncurrent = "L1"\nat = "50 ms"',
        'id = "curve"\nfind = "initial second derivative"\ncurrent = "L1"',
    ) == [
        "slope: di_L1/dt = −60e^(−20t) A/s",
        ": di_L1/dt(50 ms) = −60e^(−20·50 ms) A/s = −22.07 A/s",
        "curve: d²i_L1/dt² = 1200e^(−20t) A/s^2",
        ": d²i_L1/dt²(0+) = 1200e^(−20·0 s) A/s^2 = 1200 A/s^2",
    ]
