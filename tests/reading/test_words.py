"""Answers in words: options, damping types, open and short circuits, no finite value."""

import pytest

from grader.reading.reader import Refusal, read
from grader.reading.refusals import CannotRead
from grader.reading.value.evaluate import NotFinite, evaluate
from grader.reading.words import choose
from grader.values import dimension as dim


@pytest.mark.parametrize(
    "text, option",
    [
        ("over", "overdamped"), ("Overdamped", "overdamped"), ("over-damped", "overdamped"), ("over damped", "overdamped"), ("OD", "overdamped"),
        ("It is overdamped.", "overdamped"), ("overdamped (alpha > omega0)", "overdamped"), ("overdampd", "overdamped"),
        ("critical", "critically damped"), ("crit.", "critically damped"), ("critically damped", "critically damped"), ("CD", "critically damped"),
        ("critical damping", "critically damped"), ("critically-damped", "critically damped"), ("criticaly damped", "critically damped"),
        ("under", "underdamped"), ("UD", "underdamped"), ("UNDERDAMPED", "underdamped"), ("underdamped, oscillatory", "underdamped"),
        ("undamped", "undamped"), ("α < ω0", "underdamped"), ("omega_0 < alpha", "overdamped"), ("zeta = 1", "critically damped"),
    ],
)  # fmt: skip
def test_damping(text, option):
    """The damping types and their short forms."""
    found = read(text, expects="choice")
    assert not isinstance(found, Refusal), found.sentence
    assert found[0].tree.option == option
    assert found[0].text == option


@pytest.mark.parametrize(
    "text, kind",
    [
        ("yes", "choice-unknown"), ("damped", "choice-unknown"), ("not overdamped", "choice-negated"),
        ("", "blank"), ("?", "blank"), ("5", "choice-unknown"),
    ],
)  # fmt: skip
def test_no_damping(text, kind):
    """What names none, several, or the opposite."""
    found = read(text, expects="choice")
    assert isinstance(found, Refusal)
    assert found.kind == kind


OPTIONS = ("the lamp gets brighter", "the lamp stays as it is", "the lamp goes out")


@pytest.mark.parametrize(
    "text, number",
    [
        ("the lamp goes out", 2), ("The Lamp goes out.", 2), ("c", 2), ("(b)", 1), ("B.", 1), ("1", 0), ("3)", 2), ("the lamp stays", 1),
        ("I think the lamp goes out", 2), ("the lamp goes ut", 2),
    ],
)  # fmt: skip
def test_options(text, number):
    """An option in full, its beginning, or its letter or number."""
    found = read(text, expects="choice", options=OPTIONS)
    assert not isinstance(found, Refusal), found.sentence
    assert found[0].tree.option == OPTIONS[number]


@pytest.mark.parametrize(
    ("text", "option"),
    [
        ("quicker", "faster"),
        ("falls faster, as R is larger", "faster"),
        ("its decay is sped up", "faster"),
        ("schneller", "faster"),
        ("更快", "faster"),
        ("it slows down", "more slowly"),
        ("plus lentement", "more slowly"),
        ("just as fast", "equally fast"),
    ],
)
def test_how_fast_something_goes(text, option):
    assert choose(text, ("faster", "equally fast", "more slowly")).choice.option == option


@pytest.mark.parametrize("text", ["the lamp", "d", "4", "none of them"])
def test_no_option(text):
    """Too little, or not there."""
    assert isinstance(read(text, expects="choice", options=OPTIONS), Refusal)


WAYS = ("rises", "stays the same", "falls")
FLOWS = ("flows into C1", "is zero", "flows out of C1")
FACTORS = ("doubles", "no change", "halves")


@pytest.mark.parametrize(
    "text, options, option",
    [
        ("goes up", WAYS, "rises"), ("it gets smaller", WAYS, "falls"), ("does not change", WAYS, "stays the same"),
        ("bleibt gleich", WAYS, "stays the same"), ("aumenta", WAYS, "rises"), ("maleje", WAYS, "falls"),
        ("still 12 V", FACTORS, "no change"), ("unaffected", FACTORS, "no change"), ("twice as large", FACTORS, "doubles"),
        ("out of C1", FLOWS, "flows out of C1"), ("out", FLOWS, "flows out of C1"), ("fließt aus C1 heraus", FLOWS, "flows out of C1"),
        ("not into, it's flowing out of C1", FLOWS, "flows out of C1"), ("flows into C1 no, out of C1", FLOWS, "flows out of C1"),
        ("不变", WAYS, "stays the same"), ("растёт", WAYS, "rises"), ("半分", FACTORS, "halves"),
        ("entra", FLOWS, "flows into C1"), ("the third one", FLOWS, "flows out of C1"), ("second", FLOWS, "is zero"),
        ("neither up nor down", WAYS, "stays the same"), ("two times bigger", FACTORS, "doubles"), ("half", FACTORS, "halves"), ("la mitad", FACTORS, "halves"),
    ],
)  # fmt: skip
def test_other_words_for_a_change(text, options, option):
    """An option is named by any words for the change that it alone tells of."""
    found = read(text, expects="choice", options=options)
    assert not isinstance(found, Refusal), found.sentence
    assert found[0].tree.option == option


