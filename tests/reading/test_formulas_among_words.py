"""Formulas in the letters of the circuit among words: read as values with units are; circuits and letters invented."""

import pytest

from grader.reading.line.formulas import formulas
from grader.reading.reader import read
from grader.reading.refusals import Refusal
from grader.reading.tokens import question_of
from grader.values import dimension as dim

NAMES = {"Vb": dim.VOLTAGE, "Ra": dim.RESISTANCE, "Rb": dim.RESISTANCE, "L": dim.INDUCTANCE}


def said(text, dimension, called):
    found = read(text, dimension=dimension, names=NAMES, called=called)
    return found.sentence if isinstance(found, Refusal) else found[0].text


@pytest.mark.parametrize(
    ("text", "dimension", "called", "formula"),
    [
        ("0 at first, then rising till i = Vb/Ra after a long time", dim.CURRENT, ("i(inf)", "i"), "Vb/Ra"),
        ("start: 0\nend: Vb/Ra", dim.CURRENT, ("i(inf)", "i"), "Vb/Ra"),
        ("start: Vb/Ra\nend: 0", dim.CURRENT, ("i(0)", "i"), "Vb/Ra"),
        ("L sees Vb*Rb/(Ra+Rb) at first", dim.VOLTAGE, ("v(0)", "v"), "Vb*Rb/(Ra+Rb)"),
        ("R seen by L: Ra||Rb → τ = L/(Ra||Rb)", dim.TIME, ("tau",), "L/(Ra||Rb)"),
        ("tau = L/(Ra+Rb), with the source shorted Ra and Rb are one loop", dim.TIME, ("tau",), "L/(Ra+Rb)"),
        ("=Vb*Rb/(Ra+Rb)  // L open", dim.VOLTAGE, ("v(0)", "v"), "Vb*Rb/(Ra+Rb)"),
        ("KVL: Vb = Ra i + v, i = v/Rb, hence v = Vb*Rb/(Ra+Rb)", dim.VOLTAGE, ("v(inf)", "v"), "Vb*Rb/(Ra+Rb)"),
    ],
)
def test_a_formula_among_words(text, dimension, called, formula):
    assert said(text, dimension, called) == said(formula, dimension, called)


def test_of_two_formulas_none_counts_by_its_place():
    for text in ("w has Vb/Ra and z then Vb/Rb", "w has Vb/Rb and z then Vb/Ra"):
        readings = read(text, dimension=dim.CURRENT, names=NAMES, called=("i(inf)", "i"))
        assert isinstance(readings, Refusal) or not any("Only" in note for note in readings[0].notes)


def test_where_a_formula_begins_and_ends():
    question = question_of("value", dim.VOLTAGE, tuple(NAMES.items()), ("v",))
    found = formulas("w (Vb Rb/(Ra + Rb)) and Ra, Vb/2 -", question)
    assert [one[0] for one in found] == ["(Vb Rb/(Ra + Rb))", "Vb/2"]


@pytest.mark.parametrize(
    "text", ["time needed [ms]: 4", "tau (ms) 4", "tau / ms = 4", "t [ms] 4", "R1 not used. tau = 4 ms"]
)
def test_the_unit_of_a_label(text):
    found = read(text, dimension=dim.TIME, names={"R1": dim.RESISTANCE}, called=("tau", "t"))
    assert not isinstance(found, Refusal)
    assert found[0].text == "4 ms" or (found[0].text, found[0].unit) == ("4", "ms")
