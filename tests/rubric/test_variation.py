"""Practice values: near the original, of preferred sizes, the same for the same seed, and giving nothing away."""

from pathlib import Path

import pytest
from flint import fmpq
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from grader.circuit.elements import Capacitor, CoupledInductors, Inductor, Resistor, VoltageSource
from grader.errors import NotDefined
from grader.quantities.preferred import preferred
from grader.rubric.files import load_rubric, read_rubric
from grader.rubric.references import references
from grader.rubric.variation import SEEDS, can_vary, practice, varied

RUBRICS = sorted((Path(__file__).parents[2] / "rubrics").glob("*.toml"))

LAMP = b"""
title = "Signal lamp of the Harbour Lock"
[[problem]]
id = "lamp"
ground = "g"
element = [
  {name = "Vb", kind = "voltage source", between = ["a", "g"], value = "9 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "50 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "20 uF"},
]
item = [
  {id = "v0", find = "initial value", voltage = "C1", points = 1},
  {id = "tau", find = "time constant", points = 1, key = "1 s", accept = ["1000 ms", "C1*R1"], known_wrong = [{answer = "5 s", share = 0.5, comment = "Five of them."}, {answer = "2*R1*C1", share = 0.5, comment = "Twice."}]},
  {id = "t5", find = "time to reach", voltage = "C1", level = "5 V", points = 1},
  {id = "safe", find = "choice", options = ["yes", "no"], key = "yes", points = 1, text = "Still charged?"},
]
"""
seeds = st.integers(0, SEEDS - 1)


def lamp():
    return read_rubric(LAMP, "lamp.toml")


def values(problem):
    return {one.name: one.value for one in problem.circuit.elements if isinstance(one, (Resistor, Capacitor, Inductor))}


@given(seeds)
def test_values_are_preferred_near_the_original_and_different_from_it(seed):
    problem = varied(lamp().problems[0], seed)
    before, after = values(lamp().problems[0]), values(problem)
    for name, value in after.items():
        assert value in preferred(before[name] / 2, before[name] * 2, 12)
        assert abs(value / before[name] - 1) > fmpq(1, 10)
    level = problem.circuit.element("Vb").drive.pieces[0][1].number
    assert level in preferred(fmpq(9, 2), fmpq(18), 24)
    assert dict(problem.values)["R1"].endswith("kΩ")


@given(seeds, seeds)
def test_the_same_seed_gives_the_same_values_and_no_clock_or_state_matters(seed, other):
    problem = lamp().problems[0]
    first = varied(problem, seed)
    varied(problem, other)
    assert varied(problem, seed) == first


def test_many_seeds_give_many_sets():
    assert len({varied(lamp().problems[0], seed).values for seed in range(200)}) > 100


def test_a_known_seed_gives_known_values():
    """So that a set noted today is the same set after an update; from this program's own first run."""
    assert dict(varied(lamp().problems[0], 482913).values) == KNOWN


KNOWN = {"Vb": "5.6 V", "R1": "27 kΩ", "C1": "12 μF"}


@settings(max_examples=15)
@given(seeds)
def test_practice_answers_follow_from_the_new_values(seed):
    found = practice(lamp(), "lamp", seed)
    new = values(found.rubric.problems[0])
    for tau in (one for one in references(found.rubric) if one.item == "tau"):
        assert (
            tau.answer.number == new["R1"] * new["C1"]
        )  # tau = R C, OpenStax University Physics volume 2, section 10.5


@settings(max_examples=15)
@given(seeds)
def test_what_would_give_the_original_away_is_left_out(seed):
    found = practice(lamp(), "lamp", seed)
    kept = {item.id for item in found.rubric.problems[0].items}
    assert "safe" not in kept  # stated by the instructor, whatever the values
    assert "v0" not in kept  # 0 V, whatever the values
    assert {item.id for item in found.left_out} == {"v0", "tau", "t5", "safe"} - kept
    original = {one.item: float(one.answer.value()) for one in references(lamp()) if one.kind == "value"}
    for one in references(found.rubric):
        assert abs(one.answer.value() - original[one.item]) > 0.05 * abs(original[one.item])