LANES = ("from p to q", "from q to p", "no current flows")
EDGES = (
    "The current keeps its value and its slope changes.",
    "The current jumps and its slope changes.",
    "The current keeps its value and its slope stays the same.",
)
LARGER = ("tau1 is larger than tau2", "tau1 is smaller than tau2", "both are equal")
TURNS = ("clockwise", "counterclockwise", "not at all")
SIGNS = ("positive", "negative", "zero")
BOTH = ("true", "false")
TWO = (
    "the voltage rises and the current falls",
    "the voltage falls and the current rises",
    "both rise",
    "both fall",
)


@pytest.mark.parametrize(
    "text, options, number",
    [
        ("q -> p", LANES, 1), ("q→p", LANES, 1), (r"q \to p", LANES, 1), ("q to p", LANES, 1), ("von q nach p", LANES, 1),
        ("de p vers q", LANES, 0), ("de q a p", LANES, 1), ("z p do q", LANES, 0), ("从q到p", LANES, 1), ("p ← q", LANES, 1),
        ("p to q wait no q to p", LANES, 1), ("p to q, not q to p", LANES, 0), ("into q", LANES, 0), ("leaves p", LANES, 0),
        ("kein Strom", LANES, 2), ("b. q to p", LANES, 1), ("b", LANES, 1),
        ("it jumps", EDGES, 1), ("der Strom springt", EDGES, 1), ("both stay the same", EDGES, 2), ("does not jump, same slope", EDGES, 2),
        ("la corriente no salta pero la pendiente cambia", EDGES, 0), ("2nd one, because L holds it", EDGES, 1),
        ("tau2 > tau1", LARGER, 1), ("tau2 < tau1", LARGER, 0), ("tau1 = tau2", LARGER, 2), ("tau2 größer als tau1", LARGER, 1),
        ("tau1 is not larger than tau2, it is smaller", LARGER, 1), ("the larger one is tau2", LARGER, 1),
        ("gets smaler", WAYS, 2), ("option 3", WAYS, 2), ("neither a nor c", WAYS, 1), ("not a, b", WAYS, 1), (r"\tau \uparrow", WAYS, 0),
        ("R grows so it falls", WAYS, 2), ("rises, no, falls", WAYS, 2), ("no it falls", WAYS, 2), ("falls, more alpha", WAYS, 2),
        ("ccw", TURNS, 1), ("gegen den Uhrzeigersinn", TURNS, 1), ("> 0", SIGNS, 0), ("below zero", SIGNS, 1),
        ("stimmt nicht", BOTH, 1), ("pas vrai", BOTH, 1), ("T because v cannot jump", BOTH, 0), ("true, R1 has no effect", BOTH, 0),
        ("minus 2 A", ("2 A", "-2 A"), 1),
        ("-", SIGNS, 1), ("tau1 smaller, tau2 bigger", LARGER, 1), ("tau1 меньше tau2", LARGER, 1),
        ("voltage up, current down", TWO, 0), ("the voltage falls and not the current", TWO, 1), ("only the current falls", TWO, 0),
        ("the current rises, the voltage doesn't", TWO, 1), ("both go down", TWO, 3), ("(b) falls", ("rises", "falls"), 1),
        ("4 times", ("twice as large", "four times as large"), 1), ("opened", ("opens", "closes"), 0), ("A, no B", WAYS, 1),
    ],
)  # fmt: skip
def test_what_is_meant(text, options, number):
    """A way, a comparison, a denial, a place, a class in another language or with a slip."""
    found = read(text, expects="choice", options=options)
    assert not isinstance(found, Refusal), found.sentence
    assert found[0].tree.option == options[number]


