"""Words that change what an answer says are read, or a person looks; they are never passed over."""

import pytest

from grader.reading.elsewhere import elsewhere
from grader.reading.line.changing import is_changed
from grader.reading.reader import read
from grader.reading.refusals import Refusal
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import vocabulary
from grader.reading.tree import Name, walk
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import CURRENT, ENERGY, RESISTANCE, VOLTAGE


def first(text, dimension=VOLTAGE, **more):
    """The first reading of an answer."""
    readings = read(text, dimension=dimension, **more)
    assert not isinstance(readings, Refusal), readings.sentence
    return readings[0]


@pytest.mark.parametrize(
    "text",
    [
        "0; C1 is an open circuit",
        "0, after 5 tau nothing flows",
        "zero, by KVL on R1",
        "0, because C1 blocks",
        "none, C1 blocks",
    ],
)
def test_a_zero_that_is_explained_is_an_answer(text):
    """Nobody looks where no other value stands behind it."""
    assert (evaluate(first(text).tree).waveform.value(), first(text).changed) == (0, False)


@pytest.mark.parametrize(
    ("text", "ohms"),
    [
        ("twice 2 kΩ", 4000), ("double 2 kohm", 4000), ("triple 2 kΩ", 6000), ("half 8 kΩ", 4000), ("8 kΩ halved", 4000),
        ("2 kΩ, doubled", 4000), ("two times 2 kΩ", 4000), ("double of 2 kΩ", 4000),
    ],
)  # fmt: skip
def test_multiples_are_read(text, ohms):
    """What is certain is worked out."""
    reading = first(text, RESISTANCE)
    assert (evaluate(reading.tree).waveform.value(), reading.changed) == (ohms, False)


@pytest.mark.parametrize(
    "text",
    [
        "less than 5 V", "at most 5 V", "no more than 5 V", "5 V at most", "5 V or less", "max 5 V", "5 V (max)", "under 5 V",
        "5 V less than 20 V", "5 V squared", "opposite sign: 5 V", "5 V (plus at y)", "5 V, + at y", "5 V from y to x",
        "5 V, y to x", "5 V (crossed out)", "5 V scratch that", "5 V is wrong", "5 V (wrong, it is 0)", "4 to 5 V", "v = between 4 and 5 V", "höchstens 5 V",
        "5 V durchgestrichen", "the reversed source leaves 5 V", "5 V lost", "it fell by 5 V", "5 V too much",
        "later than 5 V", "between 5 V and 8 V", "5 V at the latest", "5 V, lower end negative", "5 V, the upper side is minus", "5 V? no", "5 V, no.",
        "5 V or higher", "5 V and up", "5 V is too low", "5 V? nope", "twice as much as 5 V", "zero; the 5 V are the source's", "none, 5 V stay on C1", "0; 5 V went away",
    ],
)  # fmt: skip
def test_a_person_looks(text):
    """What is not certain is left to a person."""
    assert first(text).changed


@pytest.mark.parametrize(
    "text",
    [
        "half of the source is 5 V", "5 V, which is less than 20 V", "it climbs up to 5 V", "the maximum is 5 V",
        "5 V, from left to right", "10 V is wrong because of R4; 5 V", "12 V (wrong) 5 V", "-5 V, opposite to the arrow",
        "5 V, not reversed", "5 V (not 3 V, had the wrong sign first)", "the coil pushes against: minus 5 V", "same as over R2: 5 V", "5 V from R2 to L1",
        "5 V, plus at x", "5 V from x to y", "the source is upside down, so 5 V", "5 V too",
    ],
)  # fmt: skip
def test_nobody_need_look(text):
    """Words that say how, or of something else, change nothing."""
    assert not first(text, names={"R2": RESISTANCE, "L1": None}, called=("v_C1", "v_xy")).changed


@pytest.mark.parametrize(
    "text",
    [
        "5 V but reversed",
        "5 V, opposite to the arrow",
        "5 V against the arrow",
        "5 V in the other direction",
        "5 V below zero",
        "5 V, upside down",
    ],
)
def test_the_other_direction_is_a_minus_sign(text):
    """A direction right behind a value turns it; as it stands it is a rival."""
    readings = read(text, dimension=VOLTAGE)
    assert [evaluate(one.tree).waveform.value() for one in readings] == [-5, 5]
    assert [one.rival for one in readings] == [False, True]


def test_a_double_root_is_none_of_these():
    """Where roots are asked, only what is taken back counts."""
    tree, question = first("5 V").tree, Question(vocabulary(()), "roots")
    assert not is_changed("5 (double)", tree, question, turned=False)
    assert is_changed("5 (crossed out)", tree, question, turned=False)