def test_a_level_that_the_new_values_never_reach_is_drawn_again():
    """9 V to 18 V or 4.5 V: half of the sources never reach 5 V; every set offered has an answer all the same."""
    for seed in range(30):
        found = practice(lamp(), "lamp", seed)
        source = found.rubric.problems[0].circuit.element("Vb").drive.pieces[0][1].number
        assert source > 5


def test_what_the_instructor_wrote_about_answers_does_not_carry_over():
    (tau,) = (item for item in practice(lamp(), "lamp", 1).rubric.problems[0].items if item.id == "tau")
    assert (tau.key, tau.accept, [known.answer for known in tau.known_wrong]) == (None, ("C1*R1",), ["2*R1*C1"])


def test_a_set_has_a_digest_of_its_own():
    one, other = practice(lamp(), "lamp", 1).rubric, practice(lamp(), "lamp", 2).rubric
    assert len({one.digest, other.digest, lamp().digest}) == 3


@pytest.mark.parametrize("path", RUBRICS, ids=lambda path: path.stem)
def test_every_sample_problem_can_be_practised_or_says_that_it_has_nothing_to_vary(path):
    rubric = load_rubric(path)
    for problem in rubric.problems:
        if not can_vary(problem):
            with pytest.raises(NotDefined, match="nothing to practise"):
                practice(rubric, problem.id, 7)
            continue
        found = practice(rubric, problem.id, 7)
        assert found.rubric.problems[0].circuit != problem.circuit
        references(found.rubric)


def test_coupled_inductors_keep_their_values_so_that_the_coupling_stays_possible():
    problem = lamp().problems[0]
    coils = (
        Inductor(name="L1", between=("a", "g"), value=fmpq(1)),
        Inductor(name="L2", between=("b", "g"), value=fmpq(2)),
        CoupledInductors(name="M", inductors=("L1", "L2"), mutual=fmpq(1)),
    )
    circuit = replace(problem.circuit, elements=(*problem.circuit.elements, *coils))
    new = varied(replace(problem, circuit=circuit), 5)
    assert new.circuit.elements[-3:] == coils


def test_a_source_keeps_its_sign_and_the_shape_of_its_step():
    problem = lamp().problems[0]
    source = problem.circuit.element("Vb")
    step = replace(
        source,
        drive=replace(
            source.drive,
            pieces=((None, source.drive.pieces[0][1].scaled(fmpq(-1, 3))), (fmpq(0), -source.drive.pieces[0][1])),
        ),
    )
    circuit = replace(problem.circuit, elements=(step, *problem.circuit.elements[1:]))
    new = varied(replace(problem, circuit=circuit), 3).circuit.element("Vb")
    assert isinstance(new, VoltageSource)
    before, after = (waveform.number for _, waveform in new.drive.pieces)
    assert after < 0
    assert before / after == fmpq(1, 3)


@settings(max_examples=15)
@given(seeds)
def test_a_level_and_an_instant_that_are_formulas_follow_the_new_values(seed):
    """By hand: five ninths of the source are reached at tau ln(9/4), whatever the values; at 2 tau it is 1 - e^-2 of it."""
    own = LAMP.replace(b'"5 V"', b'"5*Vb/9", until = "9*R1*C1"').replace(
        b'find = "initial value", voltage = "C1"', b'find = "value at", at = "2*R1*C1", voltage = "C1"'
    )
    (problem,) = practice(read_rubric(own, "lamp.toml"), "lamp", seed).rubric.problems
    new, level = values(problem), problem.circuit.element("Vb").drive.pieces[0][1].number
    tau = new["R1"] * new["C1"]
    asked = {item.id: item for item in problem.items}
    if "t5" in asked:
        assert (asked["t5"].level, asked["t5"].until) == (5 * level / 9, 9 * tau)
    if "v0" in asked:
        assert asked["v0"].at == 2 * tau
