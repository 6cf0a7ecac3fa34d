"""A line is read by its parts: claims, working, corrections, conclusions, and what is set aside."""

import pytest

from grader.reading.elsewhere import elsewhere
from grader.reading.line.phrases import opened
from grader.reading.line.records import Kind
from grader.reading.line.split import split
from grader.reading.reader import Reading, Refusal, read
from grader.reading.render.typeset import tree_text
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import vocabulary
from grader.reading.tree import Choice
from grader.reading.value.evaluate import evaluate
from grader.reading.words import DAMPING
from grader.values import dimension as dim

NAMES = {"R1": dim.RESISTANCE, "R2": dim.RESISTANCE, "C1": dim.CAPACITANCE, "Vs": dim.VOLTAGE, "tau": dim.TIME}
QUESTION = Question(vocabulary(tuple(NAMES.items())), "value", dim.VOLTAGE)


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("20 V", ()),
        ("20 V (C1 open)", ("claim", "working")),
        ("20 V because C1 is open", ("claim", "reason")),
        ("C1 is open so 20 V", ("claim", "conclusion")),
        ("8 V, no: 20 V", ("claim", "correction")),
        ("~~8 V~~ 20 V".replace("~~", "≈≈"), ("struck out", "correction")),
        ("20 V, not 8 V", ("claim", "denied")),
        ("12 V of the 20 V", ("claim", "context")),
        ("20 V # over C1", ("claim", "working")),
        ("2*10 # = 20 V", ("claim", "conclusion")),
        ("8 V (wrong) 20 V", ("claim", "correction")),
        ("0 V, then 20 V", ("claim", "claim")),
        ("0 V before, then 20 V", ("another time", "claim")),
        ("20 V => 5 x = 100 V", ("claim", "claim")),
        ("C1 = 2 uF => 5 C1 = 10 uF", ("claim", "conclusion")),
        ("20 V (R1||R2), so all is well", ("claim", "working", "conclusion")),
    ],
)
def test_parts(text, kinds):
    """Each part of a line is found."""
    assert tuple(part.kind.value for part in split(text, QUESTION).parts) == kinds


