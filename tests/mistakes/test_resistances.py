"""Series and parallel combinations of a circuit's own resistors."""

import itertools

import numpy as np
import pytest
from flint import fmpq
from hypothesis import given
from hypothesis import strategies as st

from grader.circuit.series_parallel import combination_text, reduced, resistance
from grader.mistakes.resistances import all_combinations, exchanged, simplest_matches

VALUES = {"R1": fmpq(6), "R2": fmpq(12), "R3": fmpq(4), "R4": fmpq(2)}


def test_worked_circuit():
    """R3 in line with R1 beside R2: 8 ohm; joints exchanged, 3.273 ohm (check numbers computed by hand)."""
    tree = reduced([("R1", "g", "n"), ("R2", "n", "g"), ("R3", "n", "m")], "m", "g")
    assert resistance(tree, VALUES) == 8
    assert float(resistance(exchanged(tree), VALUES).p) / float(resistance(exchanged(tree), VALUES).q) == pytest.approx(
        3.273, abs=5e-4
    )
    assert combination_text(tree) in ("R3 + R1 ∥ R2", "R1 ∥ R2 + R3", "(R1 ∥ R2) + R3", "R3 + (R1 ∥ R2)")


def test_bridge_and_gap_have_no_structure():
    bridge = [("R1", "a", "b"), ("R2", "a", "c"), ("R3", "b", "c"), ("R4", "b", "d"), ("R5", "c", "d")]
    assert reduced(bridge, "a", "d") is None
    assert reduced([("R1", "a", "b")], "a", "d") is None


def test_dead_ends_and_loops_are_left_out():
    edges = [("R1", "a", "g"), ("R2", "a", "x"), ("R3", "x", "y"), ("R4", "g", "g")]
    assert reduced(edges, "a", "g") == "R1"


def conductance_solution(edges, values, first, second):
    """Independent: nodal analysis in floats, one ampere in at `first`, `second` grounded."""
    nodes = sorted({n for _, a, b in edges for n in (a, b)} - {second})
    matrix = np.zeros((len(nodes), len(nodes)))
    for name, a, b in edges:
        g = 1 / values[name]
        for one, other in ((a, b), (b, a)):
            if one in nodes:
                matrix[nodes.index(one), nodes.index(one)] += g
                if other in nodes:
                    matrix[nodes.index(one), nodes.index(other)] -= g
    current = np.zeros(len(nodes))
    current[nodes.index(first)] = 1
    return np.linalg.lstsq(matrix, current, rcond=None)[0][nodes.index(first)]


@given(
    st.lists(
        st.tuples(st.sampled_from("abcg"), st.sampled_from("abcg")).filter(lambda e: e[0] != e[1]),
        min_size=1,
        max_size=6,
    ),
    st.lists(st.integers(1, 90), min_size=6, max_size=6),
)
def test_structure_has_the_resistance_of_nodal_analysis(pairs, ohms):
    edges = [(f"R{i}", a, b) for i, (a, b) in enumerate(pairs)]
    values = {name: ohms[i] for i, (name, _, _) in enumerate(edges)}
    tree = reduced(edges, "a", "g")
    if tree is not None:
        exact = resistance(tree, {name: fmpq(v) for name, v in values.items()})
        assert int(exact.p) / int(exact.q) == pytest.approx(conductance_solution(edges, values, "a", "g"))


@pytest.mark.parametrize(("count", "expected"), [(1, 1), (2, 4), (3, 17), (4, 100)])
def test_number_of_combinations(count, expected):
    """Series-parallel networks of 1, 2, 3, 4 labelled resistors: 1, 2, 8, 52 (OEIS A006351, from memory), over all subsets."""
    values = dict(itertools.islice(VALUES.items(), count))
    assert len(all_combinations(values)) == expected


def test_every_combination_is_written_differently():
    texts = [found.text for found in all_combinations(VALUES)]
    assert len(set(texts)) == len(texts)


def test_simplest_match_wins_and_equals_are_all_told():
    found = all_combinations(VALUES)
    assert [m.text for m in simplest_matches(found, 10.0, 0.05)] == ["R1 + R3"]
    assert {m.text for m in simplest_matches(found, 6.0, 0.05)} == {"R1"}
    assert {m.text for m in simplest_matches(found, 8.0, 0.05)} == {"R1 + R4"}
    assert {m.text for m in simplest_matches(found, 18.0, 0.05)} == {"R1 + R2"}
    assert simplest_matches(found, 5000.0, 0.05) == ()


def test_too_many_resistors_and_symbols_are_not_searched():
    assert all_combinations({f"R{i}": fmpq(i + 1) for i in range(9)}) == ()


def test_a_resistance_of_zero_is_no_division_fault():
    found = all_combinations({"R1": fmpq(0), "R2": fmpq(5)})
    assert {f.text for f in found} == {"R1", "R2", "R1 + R2"}
