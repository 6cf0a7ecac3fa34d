"""Answers in letters and in s have their lines, every kind of answer has one, and what stands there with figures is worth its value."""

import math
import re
from pathlib import Path

import pytest

from grader.circuit.response import solve
from grader.quantities.catalogue import FINDS, asked
from grader.quantities.samples import CIRCUITS
from grader.reading.tree import (
    Call,
    Constant,
    Integral,
    Name,
    Negative,
    Number,
    Parallel,
    Power,
    Product,
    Quotient,
    Sum,
    Time,
    UnitSymbol,
    WithUnit,
)
from grader.reports.item_lines import values_step
from grader.reports.s_domain import s_domain_step
from grader.reports.solution_steps import solution_steps
from grader.rubric.files import load_rubric, read_rubric
from grader.rubric.references import references
from grader.solution import prose_text, worked_solution

from .item_boards import board

IN_LETTERS = """
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "R"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "C"},
"""


def test_answers_in_letters_have_the_same_lines():
    """V/R charges C: V/(R C) at first, half of it after R C ln 2; in all C V."""
    assert board(
        IN_LETTERS,
        'id = "slope"\nfind = "initial slope"\nvoltage = "C1"',
        'id = "half"\nfind = "time to reach"\nvoltage = "C1"\nlevel = "V/2"',
        'id = "charge"\nfind = "charge passed"\ncurrent = "R1"',
    ) == [
        "slope: dv_C1/dt(0+) = i_C1(0+)/C1 = V/R/C = V/(R·C)",
        "half: t = τ·ln((v_C1(0+) − v_C1(∞))/(V/2 − v_C1(∞))) = R·C·ln((0 V − V)/(V/2 − V)) = 0.6931·R·C",
        "charge: i_R1(t) = (V/R)·e^(−t/(R·C))",
        ": F(t) = ∫ i_R1 dt = −V·C·e^(−t/(R·C))",
        ": q_R1 = ∫[0…∞] i_R1 dt = F(∞) − F(0) = 0 C + V·C = V·C",
    ]


def test_equations_stand_in_letters_and_with_figures():
    """1/(1 kΩ · 2 µF) = 500/s and 500·10 V; 6 Ω/(1 H) and 1/(1 H · 40 mF) = 25/s², of 5 V 125 V/s²."""
    polynomial = 'id = "p"\nfind = "characteristic polynomial"'
    equation = 'id = "e"\nfind = "differential equation"\nvoltage = "C1"'
    assert board("charging", polynomial, equation) == [
        "p: s + 1/τ = s + 500 = 0",
        "e: dv_C1/dt + (1/τ)·v_C1 = (1/τ)·v_C1(∞)",
        ": dv_C1/dt + 500·v_C1 = 5000",
    ]
    assert board("damper", polynomial, equation) == [
        "p: s^2 + 2·α·s + ω0^2 = s^2 + 6·s + 25 = 0",
        "e: d²v_C1/dt² + 2·α·dv_C1/dt + ω0^2·v_C1 = ω0^2·v_C1(∞)",
        ": d²v_C1/dt² + 6·dv_C1/dt + 25·v_C1 = 125",
    ]
    assert board(IN_LETTERS, equation)[1] == ": dv_C1/dt + (1/(R·C))·v_C1 = V/(R·C)"


def test_an_impulse_response_comes_from_partial_fractions():
    """R over R + 1/(sC) is s/(s + 500) = 1 − 500/(s + 500): an impulse, and an exponential that undoes it."""
    found = board("charging", 'id = "h"\nfind = "impulse response"\nvoltage = "R1"\nof = "Vs"', of=s_domain_step)
    assert found[-3].endswith(" = s/(s + 500)")
    assert found[-2:] == ["in partial fractions: H(s) = 1 − 500/(s + 500)", "h: h(t) = δ(t) − 500e^(−500t)"]


def test_poles_and_zeros_are_roots_of_one_side_of_the_quotient():
    """s² over s² + 6 s + 25; the step adds a pole at 0 to what V_C1 has."""
    items = (f'id = "{of}"\nfind = "{of}"\nvoltage = "L1"\nof = "Vs"' for of in ("zeros", "poles"))
    assert board("damper", *items, of=s_domain_step)[-5:] == [
        ": H(s) = V_L1(s)/Vs(s) = V_b − V_c = s^2/(s^2 + 6·s + 25)",
        "zeros: s^2 = 0",
        "2 times: s = 0 1/s",
        "poles: s^2 + 6·s + 25 = 0",
        ": s = (−3 ± j4) 1/s",
    ]