@pytest.mark.parametrize(
    ("text", "volts"),
    [
        ("20 V (C1 open)", 20), ("6.67 V (1/3 Vs)", 6.67), ("8 V, no: 20 V", 20), ("20 V, no: 8 V", 8), ("8 V -> 20 V", 20),
        ("i = -6.67 mA, v = 20 V", 20), ("v = 20 V and i = 2 mA", 20), ("R = 2k so v = 20 V", 20), ("i(0)=0, v(0)=4V", 4),
        ("4*5 = 20 V", 20), ("20 V = 4*5", 20), ("12 V of the 20 V", 12), ("20 in volts", 20), ("20 000 (in mV)", 20),
        ("20 V since a voltage cannot jump", 20), ("it doesn't jump: 20 V", 20), ("no voltage", 0), ("decays to zero", 0),
        ("20 V, not 8 V", 20), ("20 V; wait, 8 V", 8), ("3 mA, daher 20 V", 20), ("3 mA, donc 20 V", 20), ("3 mA, więc 20 V", 20),
        ("20 V, т.к. C1 заряжен", 20), ("20 V (no current flows)", 20), ("20 V > 0", 20), ("12 V (1 - 1/3)", 8),
        ("two thirds of 30 V = 20 V", 20), ("three quarters of 24 V", 18), ("twenty point five volts", 20.5), ("six and two thirds volts", 20 / 3),
        ("one hundred and twenty volts", 120), ("the two resistors share it: 20 V", 20), ("20 V (= 4*5)", 20), ("20 V (> 8 V)", 20),
        ("20 V. (R2 is disconnected)", 20), ("20 V to the right", 20), ("20 V, opposite to the source", 20), ("5 and a half volts", 5.5),
        ("R1||R2 = 3 ohm, i = 4 A, v = 20 V", 20), ("20 V = vx", 20), ("20 milli volt = 0.02 V", 0.02),
        ("20 V; 12 V of it from R1", 20), ("4 V (no wait, that's R1) 20 V", 20), ("20 V ≈", 20),
        ("the source has 9 V, with the divider this makes 20 V", 20), ("12 V/6 ohm = 2 A, 60/3 = 12 V, v = 12 V + 8 V = 20 V", 20),
        ("C1 charges up to 20 V", 20), ("8 V, no wait, R1 helps too: 20 V", 20), ("20 V (from 3 = e^-2t)", 20), ("8 V, total = 20 V", 20),
        ("2 V/R2, 30*20 = 600 ohm, v = 20 V", 20), ("20 mili volt = 0.02 V", 0.02),
        ("approx .2 V", 0.2), ("50 V * In 4", 69.3147181), ("20 (unit: V)", 20), ("unit: mV, 20", 0.02), ("12 V * 2 A = 24 W, v = 20 V", 20),
        ("v 20 V", 20), ("vC 20V", 20), ("i 2 A, v 20 V", 20), ("40//8 = 6, 4*5 = 20 V", 20), ("not 8 V, 20 V", 20), ("not 8 V anymore! 20 V", 20),
        ("e^-5t = 3/4 => 20 V", 20), ("20 V with opposite polarity", -20), ("polarity is reversed, -20 V", -20),
        ("1) i = 2 A 2) v = 20 V", 20), ("4*5 ... 20 V", 20), ("20 V @ t = 0", 20), ("KVL: 30 = 10 + v, v = 20 V", 20),
        ("2 A through 10 ohm = 20 V", 20), ("30 V = 10 V + v, v = 20 V", 20), ("zero, C1 cant jump", 0), ("0 - the voltage is continuous", 0),
        ("20 V but negative", -20), ("20 V (negative)", -20), ("0.2 thousand volts", 200), ("6 and a third volts", 19 / 3),
        ("1/50 of a kilovolt", 20), ("50% of 40 V, that's 20 V", 20), ("4*10 = 40 and the rest -20, all together 20 V", 20),
        ("i = 2 A since v = 20 V", 20), ("20'5 V", 20.5), ("20'V", 20), ("volts: 20", 20), ("20, volts", 20), ("ln(8) = 2.08, times 10 V", 20.8),
        ("it reaches 3 A at 20 V", 20), ("v(2 s) = 20 V", 20),
        ("80 % of 25 V = 20 V", 20), ("2 tau have passed so 80 % of 25 V = 20 V", 20), ("20 V % of the source", 20),
        ("before: 8 V, after: 20 V", 20), ("0 V before S1 opens, 20 V after", 20), ("right before 8 V and right after 20 V", 20),
        ("20 V after, 8 V in the end", 20), ("it jumps from 8 V to 20 V", 20), ("it turns from 8 V to 20 V", 20), ("t = 2 s: 20 V", 20),
        ("at 2 s 20 V", 20), ("20 .5 V", 20.5), ("20 V <- vx", 20), ("v = 1/C1 ∫i dt = 20 V", 20), ("it's 20 V, I think", 20), ("20 V, plus because C1 is above", 20),
        ("20 V > V0 = 8 V", 20), ("8 V from the source plus 12 V of C1 = 20 V", 20), ("node x lies at 8 V, with R1: 20 V", 20), ("What is v? 20 V", 20),
        ("R1 holds 8 V because of C1, 4*5 = 20 V", 20), ("20 V is there, and foo over bar", 20), ("40/2 = 20 + 0 = 20 V", 20),
        ("it goes from 8 V to 20 V at once", 20), ("twenty kilo-volts", 20000), ("the capacitor gets the 20 V of the source", 20),
        ("8 V below the end, namely 20 V", 20), ("from Vs 8 V, from C1 12 V, together 20 V", 20), ("20 V and the end is 8 V", 20), ("v equals to 20 V", 20),
        ("20 V against the arrow", -20), ("40 mA : 2 mS = 20 V", 20), ("20 V up to 3 s", 20), ("R1 acts as 3 ohm: 4*5 = 20 V", 20),
        ("20 V => 5 x = 100 V", 20), ("20 V so five x = 100 V", 20), ("20 V, so across all 5 x = 100 V", 20), ("2 v_a = 40 V, v = 20 V", 20), ("dv/dt = 0, v = 20 V", 20),
        ("40/2 = 20; share 0.5 so .02 kV", 20), ("share of 30 = 10; answer 20 V", 20), ("8 V, no thats for R2, 20 V with all", 20),
        ("it drops from 40 V to 20 V", 20), ("8 V, no, so 20 V", 20), ("20 V so after 5 s it is settled", 20),
        ("8 V no wait forgot the 2, 20 V", 20), ("8 V, not sure", 8), ("was 8 V, after S2 opens 20 V", 20), ("20 V // R1/(R1+R2)", 20),
        ("20 V > 8 positive", 20), ("four hundredths of a volt", 0.04), (r"\cancel{8 V} 20 V", 20), (r"\phantom{8 V} 20 V", 20), ("a thousandth of a volt", 0.001), ("twenty kilo volts", 20000), ("20 V with R2, 8 V without it", 20), ("8 V without R2 and 20 V with it", 20),
    ],
)  # fmt: skip
def test_the_part_that_counts(text, volts):
    """One rule each for which part is the answer."""
    first = first_of(text, "value", dim.VOLTAGE)
    assert evaluate(first.tree).waveform.value() == pytest.approx(volts)


