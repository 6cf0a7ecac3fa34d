"""Options that are values with units or factors: what an answer comes to chooses, however it is written."""

import pytest

from grader.reading.option_values import chosen_by_value
from grader.reading.record import Reading
from grader.reading.refusals import CannotRead
from grader.reading.words import choose

RATES = ("40 V/s", "-40 V/s", "0 V/s", "40 mV/s")
SPANS = ("lasts twice as long", "lasts half as long", "lasts as long as before", "lasts nine fourths as long")
PACES = ("three times as fast", "a third as fast", "just as fast")


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("0.04 V/ms", 0), ("4e1 V/s", 0), ("forty volts per second", 0), ("40 V s^-1", 0), ("40 V/s oops -40 V/s", 1),
        ("40 mV/s, not 40 V/s", 3), ("twice 20 V/s", 0), ("8 V / 0.2 s", 0),
    ],
)  # fmt: skip
def test_a_value_in_any_form_is_the_option_of_that_value(text, place):
    found = chosen_by_value(text, "", RATES)
    assert found is not None
    assert found.tree.option == RATES[place]


@pytest.mark.parametrize(
    "text", ["b", "20 V/s", "half of 40 V/s", "40 V/s or -40 V/s", "more than 40 V/s", "not 40 V/s", "40 V"]
)
def test_another_value_or_several_choose_none(text):
    assert not isinstance(chosen_by_value(text, "", RATES), Reading)


@pytest.mark.parametrize(
    ("text", "waits"),
    [
        ("40 V/s at first, then 0 V/s", True), ("40.0 V/s, later 0 V/s", True),
        ("40 V/s, not 0 V/s", False), ("40 V/s (was 0 V/s)", False), ("40 V/s instead of 40 mV/s", False),
        ("half of 80 V/s = 40 V/s", False), ("40 mV/s → 40 V/s", False), ("40 V/s; 0 V/s is wrong", False), ("~~0 V/s~~ 40 V/s", False),
    ],
)  # fmt: skip
def test_a_value_beside_another_options_waits_unless_that_is_denied(text, waits):
    """Or worked with, or told aside."""
    found = chosen_by_value(text, "", RATES)
    assert (found.tree.option, found.changed) == ("40 V/s", waits)


def test_options_that_are_no_values_are_not_compared_as_values():
    assert chosen_by_value("3 s", "", ("3 s", "never")) is None
    assert chosen_by_value("3 s", "", ("3 s", "3 V")) is None


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("x2", 0), ("200 %", 0), ("2 times", 0), ("half as fast", 0), ("twice as slow", 0), ("divided by 2", 1),
        ("tau/2", 1), ("shorter by 50 %", 1), ("reduced by a factor of two", 1), ("twice as fast", 1), ("it is doubled, no, halved", 1),
        ("9/4", 3), ("longer by 125%", 3), ("le double", 0), ("um den Faktor 2 kürzer", 1), ("nine fourths of it", 3),
    ],
)  # fmt: skip
def test_a_factor_in_any_form_is_the_option_of_that_factor(text, place):
    assert choose(text, SPANS).choice.option == SPANS[place]


@pytest.mark.parametrize(
    "text",
    [
        "x3",
        "a quarter",
        "twice or half as long",
        "half of a quarter",
        "2 times 3 times",
        "not twice",
        "twice is not right",
        "half cannot be",
    ],
)
def test_another_factor_is_not_decided(text):
    with pytest.raises(CannotRead):
        choose(text, SPANS)


@pytest.mark.parametrize(
    ("text", "place"), [("3 times", 0), ("three times as long", 1), ("one third", 1), ("3x slower", 1)]
)
def test_what_is_fast_is_not_long(text, place):
    assert choose(text, PACES).choice.option == PACES[place]


def test_a_factor_that_is_a_single_word():
    assert choose("quadruple", ("rises fourfold", "doubles", "stays")).choice.option == "rises fourfold"
