"""Whoever corrects an answer is taken at the last word, however it is said (common practice, no source)."""

import pytest

from grader.reading.elsewhere import elsewhere
from grader.reading.reader import Refusal, read
from grader.reading.value.evaluate import evaluate
from grader.values import dimension as dim

WORDS = (
    "no", "sorry", "oops", "wait", "no wait", "correction", "actually", "I mean", "edit", "nope", "my mistake", "oh no", "no sorry",
    "hmm no", "rather",
)  # fmt: skip
WITH_A_WORD = (
    "{a}, {word}: {b}", "{a} {word} {b}", "{a}. {word}, {b}", "{word} not {a} but {b}", "{a}, {word}, not {a}, {b}", "{a} -> {word} {b}",
    "{a} ({word}: {b})", "{a}; {word} it is {b}", "x = {a} {word} x = {b}", "I had {a}, {word} it must be {b}",
)  # fmt: skip
WITHOUT = (
    "{a} is wrong, {b}", "not {a}, {b}", "{b} and not {a}", "instead of {a} it is {b}", "{b} instead of {a}", "{b} rather than {a}",
    "~~{a}~~ {b}", "{a} (wrong) {b}", "{a}, I take that back, {b}", "{a}, better: {b}", "{a}, make that {b}", "{a}, correction {b}",
    "my first answer {a} was wrong, now {b}", "either {a} or {b}, I go with {b}", "sorry not {a}, I forgot R3: {b}",
)  # fmt: skip
PAIRS = {"value": ("24 ms", "40 ms", "0.04"), "expression": ("7.5e^(-10t) V", "7.5 - 6e^(-25t) V", "1.5")}
"""By what is asked: what is taken back, what takes its place, and what that is at t = 0."""

SUPPOSED = (
    "first I had {a} but R3 is cut off, {b}",
    "{b}; R1 alone would give {a}",
    "R1 alone would give {a}; {b}",
    "it would be {a} without R3, but it is {b}",
    "the latter of {a} and {b}",
    "the former of {b} and {a}",
    "of {a} and {b} the second one",
    "was {a}, is {b}",
    "{a} looks right at first sight but it is {b}",
    "{a} is the upper limit, it gets to {b}",
    "{a} replaced by {b}",
    "i first wrote {a} then changed it to {b}",
    "{a} only if R1 = 0; {b}",
    "it falls short of {a} and reaches {b}",
    "{a}... hmm... {b}",
    "{b} (was {a})",
    "erst {a}, jetzt {b}",
    "{a} vs {b}: {b}",
    "{b} (and not {a}, R3 is cut off)",
    "I corrected {a} to {b}",
    "{b} -- {a} would be without R3",
    "{b} ({a} would be with 0 V on C1)",
)


@pytest.mark.parametrize("text", SUPPOSED)
def test_what_would_be_is_not_what_is(text):
    for given, at_zero in (((24, 40), 0.04), ((40, 24), 0.024)):
        a, b = (f"{one} ms" for one in given)
        (first, *_) = read(
            text.format(a=a, b=b), dimension=dim.TIME, names={"R1": dim.RESISTANCE, "R3": dim.RESISTANCE}
        )
        assert evaluate(first.tree).waveform.value() == pytest.approx(at_zero)


AT_AN_INSTANT = (
    "at 20 ms {a}, at 60 ms {b}", "{a} at 20 ms and {b} at 60 ms", "{a} in the end, {b} at t = 60 ms", "after 60 ms {b}, later {a}",
    "charged towards {a}, and at 60 ms it reaches {b}", "{b} (at 60 ms), ends at {a}",
)  # fmt: skip


@pytest.mark.parametrize("text", AT_AN_INSTANT)
def test_the_value_at_the_instant_asked_is_the_one_that_the_line_puts_there(text):
    for a, b in ((9, 15), (15, 9)):
        (first, *_) = read(text.format(a=f"{a} V", b=f"{b} V"), dimension=dim.VOLTAGE, called=("v_C1(60ms)", "v"))
        assert evaluate(first.tree).waveform.value() == b


@pytest.mark.parametrize(
    "text", ["at {a} 5 A, at {b} 2 A", "5 A at {a}, 2 A at {b}", "{a}: 5 A, {b}: 2 A", "2 A at {b}, gone at {a}"]
)
def test_the_instant_of_a_level_is_the_one_that_the_line_puts_there(text):
    for a, b in ((25, 35), (35, 25)):
        (first, *_) = read(text.format(a=f"{a} ms", b=f"{b} ms"), dimension=dim.TIME, called=("t", "t(2A)"))
        assert evaluate(first.tree).waveform.value() == pytest.approx(b / 1000)


