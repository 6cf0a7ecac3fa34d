"""Unit steps, ranges, and answers that change their form inside the interval asked."""

import math

import pytest
from flint import fmpq

from grader.reading.reader import read
from grader.reading.value.evaluate import EvaluationError, evaluate
from grader.values.waveform import NotAWaveform


def worked(text, start=0):
    return evaluate(read(text, expects="expression")[0].tree, start=fmpq(start))


@pytest.mark.parametrize(
    "text",
    [
        "5e^-2t u(t)",
        "5e^(-2t)*u(t)",
        "5u(t)e^-2t",
        "u(t)5e^-2t",
        "5e^-2t U(t)",
        "5e^-2t, t > 0",
        "5e^-2t for all t ≥ 0",
        "5e^-2t para t > 0",
        "pour t ≥ 0: 5e^-2t",
    ],
)
def test_from_nought_on(text):
    """A step at 0 has happened where the answer is asked from 0 on."""
    quantity = worked(text)
    assert quantity.waveform.value(0.3) == pytest.approx(5 * math.exp(-0.6))
    assert not quantity.later


@pytest.mark.parametrize(
    "text", ["(t>=2)*4", "4u(t-2)", "4 u(t − 2 s)", "0 for t<2; 4 for t>2", "0, t < 2 s; 4, t > 2 s", "t<2: 0; t>2: 4"]
)
def test_a_later_start(text):
    """What begins at 2 s is 0 before, and 4 from then on."""
    early, late = worked(text), worked(text, start=2)
    assert early.waveform.value() == 0
    assert [(instant, waveform.value()) for instant, waveform in early.later] == [(2, 4.0)]
    assert late.waveform.value() == 4
    assert not late.later


def test_a_pulse():
    """Two steps make three stretches."""
    quantity = worked("3(u(t) - u(t-2))", start=-1)
    assert quantity.waveform.value() == 0
    assert [(instant, waveform.value()) for instant, waveform in quantity.later] == [(0, 3.0), (2, 0.0)]


def test_a_falling_step():
    """u(-t) ends at 0."""
    assert worked("7u(-t)", start=-1).waveform.value() == 7
    assert worked("7u(-t)").waveform.value() == 0


def test_three_ranges():
    """The range that holds at the start asked."""
    text = "1, t<0; 2, 0<t<3; 5e^-(t-3), t>3"
    assert worked(text, -1).waveform.value() == 1
    assert worked(text).waveform.value() == 2
    assert worked(text, 3).waveform.value(4.0) == pytest.approx(5 * math.exp(-1))


def test_ranges_in_milliseconds():
    """Where t is stated in ms, so are the ends of the ranges."""
    quantity = worked("1 for t<2; 3 for t>2, t in ms")
    assert [instant for instant, _ in quantity.later] == [fmpq(2, 1000)]


def test_no_step_of_anything_else():
    """A step needs a number times t plus a number."""
    with pytest.raises(NotAWaveform):
        worked("u(t^2)")


def test_too_many_changes():
    """Answers that change their form all the time are no answers."""
    text = " + ".join(f"u(t-{n})" for n in range(1, 12))
    with pytest.raises(EvaluationError, match="changes its form too often"):
        worked(text)
