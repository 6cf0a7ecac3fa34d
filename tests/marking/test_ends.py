"""Personal values at the ends of their ranges: what has no answer there, and keys that hold for some values alone.

By hand: the middle values are 48 V and 3.3 kohm, with 1 uF a time constant of 3.3 ms; at 2 tau C1 has 1 - e^-2 = 0.8647 of
the source. With 1 kohm 6.6 ms are 6.6 tau.
"""

from pathlib import Path

import pytest
from flint import fmpq

from grader.marking import ends as tried
from grader.marking.ends import MOST, check_ends, ends
from grader.marking.key import build_key
from grader.rubric.files import load_rubric, read_rubric

HORN = """
title = "Drill: a horn (invented)"
[[problem]]
id = "horn"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V … 60 V, step 12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm … 10 kohm, E6"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF"},
]
item = [{id = "x", points = 1, voltage = "C1", ITEM}]
"""
LATE = 'find = "value at", at = "2*R1*C1"'


def key_to(item):
    return build_key(read_rubric(HORN.replace("ITEM", item).encode(), "horn.toml"))


def test_an_item_without_an_answer_at_an_end_is_told_with_the_values():
    (remark,) = check_ends(key_to('find = "time to reach", level = "40 V"'))
    assert remark.wrong
    assert remark.where == "problem 'horn', item 'x'"
    assert "with Vs = 24 V and R1 = 1 kΩ, as a student may get: the signal never reaches that value" in remark.sentence


@pytest.mark.parametrize(
    "item",
    [
        'find = "time to reach", level = "20 V"',
        'find = "time to reach", level = "0.5*Vs", key = "R1*C1*ln(2)"',
        f'{LATE}, key = "Vs*(1-exp(-2))"',
        f'{LATE}, key = "41.5 V"',  # of the middle values; it names nothing
        f'{LATE}, key = "2.4 *"',  # cannot be read with any values
    ],
)
def test_what_holds_at_the_ends_is_not_told(item):
    assert not check_ends(key_to(item))


def test_a_key_that_names_elements_and_is_right_with_the_middle_values_alone_is_told():
    (remark,) = check_ends(key_to(f'{LATE}, key = "Vs*(1-exp(-6.6 ms/(R1*C1)))"'))
    assert remark.wrong
    assert "with Vs = 24 V and R1 = 1 kΩ" in remark.sentence
    assert "the solver finds 20.75 V" in remark.sentence


def test_a_key_that_is_wrong_with_the_middle_values_is_told_once_elsewhere():
    assert not check_ends(key_to(f'{LATE}, key = "Vs*(1-exp(-3))"'))


def test_a_formula_without_a_value_at_an_end_is_told():
    (remark,) = check_ends(key_to('find = "time to reach", level = "Vs*100 ohm/(R1 - 1000 ohm)"'))
    assert remark.where == "problem 'horn', item 'x'"
    assert "'level'" in remark.sentence


def test_where_time_is_over_that_is_told(monkeypatch):
    monkeypatch.setattr(tried, "SECONDS", -1.0)
    (remark,) = check_ends(key_to('find = "time to reach", level = "40 V"'))
    assert not remark.wrong
    assert "not all ends" in remark.sentence


def test_all_ends_of_two_ranges_are_tried_and_few_of_many():
    low, high = (fmpq(24), fmpq(1000)), (fmpq(60), fmpq(10_000))
    (problem,) = key_to(LATE).rubric.problems
    tried = [tuple(one.values()) for one in ends(problem)]
    assert tried == [low, high, (high[0], low[1]), (low[0], high[1])]
    (alone,) = load_rubric(Path(__file__).parents[2] / "rubrics" / "lock_valve.toml").problems[:1]
    assert not [*ends(alone)]
    more = "\n".join(
        f'{{name = "R{k}", kind = "resistor", between = ["c", "g"], value = "1 kohm … 10 kohm, E6"}},'
        for k in range(2, 10)
    )
    many = read_rubric(HORN.replace("ITEM", LATE).replace("element = [", f"element = [{more}").encode(), "horn.toml")
    assert len([*ends(many.problems[0])]) == MOST
