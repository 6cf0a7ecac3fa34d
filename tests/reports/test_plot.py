"""Plots: ticks at round values, everything inside the frame, marks said in words."""

import math
import re

import pytest
from flint import fmpq
from hypothesis import given
from hypothesis import strategies as st

from grader.reports.plot import BOTTOM, HEIGHT, TOP, WIDTH, CurvePiece, LabelledInstant, plot
from grader.values.dimension import CURRENT, VOLTAGE
from grader.values.functions import exp
from grader.values.term import TermMode
from grader.values.waveform import TIME, constant

TEN_MS = fmpq(1, 100)


def rise(final, start, tau):
    return constant(fmpq(final)) + exp(TIME.scaled(fmpq(-1) / fmpq(tau))).scaled(fmpq(start) - fmpq(final))


def drawn(final=2, start=1, tau=TEN_MS, dimension=CURRENT):
    wave = rise(final, start, tau)
    end = 5 * float(int(tau.p) / int(tau.q))
    pieces = [
        CurvePiece(start=-end / 10, end=0.0, modes=constant(fmpq(start)).modes()),
        CurvePiece(start=0.0, end=end, modes=wave.modes()),
    ]
    marks = [
        LabelledInstant(time=0.0, value=float(start), label="initial value", shape="circle"),
        LabelledInstant(time=end, value=float(final), label="final value", shape="line"),
    ]
    return plot(pieces, marks, quantity="i_L1", dimension=dimension, title="Current in L1", id="p")


def points(path):
    return dict(tuple(map(float, pair.split())) for pair in path.removeprefix("M").split("L"))


def test_a_decaying_oscillation_is_drawn_within_its_envelopes():
    """5 − 5 e^(−3t) cos 4t − 3.75 e^(−3t) sin 4t: about 5, no farther than 6.25 e^(−3t), which it touches; a rise has none."""
    modes = (TermMode(5.0, 0.0, 0, 0.0, 0.0), TermMode(-5.0, -3.75, 0, -3.0, 4.0))
    piece = CurvePiece(start=0.0, end=2.0, modes=modes)
    svg = plot([piece], [], quantity="v", dimension=VOLTAGE, title="v", id="e")
    upper, lower = map(points, re.findall(r'class="envelope" d="([^"]+)"', svg))
    curve = points(re.search(r'<path d="(M[^"]+)" stroke-width="2.2"', svg)[1])
    above = [curve[x] - y for x, y in upper.items()]
    below = [y - curve[x] for x, y in lower.items()]
    assert min(len(above), len(below)) > 100
    for gaps in (above, below):
        assert -0.2 <= min(gaps) < 1
    assert "envelope" not in drawn()


def test_axes_carry_quantity_unit_and_round_ticks():
    svg = drawn()
    texts = re.findall(r"<text[^>]*>([^<]*)</text>", svg)
    assert "iL1 in A" in re.sub("<[^>]*>", "", svg)
    assert "t in ms" in texts
    assert {"0", "10", "20", "30", "40", "50"} <= set(texts)


def test_it_says_what_it_shows():
    svg = drawn()
    assert 'role="img"' in svg
    assert '<title id="plot-p-title">Current in L1</title>' in svg
    assert "initial value; final value" in svg


def test_a_constant_zero_is_drawn():
    piece = CurvePiece(start=0.0, end=1.0, modes=constant(fmpq(0)).modes())
    svg = plot([piece], [], quantity="v", dimension=VOLTAGE, title="v", id="z")
    coordinates = [
        float(number) for path in re.findall(r' d="([^"]+)"', svg) for number in re.findall(r"-?[\d.]+|nan|inf", path)
    ]
    assert len(coordinates) > 10
    assert all(math.isfinite(number) for number in coordinates)


@given(st.integers(-1000, 1000), st.integers(-1000, 1000), st.integers(-6, 1))
def test_curves_stay_inside_the_frame(final, start, power):
    svg = drawn(final, start, fmpq(10) ** power if power >= 0 else fmpq(1, 10**-power))
    for path in re.findall(r'd="(M[^"]*L[^"]*)"', svg):
        for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path):
            assert 0 <= float(x) <= WIDTH
            assert TOP - 0.2 <= float(y) <= HEIGHT - BOTTOM + 0.2


def test_a_jump_is_dotted():
    pieces = [
        CurvePiece(start=-1.0, end=0.0, modes=constant(fmpq(1)).modes()),
        CurvePiece(start=0.0, end=1.0, modes=constant(fmpq(3)).modes()),
    ]
    assert 'stroke-dasharray="1.5 4"' in plot(pieces, [], quantity="v", dimension=VOLTAGE, title="v", id="j")
    level = [pieces[0], CurvePiece(start=0.0, end=1.0, modes=constant(fmpq(1)).modes())]
    assert 'stroke-dasharray="1.5 4"' not in plot(level, [], quantity="v", dimension=VOLTAGE, title="v", id="j")


@pytest.mark.parametrize("text", ["<b>", "&"])
def test_texts_are_escaped(text):
    piece = CurvePiece(start=0.0, end=1.0, modes=constant(fmpq(1)).modes())
    assert "<b>" not in plot([piece], [], quantity=text, dimension=VOLTAGE, title=text, id="e")
