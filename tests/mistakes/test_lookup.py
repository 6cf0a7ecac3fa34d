"""Looking an answer up in a small table written by hand: the right answer is 10, four mistakes lead elsewhere."""

import pytest
from flint import fmpq
from msgspec.structs import replace

from grader.mistakes.lookup import (
    DIGITS_EXCHANGED,
    GROWING,
    INVERTED,
    OTHER_RESISTORS,
    PREFIX_SLIP,
    RATE,
    SIGN_TURNED,
    double_matches,
    from_own_values,
    part_matches,
    resistor_matches,
    single_matches,
)
from grader.mistakes.numeric_form import CUT_OFF, ROUNDED, WITHIN_TOLERANCE, ModalForm, Value, Word
from grader.mistakes.records import Wrong
from grader.mistakes.resistances import Found
from grader.mistakes.wrong_answers import Resistors, WrongAnswerRow, WrongAnswerTable
from grader.quantities.rules import Rule
from grader.values.waveform import TIME, constant
from tests.values.test_modes import mode


def table(right, *answers):
    """The wrong answers to one value, as (id, value)."""
    rows = sorted(answers, key=lambda pair: pair[1])
    return WrongAnswerTable(
        find="time constant",
        right=Value(right),
        varies=False,
        start=fmpq(0),
        tolerance=0.02,
        scale=10.0,
        rows=tuple(WrongAnswerRow(value, Value(value), id, f"variant of {id}") for id, value in rows),
        values=dict.fromkeys([id for id, _ in rows], 1),
    )


TABLE = table(10.0, (SIGN_TURNED, -10.0), (PREFIX_SLIP, 0.01), (INVERTED, 5.0), (DIGITS_EXCHANGED, 12.34), (RATE, 20.0))


