"""The same answer earns the same in every notation, more right never earns less, and no order matters."""

from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.problem import Marking
from grader.rubric.files import load_rubric
from grader.uploads.upload import Upload, Written
from tests.marking.test_rules import marks_of

KEY = build_key(load_rubric(Path(__file__).with_name("rules.toml")))

SHARES = st.integers(0, 8).map(lambda eighths: eighths / 8)
MARKINGS = st.builds(
    Marking,
    unit_costs=SHARES,
    sign_costs=SHARES,
    prefix_costs=SHARES,
    follow_through=SHARES,
    general_form=SHARES,
    units=st.sampled_from(["required", "assumed", "ignored"]),
    unit_fault=st.sampled_from(["each time", "once per problem"]),
    sign_fault=st.sampled_from(["once per signal", "each time"]),
    follow_easier=st.booleans(),
)
OFF = st.sampled_from(["1", "1", "1.37", "-1", "1000", "0.1", "0.43"])
"""What a number of a right answer is multiplied by."""


def with_marking(marking: Marking):
    """The key with other rules for every item."""
    return replace(
        KEY,
        problems=tuple((id, tuple(replace(item, marking=marking) for item in items)) for id, items in KEY.problems),
    )


def earned(key, place, text):
    mark = marks_of(key, {place: text})[place]
    return mark.awarded, mark.verdict


@given(MARKINGS, OFF, OFF, OFF)
def test_notations_of_one_expression_earn_the_same(marking, start, end, rate):
    """`tank`: 6 + 24 e^(-500t) V with every number off by some factor."""
    a, b, c = 6 * float(end), 24 * float(start), 500 * float(rate)
    key = with_marking(marking)
    plain = earned(key, "tank.v", f"{a:.8g} + {b:.8g} e^({-c:.8g}t) V")
    for text in (
        f"{b:.8g}*exp({-c:.8g}*t) + {a:.8g} V",
        f"v(t) = {1000 * a:.8g} + {1000 * b:.8g} e^({-c / 1000:.8g}t) mV, t in ms",
        f"{a:.8g} V + ({b:.8g} V)/e^({c:.8g}t)",
        f"{a + b:.8g} - {b:.8g} (1 - e^({-c:.8g}t)) V",
    ):
        assert earned(key, "tank.v", text) == plain, text


@given(MARKINGS, OFF)
def test_notations_of_one_value_earn_the_same(marking, off):
    """`tank`: 1.2 mA."""
    key, value = with_marking(marking), 1.2 * float(off)
    plain = earned(key, "tank.i1", f"{value:.8g} mA")
    for text in (f"{value / 1000:.8g} A", f"i = {1000 * value:.8g} uA", f"{value:.8g}*10^-3 A"):
        assert earned(key, "tank.i1", text) == plain, text


@pytest.mark.parametrize("place, start, end", [("tank.v", 30, 6), ("coil.i", 0, 0.3), ("coil.vl", 12, 0)])
def test_more_right_never_earns_less(place, start, end):
    """Start, end and rate, each right or wrong by an odd factor (a zero by an odd value)."""
    rate, size = {"tank.v": 500}.get(place, 200), max(start, end)
    points = {}
    for held in product((False, True), repeat=3):
        x0 = start if held[0] else start * 0.61 + 0.13 * size
        xf = end if held[1] else end * 0.57 + 0.11 * size
        decay = rate if held[2] else rate * 1.71
        text = f"{xf:.6g} + ({x0 - xf:.6g}) e^(-{decay:.6g}t) {'A' if place == 'coil.i' else 'V'}"
        points[held] = marks_of(KEY, {place: text})[place].awarded
    for fewer, more in product(points, repeat=2):
        if all(b or not a for a, b in zip(fewer, more, strict=True)):
            assert points[fewer] <= points[more], (fewer, more)
    assert points[True, True, True] == 4


ANSWERS = {
    "tank.vf": "24 V", "tank.i1": "0.3 mA", "tank.seen": "25 kohm", "tank.tau": "12.5 us", "tank.v": "24 + 6e^(-80t)",
    "coil.final": "-0.3 A", "coil.i": "-0.3 + 0.3e^(-200t) A", "ring.alpha": "60", "letters.v": "V0 e^(-2t/(R C))",
}  # fmt: skip


@given(st.permutations(sorted(ANSWERS)), MARKINGS)
def test_the_order_of_rows_changes_nothing(places, marking):
    key = with_marking(marking)

    def marked(order):
        answers = tuple(Written(problem=p.split(".")[0], item=p.split(".")[1], text=ANSWERS[p]) for p in order)
        return mark_upload(key, Upload(file="u", digest="", student="S", answers=answers))

    assert marked(places) == marked(sorted(ANSWERS))


@given(MARKINGS)
def test_no_mark_leaves_its_bounds(marking):
    for mark in marks_of(with_marking(marking), ANSWERS).values():
        assert 0 <= mark.awarded <= mark.possible
        assert sum(part.awarded for part in mark.parts) <= mark.possible + 1e-9
