"""What a slip costs, at settings where a rule and its opposite differ; and how near is near."""

import pytest

from grader.mistakes.lookup import double_matches
from grader.mistakes.numeric_form import CUT_OFF, ROUNDED, WITHIN_TOLERANCE, Value, digit_rank
from grader.rubric.files import load_rubric
from grader.rubric.personal import personal_rubric
from grader.values.comparison import compare
from grader.values.functions import exp
from grader.values.scalar import rational
from grader.values.waveform import TIME, constant
from tests.marking.valve import mark


@pytest.mark.parametrize(
    ("marking", "item", "text", "points"),
    [
        ("sign_costs = 0.2", "final", "-2 A", 0.8),
        ("sign_costs = 1", "final", "-2 A", 0),
        ("sign_costs = 0", "final", "-2 A", 1),
        ("sign_costs = 0.2", "i", "-2 + 0.364e^(-100t) A", 3.2),
        ("prefix_costs = 0.3", "final", "2 mA", 0.7),
        ("prefix_costs = 0.3", "final", "20 A", 0.7),
        ("prefix_costs = 0.3", "i", "2 - 0.364e^(-100t) mA", 2.8),
        ("unit_costs = 0.1", "final", "2", 0.9),
        ("unit_costs = 0.1", "final", "2 V", 0.9),
        # the unit's cost is a share of what is earned: three of four parts less a tenth of them
        ("unit_costs = 0.1", "i", "2 - 0.364e^(-50t)", 2.7),
        ("unit_costs = 0.1\nsign_costs = 0.2", "final", "-2", 0.72),
        ("general_form = 0.4", "i", "i(inf) + (i(0) - i(inf)) e^(-t/tau)", 1.6),
        ("general_form = 0", "i", "i(inf) + (i(0) - i(inf)) e^(-t/tau)", 1),  # its form alone
        ("general_form = 0.4", "i", "i(inf) - i(0) e^(-t/tau)", 1),  # a wrong one shows no method: the same
        ("general_form = 0.4", "i", "i(inf) + t e^(-t/tau)", 0),
        ("significant_figures = 3\nsignificant_figures_rule = 'required'\nunit_costs = 0.1", "final", "2.0 A", 0.9),
    ],
)
def test_a_slip_costs_what_the_rubric_says(valve_key, marking, item, text, points):
    assert mark(valve_key(marking), **{item: text})[item].awarded == pytest.approx(points)


def test_following_earns_what_the_rubric_says_less_what_a_slip_costs(valve_key):
    """80 mH over 16 Ω is 5 ms."""
    key = valve_key("follow_through = 0.6\nprefix_costs = 0.3\nunit_costs = 0.1")
    assert mark(key, seen="16 ohm", tau="5 ms")["tau"].awarded == pytest.approx(0.6)
    assert (
        "Following an earlier slip earns 60 % of the points here."
        in mark(key, seen="16 ohm", tau="5 ms")["tau"].reasons
    )
    assert mark(key, seen="16 ohm", tau="5 us")["tau"].awarded == pytest.approx(0.42)
    assert mark(key, seen="16 ohm", tau="5")["tau"].awarded == pytest.approx(0.54)


def test_a_small_change_upon_a_large_value_is_seen():
    """An end may be off by a quarter of the change itself, no more."""
    decay, hundred = exp(-TIME), constant(rational("100"))
    right = hundred + decay
    assert compare(hundred + decay.scaled(rational("0.8")), right, 0.02).equal
    assert not compare(hundred + decay.scaled(rational("0.5")), right, 0.02).equal
    assert not compare(hundred, right, 0.02).equal


def test_half_a_digit_is_rounding_and_a_whole_one_is_cutting_off():
    assert digit_rank(Value(1.236), Value(1.2356), 4, 0.1, 0.02) == ROUNDED
    assert digit_rank(Value(1.236), Value(1.2354), 4, 0.1, 0.02) == CUT_OFF
    assert digit_rank(Value(1.236), Value(1.2369), 4, 0.1, 0.02) == CUT_OFF
    assert digit_rank(Value(1.236), Value(1.2375), 4, 0.1, 0.02) == WITHIN_TOLERANCE


def test_two_mistakes_at_once_must_fit_every_digit(valve_key):
    """A turned sign upon another mistake counts where all four digits agree, never within the tolerance alone."""
    table = valve_key().diagnoser.tables["valve", "tau"]
    rows = [row for row in table.rows if isinstance(row.form, Value) and row.form.value > 0]
    found = 0
    for row in rows:
        size = float(f"{row.form.value:.4g}")
        exactly = {match.ids[0] for match in double_matches(table, Value(-size), 4)}
        nearly = {match.ids[0] for match in double_matches(table, Value(-size * 1.01), 4)}
        found += row.id in exactly
        assert row.id not in nearly or any(
            other.id == row.id and abs(other.form.value / (size * 1.01) - 1) < 1e-3 for other in rows
        )
    assert found


PROBLEM = """
[[problem]]
id = "{id}"
title = "Divider"
text = "The switch closes."
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"}},
  {{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"}},
  {{name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm … 10 kohm, E24"}},
  {{name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF"}},
]
item = [{{id = "tau", find = "time constant", points = 1}}]
"""


def test_every_problem_draws_values_of_its_own(tmp_path):
    """Two problems alike but for their ids: some student has different values in them."""
    path = tmp_path / "two.toml"
    path.write_text("title = 'Two'\ncourse = 'T'\n" + "".join(PROBLEM.format(id=id) for id in "pq"), encoding="utf-8")
    rubric = load_rubric(path)
    drawn = [personal_rubric(rubric, f"S{number}", b"s" * 32).problems for number in range(6)]
    assert any(one.values != other.values for one, other in drawn)