NO_LINES = dict.fromkeys(
    ("choice", "choices", "explanation", "sketch", "stated value", "true or false"), "the key is the instructor's own"
)
"""Finds whose answer nothing on the board leads to, and why."""


def plain(text):
    """Formulas without what may be set differently in a line of the board and in an answer."""
    return re.sub(r"[\s·()]", "", text.replace("²", "^2"))


@pytest.mark.parametrize("find", FINDS)
def test_every_answer_stands_in_a_line_or_sentence(find):
    sample = asked(find).sample
    assert (find in NO_LINES) == (not sample.circuit and find != "coil inductance")
    if find in NO_LINES:
        return
    rubric = sample_rubric(find)
    (problem,), (reference,) = rubric.problems, references(rubric)
    steps = solution_steps(problem, None if problem.circuit is None else solve(problem.circuit), [reference])
    said = [side.text for step in steps for line in step.lines for side in line.chain]
    said += [prose_text(sentence) for step in steps for sentence in (*step.sentences, step.conclusion)]
    for piece in re.split(r"; | = |, ", re.sub(r" for [^;]*", "", reference.text)):
        assert any(plain(piece).removesuffix("1/s") in plain(text) for text in said if text), piece


def worth(tree):
    """What a tree without letters is worth in SI units, worked out by itself; None where a letter stands in it."""
    if isinstance(tree, Name):
        return math.pi if tree.name == "π" else None
    if isinstance(tree, Number):
        return float(tree.value.p) / float(tree.value.q)
    if isinstance(tree, UnitSymbol):
        return float(tree.scale.p) / float(tree.scale.q)
    if isinstance(tree, Constant):
        return math.e
    if not isinstance(tree, tuple) or isinstance(tree, (Time, Integral)):
        return None
    parts = [worth(part) for part in (tree.terms if isinstance(tree, (Sum, Parallel)) else tree[:-1]) if part != ""]
    if isinstance(tree, Call):
        argument = worth(tree.argument)
        return (
            None if argument is None else {**vars(math), "ln": math.log, "arctan": math.atan}[tree.function](argument)
        )
    if None in parts:
        return None
    return {
        Negative: lambda one: -one,
        Sum: lambda *all_: sum(all_),
        Parallel: lambda *all_: 1 / sum(1 / one for one in all_),
        Product: lambda one, other: one * other,
        WithUnit: lambda one, other: one * other,
        Quotient: lambda one, other: one / other,
        Power: lambda one, other: one**other,
    }[type(tree)](*parts)


def sample_rubric(find):
    """A rubric that asks the find of its own sample."""
    sample = asked(find).sample
    circuit = f'ground = "g"\nelement = [{CIRCUITS[sample.circuit]}]' if sample.circuit else ""
    item = f'id = "q"\npoints = 1\nfind = "{find}"\n{sample.item}'
    text = f'title = "Invented"\n[[problem]]\nid = "p"\n{circuit}\n[[problem.item]]\n{item}\n'
    return read_rubric(text.encode(), f"{find}.toml")


def example_steps():
    yield from (sample_rubric(find) for find in FINDS if asked(find).sample.circuit)
    for path in sorted((Path(__file__).parents[2] / "rubrics").glob("*.toml")):
        yield load_rubric(path)


def test_every_side_with_figures_is_worth_the_value_of_its_line():
    """Figures are shown to four digits, so a difference of two near ones may be off by some of its last."""
    checked = 0
    for rubric in example_steps():
        found = references(rubric)
        for problem in (one for one in rubric.problems if one.circuit is not None):
            solved = solve(problem.circuit)
            signals = tuple(item.signal for item in problem.items if item.signal is not None)
            steps = (*worked_solution(solved, signals), values_step(problem, solved, found))
            for line in (line for step in steps if step is not None for line in step.lines):
                if line.value is None or line.value.is_symbolic or not line.value.is_constant:
                    continue
                for side in line.sides:
                    size = worth(side.tree)
                    if size is not None:
                        assert size == pytest.approx(line.value.value(), rel=5e-3, abs=1e-12), (side.text, line)
                        checked += 1
    assert checked > 100