@pytest.mark.parametrize(
    ("value", "digits", "id", "rank"),
    [
        (5.0, 3, INVERTED, ROUNDED),
        (5.0, 2, INVERTED, ROUNDED),
        (4.99, 3, INVERTED, CUT_OFF),
        (5.1, 2, INVERTED, CUT_OFF),
        (5.02, 3, INVERTED, WITHIN_TOLERANCE),  # rounded on the way
        (5.05, 3, None, 0),  # within the tolerance, and not what was written
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


@pytest.mark.parametrize("value", [0.0, 0.001, -0.05])
def test_next_to_nothing_is_no_power_of_ten_off(value):
    """Beside 10 both that and a billionth of 10 are zero; a prefix has the right digits or is none."""
    assert not [*single_matches(table(10.0, (PREFIX_SLIP, 1e-8), (INVERTED, 5.0)), Value(value), None)]


def test_how_near_it_is_and_how_common():
    (found,) = single_matches(TABLE, Value(5.02), 3)
    assert found.relative_deviation == pytest.approx(0.2)  # 0.02 of 0.1
    assert found.weight == TABLE.weight(INVERTED) > 0
    assert found.ids == (INVERTED,)
    assert not found.to_the_digit
    assert next(single_matches(TABLE, Value(5.0), 3)).to_the_digit
    assert next(single_matches(TABLE, Value(4.99), 3)).to_the_digit


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


def test_what_one_slip_explains_within_the_tolerance_is_no_second_mistake():
    """10.1 for 10 is right but for the prefix, though a mistake leads to 10.1 on the digit."""
    near = table(10.0, (INVERTED, 10.1), (RATE, 10.3))
    assert not list(double_matches(near, Value(10100.0), 4))
    assert [match.ids for match in double_matches(near, Value(10300.0), 4)] == [(RATE, PREFIX_SLIP)]


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


# 10 - 8 e^(-10t): what it starts at, what it ends at, and how fast, each with mistakes of its own.
IN_PARTS = replace(
    TABLE,
    parts=(
        ("initial value", table(2.0, (SIGN_TURNED, -2.0), (INVERTED, 5.0), (DIGITS_EXCHANGED, 7.0), (RATE, 2.05))),
        ("final value", table(10.0, (SIGN_TURNED, -10.0), (RATE, 20.0))),
        ("time constant", table(0.1, (INVERTED, 10.0), (PREFIX_SLIP, 100.0))),
    ),
)  # fmt: skip


def said(initial, final, constant, sign=-1):
    modes = (mode(final), mode(initial - final, rate=sign / constant))
    return ModalForm(modes, 10.0)


@pytest.mark.parametrize(
    ("given", "found"),
    [
        (said(2, 10, 0.1), []),
        (said(2.03, 10.1, 0.101), []),  # each within the tolerance, though one is also near a wrong one
        (said(2, 10, 0.3), []),  # wrong, and nothing explains it
        (said(5, 10, 0.1), [((INVERTED,), "initial value")]),
        (said(2, 20, 0.1), [((RATE,), "final value")]),
        (said(2, 10, 10), [((INVERTED,), "time constant")]),
        (said(5000, 10, 0.1), [((INVERTED, PREFIX_SLIP), "initial value")]),
        # One mistake that explains several parts goes before one for each.
        (said(-2, -10, 0.1), [((SIGN_TURNED,), "initial value"), ((SIGN_TURNED,), "final value")]),
        (said(5, 20, 10), [((INVERTED,), "initial value"), ((INVERTED,), "time constant")]),
        # Two parts, each by a mistake of its own: both together; of three wrong parts each by itself.
        (said(5, 20, 0.1), [((INVERTED, RATE), "initial value and final value")]),
        (said(5, 33, 0.1), [((INVERTED,), "initial value")]),
        (said(-2, 20, 10), [((SIGN_TURNED,), "initial value"), ((RATE,), "final value"), ((INVERTED,), "time constant")]),
        (said(5, 20, 0.3), [((INVERTED,), "initial value"), ((RATE,), "final value")]),
        (said(5000, 20, 0.1), [((INVERTED, PREFIX_SLIP), "initial value"), ((RATE,), "final value")]),
        # An exponent of the wrong sign is wrong, too.
        (said(2, 10, 0.1, sign=1), [((GROWING,), "exponent")]),
        (said(5, 10, 0.1, sign=1), [((INVERTED, GROWING), "initial value and exponent")]),
        (said(5, 20, 0.1, sign=1), [((INVERTED,), "initial value"), ((RATE,), "final value"), ((GROWING,), "exponent")]),
        # No constant with one exponential.
        (Value(5.0), []),
        (ModalForm((mode(10),), 10.0), []),
        (ModalForm((mode(20), mode(-15, rate=-10), mode(1, rate=-3)), 20.0), []),
        (ModalForm((mode(20), mode(-15, rate=-10, frequency=2)), 20.0), []),
        (ModalForm((mode(20), mode(-15, rate=-10, power=1)), 20.0), []),
        (ModalForm((mode(20), mode(1, frequency=2), mode(-15, rate=-10)), 20.0), []),
        (ModalForm((mode(-2, rate=-10),), 10.0), [((SIGN_TURNED,), "initial value")]),  # it ends at nothing
        (ModalForm((mode(4), mode(6), mode(-5, rate=-10)), 10.0), [((INVERTED,), "initial value")]),
    ],
)  # fmt: skip
def test_an_expression_part_by_part(given, found):
    assert [(match.ids, match.part) for match in part_matches(IN_PARTS, given)] == found


def test_two_parts_are_explained_as_well_as_the_worse_of_them():
    """5.02 for 5 is a fifth of what the tolerance allows, and no rounding of the last place; 20 is right to the digit."""
    (found,) = part_matches(IN_PARTS, said(5.02, 20, 0.1))
    assert (found.relative_deviation, found.rank) == (pytest.approx(0.2), WITHIN_TOLERANCE)
    assert found.weight == min(TABLE.weight(INVERTED), TABLE.weight(RATE))
    assert found.variant == f"variant of {INVERTED}; variant of {RATE}"
    (swapped,) = part_matches(IN_PARTS, said(5, 20.08, 0.1))
    assert (swapped.relative_deviation, swapped.rank) == (pytest.approx(0.2), CUT_OFF)
    (growing,) = part_matches(IN_PARTS, said(5, 10, 0.1, sign=1))
    assert (growing.variant, growing.weight) == (f"variant of {INVERTED}", min(TABLE.weight(INVERTED), 1.0))


def rule(formula, *uses, **given):
    values = tuple((name, constant(fmpq(value))) for name, value in given.items())
    return Rule(formula=formula, uses=uses, given=values, says="")


SEEN = ("R", "seen")
OWN = replace(
    TABLE,
    ruled=(
        (INVERTED, Wrong(constant(fmpq(5)), "upside down", rule("R/L", SEEN, L=80))),
        (RATE, Wrong(constant(fmpq(20)), "twice", factor=constant(fmpq(2)))),
        (SIGN_TURNED, Wrong(constant(fmpq(-10)), "neither")),
        (DIGITS_EXCHANGED, Wrong(constant(fmpq(3)), "seven less", shift=constant(fmpq(-7)))),
    ),
)


@pytest.mark.parametrize(
    ("value", "seen", "found"),
    [
        (5.0, 16, []),  # 80/16 is right for the own value
        (0.2, 16, [(INVERTED, ("seen",), ROUNDED)]),
        (0.903, 72, [(INVERTED, ("seen",), WITHIN_TOLERANCE)]),
        (0.202, 16, []),
        (0.21, 16, []),
        (10.0, 16, [(RATE, ("seen",), ROUNDED)]),  # twice 80/16
        (-5.0, 16, []),
        (-2.0, 16, [(DIGITS_EXCHANGED, ("seen",), ROUNDED)]),  # 80/16 less 7
        (3.0, 0, []),  # 80/0 is nothing
        (3.0, TIME, []),
    ],
)
def test_a_mistake_on_the_own_values(value, seen, found):
    """80 divided by the own answer is what is asked."""
    answers = {"seen": seen if seen is TIME else constant(fmpq(seen)), "other": constant(fmpq(3))}
    carried = {"seen": answers["seen"]}
    matches = from_own_values(OWN, (rule("L/R", SEEN, L=80),), Value(value), 3, answers, carried)
    assert [(match.ids[0], match.carried, match.rank) for match in matches] == found


def test_what_was_right_is_no_own_value():
    answers = {"seen": constant(fmpq(16))}
    assert not list(from_own_values(OWN, (rule("L/R", SEEN, L=80),), Value(0.2), 3, answers, {}))


def test_of_several_items_those_that_were_wrong_are_named():
    """L R = 48 is right; R + L = 19 is the mistake, once with the one wrong and once with both."""
    uses = (SEEN, ("L", "store"))
    ruled = replace(TABLE, ruled=((INVERTED, Wrong(constant(fmpq(5)), "sum", rule("R+L", *uses))),))
    answers = {"seen": constant(fmpq(16)), "store": constant(fmpq(3))}
    for carried in (["store"], ["seen", "store"]):
        own = {item: answers[item] for item in carried}
        (match,) = from_own_values(ruled, (rule("L*R", *uses),), Value(19.0), 3, answers, own)
        assert (match.carried, match.variant) == (tuple(carried), "sum")