@pytest.mark.parametrize(
    "text",
    [
        "it falls from 20 V to 8 V, slowly: v = 8 + 12e^(-5t) V", "v/R integrated: 8 + 12e^(-5t) V", "for t > 0 v = 8 + 12e^(-5t) V",
        "v(t>0) = 8 + 12e^(-5t) V", "volts: 8 + 12e^(-5t)", "8 + 12e^(-5t), volts", "steady 8 V plus transient 12e^(-5t) V",
        "v(t) = 20 V at t = 0, falling as 8 + 12e^(-5t) V", "8 + v(2 s)e^(-5t) V with v(2 s) = 12 V",
        "8 + 12e^(-5t) in volts, it falls a little", "from 20 V to 8 V so v = 8 + 12e^(-5t)", "with k = 5 Hz it falls: v = 8 + 12e^(-kt) V", "vR1 = 3e^(-5t) V, vx = 8 + 12e^(-5t) V".replace("vR1", "i"),
    ],
)  # fmt: skip
def test_what_leads_up_to_an_expression(text):
    """The expression alone is the answer."""
    found = read(text, expects="expression", dimension=dim.VOLTAGE, names=NAMES, called=("vx",))[0]
    assert evaluate(found.tree) == evaluate(first_of("8 + 12e^(-5t) V", "expression", dim.VOLTAGE).tree)


def test_an_instant_may_stand_in_the_brackets_of_a_value():
    """Where a time is asked, it is the answer."""
    assert evaluate(read("v(30 ms) = 20 V", dimension=dim.TIME, names=NAMES)[0].tree).waveform.value() == pytest.approx(
        0.03
    )
    assert evaluate(
        read("it reaches 20 V after 30 ms", dimension=dim.TIME, names=NAMES)[0].tree
    ).waveform.value() == pytest.approx(0.03)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("with t' = t - 2 s: v = 8e^(-5t') V", "8e^(−5·t') V, t' = t − 2 s"), ("8e^(-5T) V with T = t - 2 s", "8e^(−5·T) V, T = t − 2 s"),
        ("8e^(-(t - T)/tau) V, T = 2 s", "8e^(−(t − T)/τ) V, T = 2 s"), ("v∞ + 8e^(-5t) V, v∞ = 12 V", "v(∞) + 8e^(−5t) V, v(∞) = 12 V"),
        ("K + 8e^(-5t) V: K = 12 V", "K + 8e^(−5t) V, K = 12 V"),
        ("Vinf = 12 V, tau = .2 s so v = Vinf(1-e^(-t/tau))", "Vinf·(1 − e^(−t/τ)), Vinf = 12 V, τ = 0.2 s"),
        ("8e^(-αt)cos(ωt) V with α=60 ω=80", "8e^(−α·t)·cos(ω·t) V, α = 60, ω = 80"),
    ],
)  # fmt: skip
def test_names_that_an_answer_gives_itself(text, shown):
    """A letter with a value beside the expression is the student's own, whatever it is elsewhere."""
    assert first_of(text, "expression", dim.VOLTAGE).text == shown


