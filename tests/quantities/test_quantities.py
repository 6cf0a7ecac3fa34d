"""What an instructor states: whole, or refused with one sentence."""

import pytest

from grader.quantities.quantities import quantity
from grader.values.dimension import TIME, VOLTAGE


@pytest.mark.parametrize(
    "text, what",
    [
        ("5 u(t) - 5 u(t-2 s) V", "changes its form on the way"),
        ("5 V for t < 2 s, 3 V for t > 2 s", "changes its form on the way"),
        ("10/(s+2)", "a unit is added to a number"),
        ("(s+3)/(s^2+4)", "a unit is added to a number"),
        ("2/(s^2+1)", "a unit is added to a number"),
        ("3 A - finl", "'finl' was ignored"),
        ("steadx + 3", "'steadx.*was ignored"),
    ],
)
def test_what_cannot_be_stated_is_refused(text, what):
    with pytest.raises(ValueError, match=what):
        quantity(text, None, expects="expression")


@pytest.mark.parametrize(
    "text, dimension, what",
    [
        ("v(277 ms) = 4 V", TIME, "is a voltage; a time is needed"),
        ("5 V?", VOLTAGE, r"'\?' was ignored"),
        ("5 V hello", VOLTAGE, "'hello' was ignored"),
        ("hello 5 V", VOLTAGE, "'hello' was ignored"),
    ],
)
def test_a_value_beside_which_something_stands_is_refused(text, dimension, what):
    with pytest.raises(ValueError, match=what):
        quantity(text, dimension)


@pytest.mark.parametrize("text, value", [("5 1/s", 5.0), ("1/s", 1.0), ("5 u(t) V", 5.0), ("2 V + 3 V", 5.0)])
def test_what_can(text, value):
    assert quantity(text, None, expects="expression").waveform.value() == value
