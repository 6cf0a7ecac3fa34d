"""What a reading means for marking: doubts, units, figures, what it says on the interval asked; each by hand."""

from __future__ import annotations

import pytest
from flint import fmpq
from msgspec import structs

from grader.marking.interpretation import Interpretation
from grader.marking.understand import _cannot, _differs, _over_the_interval
from grader.marking.unit_meant import _has_bare_numbers_only, ends_in
from grader.reading.reader import read
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import CURRENT, ENERGY, TIME, VOLTAGE
from grader.values.functions import exp
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME as T
from grader.values.waveform import constant
from tests.marking.test_verdict import item

ONE = constant(fmpq(1))
LETTER = constant(Symbolic.symbol("V0", ("V0",)))


def said(text, rank=0, dimension=VOLTAGE, **more):
    (reading, *_) = read(text, dimension=dimension, names={"R1": None, "C1": None})
    return Interpretation(reading=reading._replace(**more), answer=ONE, dimension=dimension, rank=rank)


@pytest.mark.parametrize(
    ("slips", "rank", "doubtful"),
    [
        ((), 0, False),
        ((), 1, False),  # a less plausible reading, but nothing was assumed in it
        (("comma-left-out",), 0, False),
        (("comma-left-out",), 1, True),
        (("t-left-out",), 0, True),
        (("comma-left-out", "e-left-out"), 0, True),
        (("signs-lost",), 2, True),
    ],
)
def test_what_a_person_should_see(slips, rank, doubtful):
    assert said("2 V", rank, slips=slips).doubtful is doubtful


@pytest.mark.parametrize(
    ("text", "dimension", "nobodys"),
    [
        ("2 V", VOLTAGE, False),
        ("2 V", VOLTAGE.times(VOLTAGE).times(VOLTAGE), True),
        ("2", None, False),
        ("2 R1", VOLTAGE.times(VOLTAGE).times(VOLTAGE), False),  # names bring what they bring
    ],
)
def test_a_dimension_of_nothing(text, dimension, nobodys):
    assert structs.replace(said(text), dimension=dimension).of_no_quantity is nobodys


def test_the_unit_written():
    assert (said("2 kHz").counts_turns, said("2 kHz").unit_scale) == (True, 1000)
    assert (said("2 mV").counts_turns, said("2 mV").unit_scale) == (False, fmpq(1, 1000))
    assert (said("2").counts_turns, said("2").unit_scale) == (False, 1)


def test_figures_of_a_stored_number_cannot_be_told():
    written = said("2.50 V")
    assert (written.digits, written.figures) == (3, 3)
    stored = structs.replace(written, stored=True)
    assert (stored.digits, stored.figures) == (3, None)


def test_a_number_may_be_meant_in_another_unit_and_a_word_may_not():
    assert said("2 V").meant(fmpq(1000)) == constant(fmpq(1000))
    assert structs.replace(said("2 V"), answer="rises").meant(fmpq(1000)) == "rises"


@pytest.mark.parametrize(
    ("instants", "end", "kept"),
    [
        ((), 2, [0]),
        # It begins at 1 s and ends at 2 s, each within 2 %.
        (("0.5",), 2, [1]),
        (("1",), 2, [1]),
        (("1.02",), 2, [1]),
        (("1.03",), 2, [0, 1]),
        (("0.5", "1"), 2, [2]),
        (("1", "1.5"), 2, [1, 2]),
        (("1.95",), 2, [0, 1]),
        (("1.96",), 2, [0]),
        (("2",), 2, [0]),
        (("3",), 2, [0]),
        (("3",), None, [0, 1]),
        (("0.5", "1.5", "3"), 2, [1, 2]),
    ],
)
def test_what_is_said_on_the_interval_asked(instants, end, kept):
    waveforms = [constant(fmpq(n)) for n in range(len(instants) + 1)]
    later = tuple((fmpq(round(float(t) * 100), 100), w) for t, w in zip(instants, waveforms[1:], strict=True))
    quantity = structs.replace(evaluate(read("1")[0].tree), waveform=waveforms[0], later=later)
    asked = item(start=fmpq(1), end=None if end is None else fmpq(end))
    assert _over_the_interval(asked, quantity) == [waveforms[n] for n in kept]
    if "0" not in instants:
        at_once = _over_the_interval(item(end=fmpq(2)), quantity)
        assert at_once == [waveforms[0], *(w for t, w in later if t < fmpq(196, 100))]


@pytest.mark.parametrize(
    ("one", "other", "differs"),
    [
        (ONE, ONE, False),
        (ONE, constant(fmpq(101, 100)), False),
        (ONE, constant(fmpq(103, 100)), True),
        (constant(fmpq(100)), constant(fmpq(102)), False),
        (exp(-T), exp(-T).scaled(fmpq(101, 100)), False),
        (exp(-T), exp(T), True),
        (LETTER, LETTER, False),
        (LETTER, ONE, True),
        (ONE, LETTER, True),
        ("rises", "rises", False),
        ("rises", "falls", True),
        ("rises", ONE, True),
        (ONE, "rises", True),
    ],
)
def test_answers_that_differ(one, other, differs):
    assert _differs(one, other, 0.02) is differs


@pytest.mark.parametrize(
    ("text", "bare"), [("2000 C1", True), ("2000 F C1", False), ("R1 C1", False), ("2 R1 + 3 V", False), ("2", True)]
)
def test_numbers_beside_names_without_a_unit(text, bare):
    assert _has_bare_numbers_only(said(text).reading.tree) is bare


@pytest.mark.parametrize(
    ("text", "asked", "ends"),
    [
        ("2 V", VOLTAGE, True),
        ("2 V", CURRENT, False),
        ("2", VOLTAGE, False),
        ("2 ms", TIME, True),
        ("2 mJ", ENERGY, True),
    ],
)
def test_the_unit_of_the_whole(text, asked, ends):
    assert ends_in(said(text, dimension=asked).reading, asked) is ends


def test_a_sentence_begins_and_ends_as_one():
    reading = said("2 A").reading
    assert _cannot(reading, "two numbers stand side by side").sentence == "Two numbers stand side by side."
    assert _cannot(reading, "it is 2 A.").sentence == "It is 2 A."