@pytest.mark.parametrize(
    ("text", "amperes"),
    [("2 A out of the capacitor", -2), ("2 A leaving C1", -2), ("-2 A, out of C1", -2), ("2 A out of R1", 2)],
)
def test_a_current_out_of_a_capacitor_is_negative(text, amperes):
    """Into it counts as positive; where the other sign is right a person looks."""
    found = read(text, dimension=dim.CURRENT, names=NAMES)
    assert evaluate(found[0].tree).waveform.value() == amperes


@pytest.mark.parametrize(
    "text",
    [
        "before 8 V, after: {}",
        "0 V before, then {}",
        "at first 8 V and then {}",
        "8 V until t = 0, afterwards {}",
        "vorher 0 V; danach {}",
    ],
)
def test_what_comes_later_is_a_claim_of_its_own(text):
    """A constant that held before the switching does not stand for the expression behind it."""
    response = "20 - 12e^(-5t) V"
    found = evaluate(first_of(text.format(response), "expression", dim.VOLTAGE).tree).waveform
    assert found == evaluate(first_of(response, "expression", dim.VOLTAGE).tree).waveform


def first_of(text: str, expects: str, asked: dim.Dimension) -> Reading:
    found = read(text, expects=expects, dimension=asked, names=NAMES)
    assert not isinstance(found, Refusal), (text, found.sentence)
    return found[0]


def test_what_is_set_aside_is_told():
    """Nothing is dropped in silence; a direction may be meant always, a name or a number where the value has no unit."""
    first = first_of("20 V (C1 open), measured over R2", "value", dim.VOLTAGE)
    assert any("working" in note for note in first.notes)
    assert any("measured over R2" in note for note in first.notes)
    assert not first.dropped
    assert first_of("20 (C1 open), measured over R2", "value", dim.VOLTAGE).dropped
    assert first_of("20 V, measured downwards", "value", dim.VOLTAGE).dropped


def test_whatever_else_may_be_the_answer_is_found():
    """Values and names of the kind asked beside the one that was read; nothing that is worked with, denied or replaced."""
    assert elsewhere_in("0 V at first and then Vs") == ["0 V", "Vs"]
    assert elsewhere_in("30 V it would be but R2 loads it, so only 20") == ["30 V", "20"]
    assert elsewhere_in("7 V, not 20 V, the rest is on R1") == ["7 V"]
    assert elsewhere_in("7 V, sorry, 20 V as it should be") == ["20 V"]
    assert elsewhere_in("7 V or 20 V") == []


def elsewhere_in(text: str) -> list[str]:
    found = list(elsewhere(text, expects="value", dimension=dim.VOLTAGE, names=NAMES, called=()))
    assert all(one.rival for one in found)
    return [one.text for one in found]


