"""Elements to be designed: what meets a condition, worked by hand, and against published values."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import lambertw

from grader.errors import RubricError
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.problem import Rubric
from grader.quantities.design import meeting, requirement
from grader.rubric.personal import with_values
from grader.rubric.references import references
from grader.uploads.upload import Upload, Written
from grader.values.scalar import rational, to_float
from tests.quantities.building import problem


def charging(resistor: str = "unknown", capacitor: str = "2 uF") -> str:
    return f"""
        {{name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"}},
        {{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"}},
        {{name = "R1", kind = "resistor", between = ["b", "c"], value = "{resistor}"}},
        {{name = "C1", kind = "capacitor", between = ["c", "g"], value = "{capacitor}"}},
    """


def ring(resistor: str = "unknown", inductor: str = "20 mH", capacitor: str = "2 uF") -> str:
    return f"""
        {{name = "Vs", kind = "voltage source", between = ["a", "g"], step = {{after = "10 V"}}}},
        {{name = "R1", kind = "resistor", between = ["a", "b"], value = "{resistor}"}},
        {{name = "L1", kind = "inductor", between = ["b", "c"], value = "{inductor}"}},
        {{name = "C1", kind = "capacitor", between = ["c", "g"], value = "{capacitor}"}},
    """


def design(goal: str, of: str = "R1", more: str = "") -> str:
    return f'id = "x", find = "element value", of = "{of}", so_that = {{{goal}}}{more}'


def spans(circuit: str, goal: str, of: str = "R1"):
    found = problem(circuit, design(goal, of))
    return [tuple(map(to_float, span)) for span in meeting(requirement(found, found.items[0]))]


ZETA = -math.log(0.05) / math.hypot(math.pi, math.log(0.05))
"""Damping ratio of 5 % overshoot, from e^(-πζ/√(1-ζ²)): 0.6901."""


TWICE = [-1000 / lambertw(-0.3, branch).real for branch in (-1, 0)]


@pytest.mark.parametrize(
    "circuit, goal, of, right",
    [
        (charging(), 'find = "time constant", is = "5 ms"', "R1", [2500.0]),
        (charging("1 kohm", "unknown"), 'find = "time constant", is = "5 ms"', "C1", [5e-6]),
        # 10 (1 - e^(-t/τ)) = 4 V at 2 ms: τ = -2 ms/ln 0.6
        (charging(), 'find = "value at", voltage = "C1", at = "2 ms", is = "4 V"', "R1", [1000 / -math.log(0.6)]),
        # (10 V/R) e^(-1 kΩ/R) has its largest value, 3.68 mA, at 1 kΩ; x e^(-x) = 0.3 with x = 1 kΩ/R has two solutions
        (charging(), 'find = "value at", current = "R1", at = "2 ms", is = "3 mA"', "R1", TWICE),
        (ring(), 'find = "damping type", is = "critically damped"', "R1", [200.0]),  # 2 √(L/C)
        (ring(capacitor="1 uF"), 'find = "damping type", is = "critically damped"', "R1", [200 * math.sqrt(2)]),
        (ring(), 'find = "damped natural frequency", is = "4000 1/s"', "R1", [120.0]),  # α = √(5000² - 4000²)
        # Alexander and Sadiku, Fundamentals of Electric Circuits, problem 16.4 b: R = 20 Ω, L = 0.6 H, C = 6 mF.
        (ring("20 ohm", "0.6 H", "unknown"), 'find = "damping type", is = "critically damped"', "C1", [6e-3]),
    ],
)
def test_values_that_meet_an_equation(circuit, goal, of, right):
    found = spans(circuit, goal, of)
    assert [low for low, _ in found] == pytest.approx(right, rel=1e-3)
    assert all(low == high for low, high in found)


def test_values_that_meet_an_inequality():
    edge = 2 * ZETA * 100
    (at_most,) = spans(ring(), 'find = "percent overshoot", voltage = "C1", at_most = "5 %"')
    assert at_most[0] == pytest.approx(edge, rel=1e-9)
    assert at_most[1] == pytest.approx(1e10)
    (at_least,) = spans(ring(), 'find = "percent overshoot", voltage = "C1", at_least = "5 %"')
    assert at_least == pytest.approx((0.01, edge), rel=1e-9)


def test_short_decimals_and_roots_are_exact():
    """2500 Ω, and 200 √2 Ω, with which the response is critically damped and not nearly so."""
    (reference,) = references(rubric(charging(), design('find = "time constant", is = "5 ms"')))
    assert (reference.exact, reference.text, reference.note) == ("2500", "2.5 kΩ", "")
    found = references(
        rubric(
            ring(capacitor="1 uF"),
            design('find = "damping type", is = "critically damped"'),
            'id = "type", find = "damping type"',
        )
    )
    assert [one.exact for one in found] == ["200*sqrt(2)", "critically damped"]


def rubric(circuit: str, *items: str) -> Rubric:
    return Rubric(title="", course="", problems=(problem(circuit, *items),), digest="", name="test.toml")


def points(circuit: str, items: tuple[str, ...], answers: dict[str, str]) -> list[float]:
    written = tuple(Written(problem="p", item=item, text=text) for item, text in answers.items())
    upload = Upload(file="u.txt", digest="", student="S1", answers=written)
    return [mark.awarded for mark in mark_upload(build_key(rubric(circuit, *items)), upload).marks]


TAU = (design('find = "time constant", is = "5 ms"'), 'id = "i", find = "initial value", current = "R1"')


@pytest.mark.parametrize(
    "answer, earned",
    [
        ("2.5 kohm", 1.0),
        ("R1 = 2.54 kΩ", 1.0),  # τ = 5.08 ms
        ("2.2k", 0.0),  # τ = 4.4 ms
        ("5 ms / (2 uF)", 1.0),
        ("2.5 ohm", 0.5),
        ("-2.5 kohm", 0.5),
        ("2500", 0.75),
        ("2500 s", 0.75),
        ("0 ohm", 0.0),
    ],
)
def test_a_value_is_right_by_what_it_does(answer, earned):
    assert points(charging(), TAU, {"x": answer})[0] == earned


@pytest.mark.parametrize(
    "own, current, earned",
    [
        ("2.5 kohm", "4 mA", [1, 1]),
        ("2 kohm", "5 mA", [0, 1]),  # 10 V over the student's own 2 kΩ
        ("2 kohm", "4 mA", [0, 1]),
        ("2 kohm", "10 V / R1", [0, 1]),
        ("", "4 mA", [0, 1]),
        ("2 kohm", "6 mA", [0, 0]),
    ],
)
def test_later_answers_follow_from_the_own_value(own, current, earned):
    assert points(charging(), TAU, {"x": own, "i": current}) == earned


OVERSHOOT = (
    design('find = "percent overshoot", voltage = "C1", at_most = "5 %"'),
    'id = "a", find = "damping coefficient"',
)


@pytest.mark.parametrize(
    "own, alpha, earned",
    [
        ("138 ohm", "3450 1/s", [1, 1]),
        ("150 ohm", "3750 1/s", [1, 1]),  # another right value: α = R/(2L) = 150/0.04
        ("150 ohm", "3000 1/s", [1, 0]),
        ("1 kohm", "25000 1/s", [1, 1]),  # overdamped: no overshoot at all
        ("130 ohm", "3250 1/s", [0, 1]),  # ζ = 0.65: 6.8 %
        ("R1 ≥ 138 ohm", "3450 1/s", [1, 1]),
        (">= 100 ohm", "2500 1/s", [0, 1]),
        ("≤ 138 ohm", "3450 1/s", [0, 1]),  # the other side does not: a person reads it
    ],
)
def test_any_value_within_a_limit_is_right(own, alpha, earned):
    assert points(ring(), OVERSHOOT, {"x": own, "a": alpha}) == earned


@pytest.mark.parametrize(
    "goal, answer, earned",
    [
        ('find = "time constant", at_most = "5 ms"', "R1 ≤ 2.5 kohm", 1),
        ('find = "time constant", at_most = "5 ms"', "R1 < 2.5 kohm", 1),
        ('find = "time constant", at_most = "5 ms"', "R1 ≥ 2.5 kohm", 0),
        ('find = "time constant", at_least = "5 ms"', "R1 ≥ 2.5 kohm", 1),
        ('find = "time constant", at_least = "5 ms"', "> 2.5 kohm", 1),
        ('find = "time constant", at_least = "5 ms"', "≤ 2.5 kohm", 0),
        ('find = "time constant", at_least = "5 ms"', "at least 2.5 kohm", 1),
        ('find = "time constant", at_least = "5 ms"', "R1 must be 2.5 kohm or more", 1),
        ('find = "time constant", at_least = "5 ms"', "2 kohm or more", 0),
        ('find = "time constant", at_most = "5 ms"', "2.5 kohm or less", 1),
        ('find = "time constant", at_most = "5 ms"', "not more than 2.5 kohm", 1),
        ('find = "time constant", is = "5 ms"', "≥ 2.5 kohm", 0),
        ('find = "time constant", is = "5 ms"', "≤ 2.5 kohm", 0),
    ],
)
def test_a_bound_says_its_edge_where_all_on_that_side_is_right(goal, answer, earned):
    """2.5 kΩ and 2 µF have 5 ms."""
    assert points(charging(), (design(goal),), {"x": answer}) == [earned]


@pytest.mark.parametrize(
    "answer, earned",
    [
        ("10 kohm", 1.0),
        ("10.64 kohm, next E12 value: 10 kohm", 1.0),
        ("calculated 10.64 kohm, choose 12 kohm", 0.0),
        ("12 kohm", 0.0),
        ("10.6 kohm", 0.0),
        ("9.95 kohm", 0.0),
        ("10 ohm", 0.5),
    ],
)
def test_a_preferred_value_is_one_of_its_series(answer, earned):
    """10.64 kΩ is exact; 10 kΩ gives 4.7 ms and comes nearest, though 6 % off."""
    items = (design('find = "time constant", is = "5 ms"', more=', series = "E12"'),)
    assert points(charging(capacitor="0.47 uF"), items, {"x": answer})[0] == earned


def test_what_two_designs_come_to():
    """α = 1000 /s asks for 40 Ω, then ω0 = 5000 /s for 2 µF."""
    items = (
        'id = "R", find = "element value", of = "R1", so_that = {find = "damping coefficient", is = "1000 1/s"}',
        'id = "C", find = "element value", of = "C1", so_that = {find = "undamped natural frequency", is = "5000 1/s"}',
        'id = "wd", find = "damped natural frequency"',
    )
    found = references(rubric(ring(capacitor="unknown"), *items))
    assert [one.text for one in found] == ["40 Ω", "2 μF", "4899 rad/s"]


def test_the_whole_resistance_is_not_the_element():
    """5 ms over 1 uF are 5 kΩ, of which R2 is 2 kΩ."""
    lines = charging(capacitor="1 uF").replace('"c", "g"]', '"d", "g"]')
    lines += '{name = "R2", kind = "resistor", between = ["c", "d"], value = "2 kohm"},'
    found = rubric(lines, design('find = "time constant", is = "5 ms"'))
    upload = Upload(file="u.txt", digest="", student="S1", answers=(Written(problem="p", item="x", text="5 kohm"),))
    (mark,) = mark_upload(build_key(found), upload).marks
    assert mark.reasons[0] == "With this value the circuit does not do what is asked."
    assert (mark.awarded, mark.mistakes[:1]) == (0, ("whole-resistance-for-element",))


def test_a_source_may_be_asked():
    lines = charging("1 kohm").replace('"10 V"', '"unknown"')
    goal = 'find = "value at", voltage = "C1", at = "2 ms", is = "-4 V"'
    ((low, _),) = spans(lines, goal, "Vs")
    assert low == pytest.approx(-4 / (1 - math.exp(-1)), rel=1e-9)


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 99), st.integers(1, 99))
def test_other_values_of_the_circuit_ask_for_another_design(capacitance, ms):
    """R = τ/C, for every student's own capacitance."""
    found = problem(charging(), design(f'find = "time constant", is = "{ms} ms"'))
    drawn = with_values(found, {"C1": rational(f"{capacitance}e-7")})
    assert drawn.circuit is not None
    assert to_float(drawn.circuit.element("R1").value) == pytest.approx(ms * 1e-3 / (capacitance * 1e-7), rel=1e-9)


@pytest.mark.parametrize(
    "circuit, item, fault",
    [
        (charging("1 kohm"), design('find = "time constant", is = "5 ms"'), 'value of R1 is given; write value = "unknown"'),
        (charging(), 'id = "x", find = "time constant"', "its value is unknown; ask for it in one item"),
        (charging(), design('find = "time constant"'), "a target is missing"),
        (charging(), design('find = "time constant", is = "5 V"'), "a time is needed"),
        (charging(), design('find = "expression", voltage = "C1", is = "5 V"'), "no single value to be met"),
        (charging(), design('find = "time constant", is = "5 ms"', more=', series = "E7"'), "'series' must be one of"),
        (charging(), design('find = "time constant", is = "5 ms"', of="C1"), "the value of C1 is given"),
    ],
)  # fmt: skip
def test_faults(circuit, item, fault):
    with pytest.raises(RubricError, match=fault):
        problem(circuit, item)


def test_no_value_meets_the_condition():
    with pytest.raises(RubricError, match="no value of R1 of a usual size meets the condition"):
        references(rubric(charging(), design('find = "value at", voltage = "C1", at = "2 ms", is = "11 V"')))
