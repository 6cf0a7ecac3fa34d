"""Looking an answer up in a small table written by hand: the right answer is 10, four mistakes lead elsewhere."""

from dataclasses import replace

import pytest
from flint import fmpq

from grader.mistakes.lookup import (
    DIGITS_EXCHANGED,
    INVERTED,
    OTHER_RESISTORS,
    PREFIX_SLIP,
    RATE,
    SIGN_TURNED,
    double_matches,
    resistor_matches,
    single_matches,
)
from grader.mistakes.numeric_form import CUT_OFF, ROUNDED, WITHIN_TOLERANCE, Value, Word
from grader.mistakes.resistances import Found
from grader.mistakes.wrong_answers import Resistors, WrongAnswerRow, WrongAnswerTable

ANSWERS = {SIGN_TURNED: -10.0, PREFIX_SLIP: 0.01, INVERTED: 5.0, DIGITS_EXCHANGED: 12.34, RATE: 20.0}
TABLE = WrongAnswerTable(
    find="time constant",
    right=Value(10.0),
    varies=False,
    start=fmpq(0),
    tolerance=0.02,
    scale=10.0,
    rows=tuple(
        WrongAnswerRow(value, Value(value), id, f"variant of {id}")
        for id, value in sorted(ANSWERS.items(), key=lambda pair: pair[1])
    ),
    keys=tuple(sorted(ANSWERS.values())),
    values=dict.fromkeys(ANSWERS, 1),
)


@pytest.mark.parametrize(
    ("value", "digits", "id", "rank"),
    [
        (5.0, 3, INVERTED, ROUNDED),
        (5.0, 2, INVERTED, ROUNDED),
        (4.99, 3, INVERTED, CUT_OFF),
        (5.1, 2, INVERTED, CUT_OFF),
        (5.05, 3, INVERTED, WITHIN_TOLERANCE),
        (5.2, 3, None, 0),
        (20.0, 3, RATE, ROUNDED),
        (-10.0, 3, SIGN_TURNED, ROUNDED),
        (0.01, 3, PREFIX_SLIP, ROUNDED),
        (12.34, 4, DIGITS_EXCHANGED, ROUNDED),
        (12.34, None, DIGITS_EXCHANGED, ROUNDED),
        (12.3, 3, DIGITS_EXCHANGED, ROUNDED),
        (12.4, 3, DIGITS_EXCHANGED, CUT_OFF),
        (12.45, 4, None, 0),  # a digit exchanged is so to every digit
        (12.0, 2, None, 0),  # and shows in no fewer than three
        (7.0, 3, None, 0),
    ],
)
def test_one_mistake(value, digits, id, rank):
    found = [(match.ids, match.rank, match.variant) for match in single_matches(TABLE, Value(value), digits)]
    assert found == ([] if id is None else [((id,), rank, f"variant of {id}")])


def test_how_near_it_is_and_how_common():
    (found,) = single_matches(TABLE, Value(5.05), 3)
    assert found.relative_deviation == pytest.approx(0.5)  # 0.05 of 0.1
    assert found.weight == TABLE.weight(INVERTED) > 0
    assert found.candidate().ids == (INVERTED,)
    assert not found.candidate().to_the_digit
    assert next(single_matches(TABLE, Value(5.0), 3)).candidate().to_the_digit
    assert next(single_matches(TABLE, Value(4.99), 3)).candidate().to_the_digit


@pytest.mark.parametrize(
    ("value", "digits", "ids"),
    [
        (5e3, 4, {(INVERTED, PREFIX_SLIP)}),
        (5e-3, 3, {(INVERTED, PREFIX_SLIP)}),
        (5e6, None, {(INVERTED, PREFIX_SLIP)}),
        (5e-6, 4, {(INVERTED, PREFIX_SLIP)}),
        (50.0, 4, set()),
        (5e9, 4, set()),
        (-5.0, 4, {(INVERTED, SIGN_TURNED)}),
        (-20.0, 4, {(RATE, SIGN_TURNED)}),
        (-20.0, 2, set()),  # too few digits to hold two mistakes
        (5050.0, 4, set()),  # within the tolerance only
        (-10.0, 4, set()),  # the sign alone explains it
        (1e4, 4, set()),  # so does the prefix
        (12340.0, 4, set()),  # digits exchanged are no first of two
        (0.0, None, set()),
    ],
)
def test_a_mistake_and_a_slip_upon_it(value, digits, ids):
    found = list(double_matches(TABLE, Value(value), digits))
    assert {match.ids for match in found} == ids
    assert all(match.rank < WITHIN_TOLERANCE and match.weight == TABLE.weight(match.ids[0]) for match in found)


@pytest.mark.parametrize(
    ("value", "inductive", "ids"),
    [
        (0.05, True, {(RATE, INVERTED)}),  # 1/20
        (0.05, False, set()),  # the rate of a rate is the same mistake twice
        (0.05, None, set()),
        (0.2, False, {(INVERTED, RATE)}),
        (0.2, True, set()),
        (0.1, True, set()),  # 1/10: the one slip explains it
    ],
)
def test_a_time_constant_upside_down_besides(value, inductive, ids):
    table = replace(TABLE, inductive=inductive)
    assert {match.ids for match in double_matches(table, Value(value), 3)} == ids


SUMS = tuple(
    Found(value, size, text) for value, size, text in [(4, 1, "R2"), (6, 1, "R1"), (10, 2, "R1 + R2"), (10, 3, "…")]
)


@pytest.mark.parametrize(
    ("value", "digits", "storage", "capacitive", "variant"),
    [
        (6.0, 3, None, False, "equals R1"),
        (6.004, 3, None, False, "equals R1"),
        (6.1, 3, None, False, None),
        (6.0, 2, None, False, None),
        (10.0, 3, None, False, "equals R1 + R2"),  # the fewest resistors
        (-6.0, 3, None, False, None),
        (0.0, 3, None, False, None),
        (12.0, 3, 2.0, True, "equals R1"),  # R C with 2 F
        (0.5, 3, 2.0, False, "equals R2"),  # L/R with 2 H
        (0.5, 3, 0.0, False, None),
    ],
)
def test_other_resistors(value, digits, storage, capacitive, variant):
    table = replace(TABLE, resistors=Resistors(SUMS, storage, capacitive))
    found = [(match.ids, match.variant, match.rank) for match in resistor_matches(table, Value(value), digits)]
    assert found == ([] if variant is None else [((OTHER_RESISTORS,), variant, ROUNDED)])


def test_many_combinations_are_counted():
    many = tuple(Found(6, 1, f"R{n}") for n in range(1, 6))
    (found,) = resistor_matches(replace(TABLE, resistors=Resistors(many)), Value(6.0), 3)
    assert found.variant == "equals R1, or R2, or R3, or 2 more"
    (three,) = resistor_matches(replace(TABLE, resistors=Resistors(many[:3])), Value(6.0), None)
    assert three.variant == "equals R1, or R2, or R3"


def test_a_word_is_no_value():
    assert not list(double_matches(TABLE, Word("five"), None))
    assert not list(resistor_matches(replace(TABLE, resistors=Resistors(SUMS)), Word("five"), None))
    assert not list(resistor_matches(TABLE, Value(6.0), 3))