@pytest.mark.parametrize(
    ("text", "expects", "asked", "shown"),
    [
        ("it takes 33 us till the voltage is zero", "value", dim.TIME, "33 μs"),
        ("the coil does not matter here, tau = 0.3 ms", "value", dim.TIME, "0.3 ms"),
        ("30 k in series with the source make 2 ms", "value", dim.TIME, "2 ms"),
        ("going from 1 A up to 2.5 A we have 2.5 - 1.5e^(-5t) A", "expression", dim.CURRENT, "2.5 − 1.5e^(−5t) A"),
        ("it ends at 2 A. With A = -2 I get i = 2 + A*e^(-5t) A", "expression", dim.CURRENT, "2 + A·e^(−5t) A, A = −2"),
        ("it jumps to minus 6 volts", "value", dim.VOLTAGE, "−6 V"),
        ("30 + 15e^(-5t) in volts for t>0", "expression", dim.VOLTAGE, "(30 + 15e^(−5t) for t > 0) V"),
        ("0.04 (4000*10e-6)", "value", dim.TIME, "0.04"), ("0.2*(0.1 + 0.1)", "value", dim.TIME, "0.2(0.1 + 0.1)"),
        ("30 + 15e^(-5t) en volts", "expression", dim.VOLTAGE, "30 + 15e^(−5t) V"),
        ("i(0) = 6 A, tau = 0.2 s: 6e^(-5t) A", "expression", dim.CURRENT, "6e^(−5t) A"),
        ("V0/(3R1), out of the capacitor", "value", dim.CURRENT, "−V0/(3·R1)"),
        ("the 3 A splits and the coil gets three quarters of it, 2.25 A", "value", dim.CURRENT, "2.25 A"),
    ],
)  # fmt: skip
def test_words_put_nobody_off(text, expects, asked, shown):
    """A line of words is read by what it says of the kind asked."""
    assert first_of(text, expects, asked).text == shown


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("5 v_k = 20 V", True), ("-v_k = 20 V", True), ("v_k/2 = 20 V", True), ("v_k = 20 V", False), ("v_k = 4*5 V", False),
        ("4*5 V = 20 V", False), ("v_k = 20 V, 5 v_k = 100 V", False), ("R1*v_k = 20 V", False),
    ],
)  # fmt: skip
def test_the_value_of_a_multiple_is_not_that_of_the_quantity(text, named):
    """``-v_k = 20 V`` states v_k only to a reader who works it out, so that nothing is decided by it."""
    assert ("multiple-named" in first_of(text, "value", dim.VOLTAGE).slips) is named


def test_an_equation_in_what_is_asked_is_no_answer_beside_one():
    text = "KVL: 9 = 3i + v, i = 2(1 - e^(-50t)), v = 9e^(-50t) V"
    assert read(text, expects="expression", dimension=dim.VOLTAGE, called=("v",))[0].text == "9e^(−50t) V"


@pytest.mark.parametrize(
    ("text", "called", "asked", "shown"),
    [
        ("tau1 = 5 ms, tau2 = 2 ms", "tau2", dim.TIME, "2 ms"),
        ("a=70, w0=250, z=0.28", "zeta", dim.NUMBER, "0.28"),
        ("R/2L=300 1/s, w0=500 1/s", "alpha", dim.RATE, "300 1/s"),
    ],
)
def test_among_several_the_label_tells(text, called, asked, shown):
    assert read(text, dimension=asked, called=(called,))[0].text == shown


@pytest.mark.parametrize(
    ("text", "volts", "certain"),
    [
        ("vR1 = 12 V, vR2 = 4 V, vC = 20 V", 20, True), ("tau = 2 s, vx = 20 V", 20, True), ("4 v_R1 = 20 V", 20, True),
        ("2 vC = 20 V", 20, False), ("4 v_k = 20 V", 20, False), ("12 V, vC1 = 20 V", 20, True), ("R2: 4 V, C1: 20 V", 20, True),
        ("4 V across R2, 20 V across C1", 20, True),
    ],
)  # fmt: skip
def test_what_the_quantity_asked_is_called(text, volts, certain):
    """Its own name decides among several; the multiple of another quantity is no doubtful value of this one."""
    found = read(text, dimension=dim.VOLTAGE, names=NAMES, called=("v_C1", "vC1", "v_C", "vC", "v"))
    assert evaluate(found[0].tree).waveform.value() == volts
    assert ("multiple-named" not in found[0].slips) is certain


@pytest.mark.parametrize(
    ("text", "since"),
    [
        ("if I start a new clock at the opening of S2, v is 2e^(-5t) V", "the opening of S2"), ("restarting t at 2 s: 2e^(-5t) V", "2 s"),
        ("v starts at t = 0 with 2e^(-5t) V", ""), ("2e^(-5t) V starting at 2 V", ""),
        ("2e^(-5t) V, t counted from the opening of S2", "the opening of S2"), ("2e^(-5t) V (new t=0 when S2 opens)", "S2 opens"),
        ("2e^(-5t) V, t from the second switching", "the second switching"),
        ("counting t from the first action i get 2e^(-5t) V", "the first action"), ("with t counted from 2 s: 2e^(-5t) V", "2 s"), ("2e^(-5t) V (t after S2 opens)", "S2 opens"),
        ("2e^(-5t) V, t from 0 to 4 ms", ""),
        ("2e^(-5t) V (t measured from 30 ms)", "30 ms"), ("2e^(-5t) V where t is the time since S2 opened", "S2 opened"),
        ("2e^(-5t) V counting t from 30 ms", "30 ms"), ("2e^(-5t) V for t > 0", ""), ("2e^(-5t) V, 2 V at t = 0", ""),
    ],
)  # fmt: skip
def test_from_where_time_counts(text, since):
    """An answer may say it, in its own words."""
    assert first_of(text, "expression", dim.VOLTAGE).origin == since