@pytest.mark.parametrize("text", ["{a} on R1, {b} on R2 and C1", "R1 has {a}, C1 {b}", "{b} (not {a})"])
def test_values_in_letters_are_told_apart_too(text):
    names = {
        "V0": dim.VOLTAGE,
        "R": dim.RESISTANCE,
        **dict.fromkeys(("R1", "R2"), dim.RESISTANCE),
        "C1": dim.CAPACITANCE,
    }
    for a, b in (("V0/3", "2V0/3"), ("2V0/3", "V0/3")):
        (alone, *_), (first, *_) = (
            read(one, dimension=dim.VOLTAGE, names=names, called=("v_C1(inf)", "v_C1"))
            for one in (b, text.format(a=a, b=b))
        )
        assert first.text == alone.text


def test_a_level_that_stands_beside_another_time_leaves_it_to_a_person():
    text = "2 A is a third of 6 A: a half-life of 17 ms and more, 27 ms"
    found = elsewhere(text, expects="value", dimension=dim.TIME, names={}, called=("t", "t(2A)"))
    assert "27 ms" in [one.text for one in found]


SET_ASIDE = (
    "ignore {a}. {b}", "cancel {a}; {b}", "{b} - the {a} is for the other switch position", "the {a} is for R1; here {b}",
    "{a} is the wrong one, {b} is right", "{b} is right, {a} is wrong", "{a} cannot be, it must be {b}", "{a} could be, but I think {b}",
    "{a} was in the book for the other circuit, here we have {b}", "pas {a} mais {b}",
    "my friend says {a}, my answer {b}", "{b} (the calculator shows {a})", "{b} is correct and {a} is not",
    "{b} (was {a})", "my friend says {a}, I say {b}", "I get {b}, my neighbour {a}", "first I got {a}, then {b}",
)  # fmt: skip


@pytest.mark.parametrize("expects", PAIRS)
@pytest.mark.parametrize("text", SET_ASIDE)
def test_what_a_clause_sets_aside_does_not_count(text, expects):
    *pair, _ = PAIRS[expects]
    dimension = dim.TIME if expects == "value" else dim.VOLTAGE
    for a, b in (pair, reversed(pair)):
        names = {"R1": dim.RESISTANCE, "R3": dim.RESISTANCE}
        (alone, *_) = read(b, expects=expects, dimension=dimension)
        (first, *_) = read(text.format(a=a, b=b), expects=expects, dimension=dimension, names=names)
        assert evaluate(first.tree) == evaluate(alone.tree)


@pytest.mark.parametrize("text", ["24 ms (must be before 40 ms, ok)", "24 ms, it isn't much, 40 ms before it is over"])
def test_what_is_said_of_something_else_sets_nothing_aside(text):
    (first, *_) = read(text, dimension=dim.TIME)
    assert evaluate(first.tree).waveform.value() == pytest.approx(0.024)


@pytest.mark.parametrize("expects", PAIRS)
@pytest.mark.parametrize(
    "text",
    [*(one.replace("{word}", word) for one in WITH_A_WORD for word in WORDS), *WITHOUT],
)
def test_the_last_word_counts(text, expects):
    """In both directions, so that neither is right by being the larger, the first or the shorter."""
    taken_back, instead, at_zero = PAIRS[expects]
    dimension = dim.TIME if expects == "value" else dim.VOLTAGE
    first, second = (
        read(text.format(a=a, b=b), expects=expects, dimension=dimension, names={"R3": dim.RESISTANCE})
        for a, b in ((taken_back, instead), (instead, taken_back))
    )
    assert not isinstance(first, Refusal)
    assert not isinstance(second, Refusal)
    assert evaluate(first[0].tree).waveform.value() == pytest.approx(float(at_zero))
    assert evaluate(second[0].tree).waveform.value() != pytest.approx(float(at_zero))


BY_ELEMENT = (
    "R2 takes {a}, L1 gets {b}", "{b} in the coil and {a} in R2", "5 A splits: R2 {a}, L1 {b}", "5 A in all, of which {b} go through L1",
    "{b} go through the coil, {a} through R2", "{b}, the rest ({a}) goes to R2",
    "{a} in R2, {b} in R3 and L1", "the source gives {a}, L1 gets {b}", "4 A, R2 takes {a}, L1 {b}",
    "4 A are stored and L1 gets {b} of them", "{a} at the source, {b} in L1",
    "8*0.5 = 4 A, L1 gets {b} of it", "i_L1 = {b}, the rest ({a}) is in R2",
)  # fmt: skip


@pytest.mark.parametrize("text", BY_ELEMENT)
def test_a_value_is_that_of_its_element(text):
    names = {"R2": dim.RESISTANCE, "L1": dim.INDUCTANCE}
    for a, b in ((1, 3), (3, 1)):
        (first, *_) = read(
            text.format(a=f"{a} A", b=f"{b} A"), dimension=dim.CURRENT, names=names, called=("i_L1", "i")
        )
        assert evaluate(first.tree).waveform.value() == b
        assert not first.slips
        said = elsewhere(
            text.format(a=f"{a} A", b=f"{b} A"),
            expects="value", dimension=dim.CURRENT, names=names, called=("i_L1", "i"),
        )  # fmt: skip
        assert {evaluate(one.tree).waveform.value() for one in said} <= {b}
