"""What a source's waveform means: each written by hand as pieces in SI base units."""

import pytest
from flint import fmpq

from grader.rubric.source_waveform import drive
from grader.values.dimension import CURRENT, VOLTAGE
from grader.values.waveform import TIME, Waveform, constant


def c(value: int) -> Waveform:
    return constant(fmpq(value))


NOTHING = Waveform()


@pytest.mark.parametrize(
    "text, right",
    [
        ("5 u(1-t) A", ((None, c(5)), (1, NOTHING))),
        ("u(2 - t)", ((None, c(1)), (2, NOTHING))),
        ("5 u(2 ms - t) A", ((None, c(5)), (fmpq(1, 500), NOTHING))),
        ("12 + 5 u(1-t)", ((None, c(17)), (1, c(12)))),
        ("5 u(-t) A", ((None, c(5)), (0, NOTHING))),
        ("5 (u(t) - u(t - 2 s)) A", ((None, NOTHING), (0, c(5)), (2, NOTHING))),
        ("25 A/s t u(t)", ((None, NOTHING), (0, TIME.scaled(fmpq(25))))),
        ("25 t u(t) A", ((None, NOTHING), (0, TIME.scaled(fmpq(25))))),
        ("25 A/s t + 3 A", ((None, NOTHING), (0, TIME.scaled(fmpq(25)) + c(3)))),
        ("3 t A", ((None, NOTHING), (0, TIME.scaled(fmpq(3))))),
        ("7 A", ((None, c(7)),)),
    ],
)
def test_pieces(text, right):
    assert drive(text, CURRENT, {}).pieces == right


@pytest.mark.parametrize(
    "text, what",
    [
        ("25 A/s u(t)", "must be a current throughout"),
        ("25 A/s t + 3 V", "must be a current throughout"),
        ("5 V", "must be a current throughout"),
        ("5 q(1-t) A", "cannot be worked out"),
        ("5 cos(", "cannot be"),
    ],
)
def test_what_no_waveform_is_refused(text, what):
    with pytest.raises(ValueError, match=what):
        drive(text, CURRENT, {})


def test_a_voltage_that_rises_by_the_millisecond():
    assert drive("10 V/ms t u(t)", VOLTAGE, {}).pieces[1] == (0, TIME.scaled(fmpq(10_000)))


@pytest.mark.parametrize(
    "text",
    [
        "3 A/s t u(t) - 3 A/s (t - 2 s) u(t - 2 s)",
        "3 A/s*t*u(t) - 3 A/s*(t - 2)*u(t - 2)",
        "(3 A/s) t u(t) - (3 A/s)(t - 2000 ms) u(t - 2 s)",
        "3 t u(t) - 3 (t - 2) u(t - 2) A",
        "3 A/s t (u(t) - u(t - 2 s)) + 6 A u(t - 2 s)",
        "3 mA/ms t u(t) - 3 mA/ms (t - 2 s) u(t - 2 s)",
    ],
)
def test_a_ramp_that_stops_with_its_units_in_every_plain_way(text):
    assert drive(text, CURRENT, {}).pieces == ((None, NOTHING), (0, TIME.scaled(fmpq(3))), (2, c(6)))


@pytest.mark.parametrize("text", ["3 A u(t) + 5 A/s u(t - 1)", "3 A/s t u(t) + 5 V u(t - 1)", "5 A/s u(t) + 3 A u(t)"])
def test_a_later_piece_of_another_kind_is_refused(text):
    with pytest.raises(ValueError, match="must be a current throughout"):
        drive(text, CURRENT, {})


def test_an_impulse():
    """6 mC at t = 0 beside a steady current, whatever it is called."""
    for text in ("6 δ(t) mA + 2 A", "6 mA δ(t) + 2 A", "0.006 delta(t) A + 2 A"):
        found = drive(text, CURRENT, {})
        assert (found.pieces, found.impulses) == (((None, constant(fmpq(2))),), ((fmpq(0), fmpq(6, 1000)),))
    with pytest.raises(ValueError, match="multiplied by a number"):
        drive("6 δ(t) δ(t) A", CURRENT, {})