@pytest.mark.parametrize("text", ["some*5(1 - e^(-500t)) V", "5*some*(1 - e^(-500t)) V", "some*5 V"])
def test_a_factor_is_no_remark(text):
    """An unknown word that is multiplied is not ignored."""
    assert isinstance(read(text, expects="expression", dimension=VOLTAGE), Refusal)


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("vinf*(1 - e^(-500t))", {"vinf"}), ("vinf(1 - e^(-500t))", {"vinf"}), ("vinf - vinf e^(-500t)", {"vinf"}),
        ("-end*e^(-500t)", {"end"}), ("end (1 - e^(-500t))", {"end"}), ("2 end/(end + 1 V)", {"end"}), ("V_inf*(1 - e^(-500t))", {"vinf"}),
        ("5 V at the end", set()), ("end: 5 V", set()), ("5 V, the end", set()),
    ],
)  # fmt: skip
def test_words_as_names(text, names):
    """A name that prose may hold is one where mathematics stands beside it."""
    reading = first(text, expects="expression", names={"vinf": VOLTAGE, "end": CURRENT})
    assert {node.name for node in walk(reading.tree) if isinstance(node, Name)} == names


@pytest.mark.parametrize(
    ("text", "volts"),
    [
        ("-5 V from y to x", 5), ("-5 V (counted from y to x)", 5), ("-5 V, y → x", 5), ("-5 V with + at y", 5),
        ("-5 V, plus pole at the node y", 5), ("5 V plus at x", 5), ("5 V (x to y)", 5), ("-5 V, from node x to node y", -5),
        ("5 V from y to x", -5), ("-5 V, plus at ground", 5), ("5 V, + at gnd", -5),
    ],
)  # fmt: skip
def test_the_ends_between_which_it_counts_are_its_direction(text, volts):
    """The way asked changes nothing, its reverse the sign; the value as it stands decides nothing, but a person looks at it."""
    called = ("v_C1", "v_xy", "v_xground")
    found = read(text, dimension=VOLTAGE, called=called)
    assert not isinstance(found, Refusal)
    assert (evaluate(found[0].tree).waveform.value(), found[0].changed) == (volts, False)
    assert any(one.rival for one in found) == (volts != (-5 if text.startswith("-") else 5))
    curve = text.replace("5 V", "5e^(-2t) V")
    found = read(curve, dimension=VOLTAGE, called=called, expects="expression")
    assert not isinstance(found, Refusal)
    assert evaluate(found[0].tree).waveform.value(0) == volts


@pytest.mark.parametrize("text", ["-5 V from a to b", "-5 V with + at b", "5 V (a → x)", "-5 V, plus at z"])
def test_a_person_looks_at_another_direction(text):
    """Ends that are not the ones asked may be anything, with either sign."""
    assert first(text, called=("v_C1", "v_xy")).changed


@pytest.mark.parametrize(
    ("text", "roots", "changed"),
    [
        ("2 and 5, both negative", (-2, -5), False), ("2, 5 (both negative)", (-2, -5), False), ("2 and 5 but negative", (-2, -5), False),
        ("both negative: 2 and 5", (-2, -5), False), ("2 and 5 in the left half plane", (-2, -5), False),
        ("-2 and -5, both negative", (-2, -5), False), ("2 and 5", (2, 5), False), ("2 and 5, both real", (2, 5), False),
        ("-2 and -5, both positive", (-2, -5), True),
    ],
)  # fmt: skip
def test_a_sign_said_of_all_roots_is_theirs(text, roots, changed):
    found = read(text, expects="roots")[0]
    assert tuple(evaluate(root).waveform.value() for root in found.tree.roots) == roots
    assert found.changed == changed


@pytest.mark.parametrize(
    "text",
    ["3 V falling with tau = 1 s", "3 V, decaying exponentially", "starts at 3 V, dies out with time constant 1 s"],
)
def test_a_course_told_in_words_is_for_a_person(text):
    """It may be right, and as mathematics says nothing but a constant."""
    assert first(text, expects="expression").changed
    assert not first("3e^(-t) V, decaying exponentially", expects="expression").changed


@pytest.mark.parametrize(
    "text",
    [
        "30 V (crossed out) 5 V",
        "30 V [crossed out] 5 V",
        "30 V crossed out, 5 V",
        "30 V (struck out), 5 V",
        "30 V (deleted) 5 V",
    ],
)
def test_what_is_crossed_out_in_words_does_not_count(text):
    found = first(text)
    assert (evaluate(found.tree).waveform.value(), found.changed) == (5, False)


@pytest.mark.parametrize(
    ("text", "asked", "size"),
    [
        ("3 J in C1 and 4 J in L1", ENERGY, 7), ("3 J stored, 4 J lost", ENERGY, 7), ("3 J stored, 3 J lost", ENERGY, 6),
        ("3 V (without load) / 4 V (with load)", VOLTAGE, 4),
    ],
)  # fmt: skip
def test_what_several_values_may_mean_is_a_rival(text, asked, size):
    """Their sum, or the other alternative: where it is right, a person looks."""
    found = read(text, dimension=asked)
    assert not isinstance(found, Refusal)
    rivals = elsewhere(text, expects="value", dimension=asked, names={}, called=())
    assert size in [evaluate(one.tree).waveform.value() for one in rivals]
    assert evaluate(found[0].tree).waveform.value() != size
