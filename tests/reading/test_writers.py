"""Random waveforms, written in thousands of combinations of notation, read back equal."""

import pickle
from random import Random

import pytest
from flint import fmpq
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from grader.reading.reader import Refusal, read
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import CURRENT
from grader.values.term import Term
from grader.values.waveform import Waveform
from tests.common.writers import Style, every_style, has_unit, random_style, write

DIGITS = st.integers(1, 999)
AMPLITUDES = st.builds(lambda n, k, s: fmpq(n, 10**k) * s, DIGITS, st.integers(0, 4), st.sampled_from([1, -1]))
RATES = st.builds(
    lambda n, k: -fmpq(n) * fmpq(10) ** k, st.sampled_from([1, 2, 4, 5, 8, 12, 16, 25, 40, 125]), st.integers(-1, 3)
)
FREQUENCIES = st.builds(fmpq, st.integers(2, 9999))


@st.composite
def waveforms(draw):
    """First order, or second order of any damping, with or without a constant."""
    constant = [Term(draw(AMPLITUDES))] if draw(st.booleans()) else []
    shape = draw(st.sampled_from(["first", "over", "critical", "under"]))
    rate = draw(RATES)
    if shape == "first":
        terms = [Term(draw(AMPLITUDES), rate=rate)]
    elif shape == "over":
        other = draw(RATES.filter(lambda r: r != rate))
        terms = [Term(draw(AMPLITUDES), rate=rate), Term(draw(AMPLITUDES), rate=other)]
    elif shape == "critical":
        terms = [Term(draw(AMPLITUDES), rate=rate), Term(draw(AMPLITUDES), power=1, rate=rate)]
    else:
        terms = [Term(draw(AMPLITUDES), draw(AMPLITUDES), rate=rate, frequency=draw(FREQUENCIES))]
    if shape == "first" and constant and draw(st.booleans()):
        terms = [replace(terms[0], cosine=-constant[0].cosine)]
    return Waveform.of([*constant, *terms])


def check(waveform: Waveform, style: Style, text: str) -> None:
    found = read(text, expects="expression", dimension=CURRENT)
    assert not isinstance(found, Refusal), f"{text!r}: {found.sentence}"
    first = found[0]
    quantity = evaluate(first.tree)
    assert quantity.waveform == waveform, f"{text!r} was read as {first.text!r} {first.notes}"
    assert (quantity.dimension == CURRENT) == has_unit(style), text
    assert not first.slips, (text, first.slips)
    again = read(first.text, expects="expression", dimension=CURRENT)
    assert not isinstance(again, Refusal), f"{first.text!r}: {again.sentence}"
    assert evaluate(again[0].tree).waveform == waveform, f"{text!r} is shown as {first.text!r}"
    assert pickle.loads(pickle.dumps(first)) == first


@pytest.mark.parametrize(
    "style",
    every_style(),
    ids=lambda s: write(Waveform.of([Term(fmpq(12, 5)), Term(fmpq(-12, 5), rate=fmpq(-500))]), Random(0), s),
)
@settings(max_examples=12, suppress_health_check=list(HealthCheck))
@given(waveform=waveforms())
def test_each_style(style, waveform):
    """Every choice of notation, one at a time."""
    check(waveform, style, write(waveform, Random(0), style))


@settings(max_examples=400)
@given(waveform=waveforms(), random=st.randoms(use_true_random=False))
def test_any_combination(waveform, random):
    """Notations mixed at random."""
    style = random_style(random)
    check(waveform, style, write(waveform, random, style))


@settings(max_examples=150)
@given(
    waveform=waveforms(),
    random=st.randoms(use_true_random=False),
    which=st.integers(0, 5),
    factor=st.sampled_from([fmpq(51, 50), fmpq(9, 10), fmpq(-1), fmpq(1, 2)]),
)
def test_a_wrong_number_stays_wrong(waveform, random, which, factor):
    """No reading turns an answer with one wrong number into the right one."""
    terms = list(waveform.terms)
    index = which % len(terms)
    term = terms[index]
    if which < 3 or term.rate == 0:
        terms[index] = replace(term, cosine=term.cosine * factor, sine=term.sine * factor)
    else:
        terms[index] = replace(term, rate=term.rate * abs(factor))
    wrong = Waveform.of(terms)
    style = Style(unit=random.choice(["none", "whole"]))
    if wrong == waveform:
        return
    found = read(write(wrong, random, style), expects="expression", dimension=CURRENT)
    assert not isinstance(found, Refusal)
    assert all(evaluate(reading.tree).waveform != waveform for reading in found)