@pytest.mark.parametrize(
    "text, options",
    [
        ("b, p to q", LANES), ("p", LANES), ("either way", LANES), ("A: it jumps", EDGES), ("jumps and keeps its value", EDGES),
        ("slope changes", EDGES), ("no jump", EDGES), ("tau1", LARGER), ("not clockwise", TURNS), ("not zero", SIGNS),
        ("rises at first but then falls", WAYS), ("not wrong", BOTH), ("3 A", ("zero", "2 A", "-2 A")), ("-1 A from p to q", LANES), ("(a) is wrong", WAYS), ("voltage rises", TWO),
        ("C → L", ("from the coil to the capacitor", "from the capacitor to the coil", "neither way")),
    ],
)  # fmt: skip
def test_what_fits_several_options_or_none(text, options):
    """A letter against words, half of what is said, two things at once, a denial alone."""
    assert isinstance(read(text, expects="choice", options=options), Refusal)


@pytest.mark.parametrize(
    "text, options",
    [
        ("in or out", FLOWS), ("through R1", FLOWS), ("C1", FLOWS), ("the fifth", FLOWS),
        ("does not rise", WAYS), ("up or down", WAYS), ("twice", WAYS), ("gets bigger", FACTORS),
        ("twice or half", FACTORS), ("not the same", FACTORS), ("larger", ("current", "voltage")),
    ],
)  # fmt: skip
def test_words_for_no_change_that_is_an_option(text, options):
    """Denied, several, or what no option says."""
    assert isinstance(read(text, expects="choice", options=options), Refusal)


def test_one_option_inside_another():
    """The longer one is meant where it is written."""
    found = read("not at all", expects="choice", options=("at all", "not at all"))
    assert found[0].tree.option == "not at all"


@pytest.mark.parametrize("text", ["short circuit", "a short", "shorted", "Short-circuit"])
def test_short_circuit(text):
    """0 Ω, or 0 V across it."""
    for asked in (dim.RESISTANCE, dim.VOLTAGE):
        assert evaluate(read(text, dimension=asked)[0].tree).waveform.number == 0
    assert isinstance(read(text, dimension=dim.CURRENT), Refusal)


def test_open_circuit():
    """0 A through it; no finite resistance."""
    assert evaluate(read("open circuit", dimension=dim.CURRENT)[0].tree).waveform.number == 0
    with pytest.raises(NotFinite):
        evaluate(read("open", dimension=dim.RESISTANCE)[0].tree)


@pytest.mark.parametrize("text", ["∞", "inf", "infinity", "infinite", "grows without bound", "v(∞) = ∞", r"\infty"])
def test_no_finite_value(text):
    """Infinity is read, and has no waveform."""
    found = read(text)
    assert not isinstance(found, Refusal)
    with pytest.raises(NotFinite, match="no finite value"):
        evaluate(found[0].tree)


@pytest.mark.parametrize(
    ("text", "option"),
    [
        ("open", 0), ("open circuit", 0), ("open-circuit.", 0), ("like an open switch", 0), ("short", 1),
        ("a short, not an open circuit", 1),
    ],
)  # fmt: skip
def test_options_without_their_article(text, option):
    """The article of an option need not be written, nor all of its words; what is denied is not chosen."""
    options = ("an open circuit", "a short circuit")
    assert choose(text, options).choice.option == options[option]


def test_what_is_denied_is_not_chosen():
    """One option named and another denied leaves one; a denial alone leaves none."""
    options = ("current", "voltage")
    assert choose("current (not voltage)", options).choice.option == "current"
    with pytest.raises(CannotRead):
        choose("not voltage", options)


@pytest.mark.parametrize(
    ("text", "type_"),
    [
        ("unterdämpft", "underdamped"),
        ("underdampened", "underdamped"),
        ("sous-amorti", "underdamped"),
        ("régime critique", "critically damped"),
        ("系统是过阻尼的", "overdamped"),
        ("aperiodischer Grenzfall", "critically damped"),
        ("критический", "critically damped"),
    ],
)
def test_damping_in_other_words(text, type_):
    """German words and a usual slip."""
    assert choose(text, ()).choice.option == type_


UNITS = ("s", "H/Ω", "V", "A/s")


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("s, H/ohm", "s; H/Ω"),
        ("H/Ohms and s", "s; H/Ω"),
        ("both s, H/Ω", "s; H/Ω"),
        ("s, as L/R is a time constant", "s"),
    ],
)
def test_several_options_in_other_spelling(text, named):
    """A unit in words or signs is one option."""
    assert read(text, expects="choices", options=UNITS)[0].tree.option == named


@pytest.mark.parametrize("text", ["s, V/A", "s and H*A", "s (b too)"])
def test_what_stands_beside_options_is_not_passed_over(text):
    """A short piece that is no option may be meant for one."""
    assert isinstance(read(text, expects="choices", options=UNITS), Refusal)
