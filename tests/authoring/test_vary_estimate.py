"""How clean other values come out, estimated in letters before they are solved."""

import tomllib
from decimal import Decimal

import numpy as np
from flint import fmpq
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.authoring import draws, vary
from grader.authoring.draws import FEW, FEW_OF_RATES, ROUGH, roughness
from grader.authoring.letters import Lettered
from grader.errors import NotDefined
from grader.rubric.files import read_rubric
from grader.rubric.personal import with_values
from grader.values.waveform import Waveform, constant
from tests.authoring.lamp import TOML, TWICE, few_digits, proposed, value


def test_roughness_counts_the_digits_beyond_three():
    assert roughness(constant(fmpq(5, 2))) == 0
    assert roughness(constant(fmpq(12345, 10))) == 2
    assert roughness(constant(fmpq(1, 3))) == ROUGH
    assert roughness(Waveform()) == 0
    assert roughness("underdamped") == 0


def test_a_range_of_a_thousand_values_is_searched_in_bounded_time(monkeypatch):
    """Nothing comes out clean here: the search ends with what it has."""
    solved = []
    own = draws._solved
    monkeypatch.setattr(draws, "_solved", lambda problem: solved.append(1) or own(problem))
    monkeypatch.setattr(draws, "MOST_SOLVED", 100)
    monkeypatch.setattr(draws, "roughness", lambda _: 1.0)
    assert proposed(ranges={"R1": "1.001 kohm … 1.999 kohm, step 1 ohm"}, count=1)
    assert len(solved) < 100 + 2 * draws.ROUNDS * 4 * draws.TRIED


def test_where_letters_do_not_help_draws_are_bettered(monkeypatch):
    def open_in_letters(*_):
        raise NotDefined("too long")

    monkeypatch.setattr(draws, "Lettered", open_in_letters)
    (one, *_) = proposed()
    assert one.clean


def test_a_clean_proposal_has_preferred_values_and_a_round_time_constant():
    """With v(t) asked its rate counts: 1/tau or tau itself has two digits at most."""
    toml = TOML.replace("item = [", 'item = [{id = "v", find = "expression", voltage = "C1", points = 1},')
    found = [one for one in proposed(toml) if one.clean]
    assert found
    for one in found:
        resistances = [value(one.problem, name) for name in ("R1", "R2")]
        tau = value(one.problem, "C1") * resistances[0] * resistances[1] / sum(resistances)
        assert any(few_digits(10 * size) for size in (tau, 1 / tau))
        assert any(round(size, 2 - len(str(int(size)))) == size for size in (tau * 10**9, 10**9 / tau))


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_the_estimate_in_letters_finds_the_digits_that_the_exact_answers_need(data):
    tables = tomllib.loads(TOML, parse_float=Decimal)
    problem = read_rubric(TOML.encode(), "lamp.toml").problems[0]
    allowed = vary._allowed(problem, tables["problem"][0], {})
    drawn = {name: data.draw(st.sampled_from(values)) for name, values in allowed.items()}
    row = np.array([[float(one) for one in drawn.values()]])
    (estimate,) = Lettered(problem, tuple(drawn)).roughness(row, FEW, FEW_OF_RATES)
    exact = sum(map(roughness, draws._solved(with_values(problem, drawn)).answers))
    assert estimate == exact


def test_the_estimate_counts_the_digits_of_a_function_of_s():
    """1/(R C) = 1/(2 kohm * 3 uF) = 166.66… /s stands in H = 166.66…/(s + 166.66…); with 2 kohm and 5 uF it is 100 /s."""
    circuit = """
        title = "T"
        course = "TEST"
        [[problem]]
        id = "p"
        title = "P"
        ground = "g"
        element = [
          {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "1 V", at = "0 s"}},
          {name = "R1", kind = "resistor", between = ["a", "b"], value = "2 kohm"},
          {name = "C1", kind = "capacitor", between = ["b", "g"], value = "3 uF"},
        ]
        item = [{id = "H", find = "transfer function", voltage = "C1", of = "Vs", points = 1}]
    """
    lettered = Lettered(read_rubric(circuit.encode(), "p.toml").problems[0], ("R1", "C1"))
    endless, clean = lettered.roughness(np.array([[2e3, 3e-6], [2e3, 5e-6]]), FEW, FEW_OF_RATES)
    assert clean == 0 < endless


def test_a_level_that_letters_leave_open_is_left_out_of_the_estimate():
    """Half of v(8 ms) = Vs (1 - e^(-8 ms/(R1 C1))) is an exponential in letters and no number; v(8 ms) itself is estimated."""
    (end,) = Lettered(read_rubric(TWICE.encode(), "p.toml").problems[0], ("R1", "C1"))._answers
    assert end.is_symbolic