def test_a_letter_for_the_time_since_the_switching():
    """It is the t' of others."""
    assert first_of("2e^(-5x) V, x: time since S2 opens", "expression", dim.VOLTAGE).text == "2e^(−5·x) V, x = t'"


@pytest.mark.parametrize(
    ("text", "rival"), [("8 V, v = 20 V", 20), ("20 V before, 8 V after", 20), ("8 V because 4*5 V = 20 V", 20)]
)
def test_what_may_be_meant_as_well_is_a_rival(text, rival):
    """It decides nothing; where it alone is right a person looks."""
    found = read(text, dimension=dim.VOLTAGE, names=NAMES)
    assert evaluate(found[0].tree).waveform.value() == 8
    rivals = [one for one in found if one.rival]
    rivals += elsewhere(text, expects="value", dimension=dim.VOLTAGE, names=NAMES, called=())
    assert {evaluate(one.tree).waveform.value() for one in rivals} - {8} == {rival}


@pytest.mark.parametrize(
    "text", ["decreasing at 240 A/s", "240 A/s (falling)", "-240 A/s, decreasing", "fällt mit 240 A/s"]
)
def test_a_slope_that_is_said_to_fall_is_negative(text):
    """The word is the minus sign, where none is written."""
    found = read(text, dimension=dim.CURRENT.over(dim.TIME))
    assert evaluate(found[0].tree).waveform.value() == -240
    assert all(reading.rival for reading in found[1:])


@pytest.mark.parametrize(
    "text", ["3 ms, so done after 15 ms", "3 ms, so settled in 15 ms", "3 ms; thus five x = 15 ms"]
)
def test_what_follows_from_a_time_constant_is_no_conclusion(text):
    """The time until all is over is another one, and a rival."""
    found = read(text, dimension=dim.TIME)
    assert evaluate(found[0].tree).waveform.value() == 0.003
    assert all(reading.rival for reading in found[1:])


@pytest.mark.parametrize("text", ["500 rad/s = 79.6 Hz", "79.6 Hz = 500 rad/s", "500 1/s (79.6 Hz)"])
def test_turns_beside_the_rate_asked_decide_nothing(text):
    """Hertz count whole turns; where the rate stands beside, that is the answer, and no contradiction."""
    first = first_of(text, "value", dim.RATE)
    assert evaluate(first.tree).waveform.value() == 500
    assert not first.slips


def test_values_with_names_of_their_own_are_rivals():
    """``v_a = 12 V, v_b = 8 V``: which of them is asked, the reader cannot know."""
    found = read("v_a = 12 V, v_b = 8 V", dimension=dim.VOLTAGE)
    assert [reading.rival for reading in found] == [False, True]
    assert not any(reading.rival for reading in read("12 V or 8 V", dimension=dim.VOLTAGE))


@pytest.mark.parametrize("text", ["48 - 12*i with i = 2e^(-40t) A", "48 - 12 ix, ix = 2e^(-40t) A"])
def test_bare_numbers_beside_a_value_with_its_unit_are_in_si_units(text):
    """The unit of the value used is not that of the whole."""
    found = evaluate(first_of(text, "expression", dim.VOLTAGE).tree)
    assert found.dimension == dim.VOLTAGE
    assert found.waveform.value() == pytest.approx(24)


@pytest.mark.parametrize(
    "text", ["3*np.exp(-200*t)  # A", "lambda t: 3*math.exp(-200*t)  # amps", "3*exp(-200*t) // A"]
)
def test_a_comment_may_be_the_unit(text):
    """As programmers write it."""
    assert first_of(text, "expression", dim.CURRENT).unit == "A"


