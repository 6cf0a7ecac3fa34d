"""What is integrated, lost or kept: charges, energies, means, and the lines that derive them."""

from pathlib import Path

from grader.circuit.response import solve
from grader.reports.item_lines import values_step
from grader.rubric.files import load_rubric, read_rubric
from grader.rubric.references import references

from .item_boards import board, shown


def test_charges_energies_and_means_are_integrals():
    """10 mA·2 ms = 20 µC; 54 W/(40/s) = 1.35 J; the first 50 ms leave e^-2 of it, 0.183 J; over 50 ms 23.35 W."""
    (current, antiderivative, charge) = board("charging", 'id = "q"\nfind = "charge passed"\ncurrent = "R1"')
    assert current == "q: i_R1(t) = 10e^(−500t) mA"
    assert antiderivative == ": F(t) = ∫ i_R1 dt = −20e^(−500t) μC"
    assert charge == ": q_R1 = ∫[0…∞] i_R1 dt = F(∞) − F(0) = 0 C + 20 μC = 20 μC"
    assert board(
        "relay",
        'id = "heat"\nfind = "energy dissipated"\nof = "R2"',
        'id = "mean"\nfind = "average power"\npower = "R2"\nuntil = "50 ms"',
    ) == [
        "heat: i_R2(t) = −3e^(−20t) A",
        ": p_R2(t) = R2·i_R2^2 = 6 Ω·i_R2^2 = 54e^(−40t) W",
        ": F(t) = ∫ p_R2 dt = −1.35e^(−40t) J",
        ": w_R2 = ∫[0…∞] p_R2 dt = F(∞) − F(0) = 0 J + 1.35 J = 1.35 J",
        "mean: w_R2 = ∫[0…50 ms] p_R2 dt = F(50 ms) − F(0) = −182.7 mJ + 1.35 J = 1.167 J",
        ": p_av = w_R2/T = 1.167 J/(50 ms) = 23.35 W",
    ]


def test_what_a_source_delivers_over_two_intervals_is_added_up():
    """6 V for 1 s into 2 Ω and 1 H: i = 3 (1 − e^(−2t)) A, 18 (1 − 0.5 (1 − e^-2)) = 10.22 J; then 0 V, nothing more."""
    lines = board("pulse", 'id = "w"\nfind = "energy delivered"\nof = "Vs"')
    assert lines[-1] == ": w_Vs = −∫[0…1 s] p_Vs dt = −(F(1 s) − F(0)) = −(−19.22 J + 9 J) = 10.22 J"
    lines = board("pulse", 'id = "q"\nfind = "charge passed"\ncurrent = "R1"')
    assert lines[-1] == ": q_R1 = ∫[0…1 s] i_R1 dt + ∫[1 s…∞] i_R1 dt = 1.703 C + 1.297 C = 3 C"


def test_parts_energies_and_periods():
    """500 ms over 4.7 µF and ln 3; 6 mJ before, 90 µF at 6.67 V after; 3 : 1; 2.2 s ln 2 and 98.8 ms ln 2.156."""
    bell = load_rubric(Path(__file__).parents[2] / "rubrics" / "harbour_bell.toml")
    found = references(bell)
    steps = {
        problem.id: [shown(line) for line in step.lines]
        for problem in bell.problems
        if (step := values_step(problem, solve(problem.circuit), found)) is not None
    }
    assert steps["delay"][1:3] == ["τ = R1·C1", "R1 = τ/C1 = 455.1 ms/(4.7 μF)"]
    assert steps["sharing"][2] == "w(0−) − w(0+) = 6 mJ − 2 mJ"
    assert steps["heat"][-1] == "w_R2/(−w_C1) = 10.15 mJ/(13.54 mJ)"
    assert [line.split(" = ")[0] for line in steps["flasher"]] == ["t1", "t2", "T", "t2/(t1 + t2)"]


def test_heat_and_half_life_of_a_coil_that_runs_down():
    """2 A, 3 H and 6 Ω: τ = 0.5 s, 24 W/(4/s) = 6 J, which is ½·3 H·(2 A)²."""
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
    *_, heat, half = map(shown, step.lines)
    assert heat == "w_R1 = ∫[0…∞] p_R1 dt = F(∞) − F(0) = 0 J + 6 J"
    assert half == "t_½ = τ·ln(2) = 500 ms·ln(2)"


def test_what_passes_at_once_is_added_to_the_integral():
    """Laid on 10 V, 2 µF at 4 V take 12 µC at once, 3 µF behind 1 kΩ 30 µC in time: 42 µC, 420 µJ."""
    elements = """
      {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
      {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
      {name = "C1", kind = "capacitor", between = ["b", "g"], value = "2 uF", initial = "4 V"},
      {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
      {name = "C2", kind = "capacitor", between = ["c", "g"], value = "3 uF"},
    """
    assert board(elements, 'id = "q"\nfind = "charge passed"\ncurrent = "C1"') == [
        "q: q_C1 = Δq_C1(0) = C1·(v_C1(0+) − v_C1(0−)) = 2 μF·(10 V − 4 V) = 12 μC"
    ]
    lines = board(elements, 'id = "w"\nfind = "energy delivered"\nof = "Vs"')
    assert lines[-2] == ": Δw_Vs(0) = v_Vs(0+)·Δq_Vs(0) = 10 V·(−12 μC) = −120 μJ"
    assert lines[-1] == ": w_Vs = −(∫[0…∞] p_Vs dt + Δw_Vs(0)) = −(−300 μJ − 120 μJ) = 420 μJ"
    kept = board(elements, 'id = "w"\nfind = "energy share"\nof = "C1"\nout_of = "Vs"')
    assert kept[0] == "w: w_C1 = Δw_C1(0) = w_C1(0+) − w_C1(0−) = 100 μJ − 16 μJ = 84 μJ"