def test_a_rival_is_kept_and_decides_nothing():
    """Two values of the kind asked: the conclusion counts, and the claim before it is kept beside."""
    assert first_of("20 V so 8 V", "value", dim.VOLTAGE).text == "8 V"
    assert elsewhere_in("20 V so 8 V") == ["20 V", "8 V"]


def test_corrections_of_choices():
    """What comes after a correction is chosen."""
    for text in ("underdamped, no: overdamped", "overdamped; critical would need R = 50"):
        tree = read(text, expects="choice")[0].tree
        assert isinstance(tree, Choice)
        assert tree.option == "overdamped"


def test_every_phrase_opens_a_known_part():
    """The table holds no kind that nothing looks for."""
    known = {kind.value for kind in Kind} | {
        "direction",
        "no answer",
        "same",
        "zero",
        "lead",
        "falling",
        "settling",
        *DAMPING,
    }
    everything = opened(*known)
    assert set(everything.values()) <= known
    assert len(everything) > 250


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("1 - e^(-5t) times 20 V", ["1 − e^(−5t)·20 V", "(1 − e^(−5t))·20 V"]),
        ("v = 20 multiplied by 1 - e^(-5t) volts", ["20·1 − e^(−5t) V", "20(1 − e^(−5t)) V"]),
        ("20 V times (1 - e^(-5t))", ["20 V·(1 − e^(−5t))"]),
        ("20 - 20 times e^(-5t) V", ["20 − 20e^(−5t) V", "(20 − 20)·e^(−5t) V"]),
        ("12 V + 8 V divided by 1 + e^(-5t)", ["12 V + 8 V/1 + e^(−5t) V", "(12 V + 8 V)/(1 + e^(−5t))"]),
    ],
)
def test_a_word_for_times_or_over_may_hold_for_all_beside_it(text, shown):
    """Both readings are kept, as the signs have it first."""
    found = [
        one
        for one in read(text, expects="expression", dimension=dim.VOLTAGE)
        if "time-unit-not-stated" not in one.slips
    ]
    assert [one.text for one in found] == shown


@pytest.mark.parametrize(
    "said",
    ["v != 6 V", r"v \neq 6 V", "kein 6 V", "pas 6 V", "не 6 V", "不是 6 V", "everything but 6 V", r"\sout{6 V}"],
)
def test_what_is_denied_is_no_answer(said):
    assert isinstance(read(said, dimension=dim.VOLTAGE), Refusal)


@pytest.mark.parametrize("said", ['=HYPERLINK("http://x.invalid/","6 A")', '=IMPORTXML("http://x.invalid","//a") 6 A'])
def test_a_command_of_a_spreadsheet_is_no_prose(said):
    assert isinstance(read(said, dimension=dim.CURRENT), Refusal)


@pytest.mark.parametrize("said", ["5 A dolayısıyla 3 A", "5 A DOLAYİSİYLA 3 A", "5 A, yanlış, 3 A"])
def test_a_phrase_in_letters_that_a_search_without_case_takes_for_others(said):
    readings = read(said, dimension=dim.CURRENT)
    assert not isinstance(readings, Refusal)
    assert readings[0].text == "3 A"


@pytest.mark.parametrize(
    ("text", "same"),
    [("2\nV", "2 V"), ("v =\n2 * 3\n mV\n(C1 open)", "v = 2 * 3 mV (C1 open)"), ("(1 + 1)\nV", "(1 + 1) V")],
)
def test_a_unit_on_a_line_of_its_own_is_that_of_the_line_above(text, same):
    """A cell that is broken before its unit holds one value."""
    broken, whole = (read(one, dimension=dim.VOLTAGE, names=NAMES)[0] for one in (text, same))
    assert tree_text(broken.tree) == tree_text(whole.tree)


def test_a_line_that_is_no_unit_is_none_of_the_line_above():
    """``2`` with a word below it is not two of that word."""
    (found, *_) = read("2 V\nVa", dimension=dim.VOLTAGE, names=NAMES)
    assert tree_text(found.tree) == "2 V"
