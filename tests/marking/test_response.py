"""A response over several intervals, marked interval by interval; points worked out by hand before any program saw them.

By hand, `drive`: i = 6 - 6 e^(-50t) A up to 20 ms, there 6 (1 - 1/e) = 3.7927 A, then 1.5 + 2.2927 e^(-200(t - 20 ms)) A; v_L1 =
24 e^(-50t) V, then -80 ms * 200/s * 2.2927 A = -36.68 e^(-200(t - 20 ms)) V.  Eight points: four for each interval, one each
for its initial value, final value, time constant and form.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.reading.line.pieces import in_ranges
from grader.reading.line.where import Clock
from grader.reading.tokens import question_of
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written
from grader.values.dimension import CURRENT, VOLTAGE

DRIVE = """
title = "Drive (invented)"
[[problem]]
id = "p"
text = "At t = 0 S1 connects the coil to 24 V; at t = 20 ms S2 opens and leaves R2 in the loop."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R2", kind = "resistor", between = ["b", "c"], value = "12 ohm"},
  {name = "S2", kind = "switch", between = ["b", "c"], opens = "20 ms"},
  {name = "R1", kind = "resistor", between = ["c", "d"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["d", "g"], value = "80 mH"},
]
item = [
  {id = "tau", find = "time constant", points = 1},
  {id = "i", find = "response", current = "L1", points = 8, known_wrong = [{answer = "0<t<20 ms: 2 A; t>20 ms: 1 A", share = 0.25, comment = "Foreseen."}]},
  {id = "v", find = "response", voltage = "L1", points = 8},
  {id = "i25", find = "value at", current = "L1", at = "25 ms", points = 1},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(DRIVE.encode(), "drive.toml"))


def marked(key, **answers):
    written = tuple(Written(problem="p", item=item, text=text) for item, text in answers.items())
    upload = Upload(file="u.txt", digest="", student="S1", answers=written)
    return {mark.item: mark for mark in mark_upload(key, upload).marks}


RIGHT = [
    "0<t<20 ms: 6-6e^(-50t) A; t>20 ms: 1.5+2.293e^(-200(t-20ms)) A",
    "t>20 ms: 1.5+2.293e^(-200(t-20ms)) A; 0<t<20 ms: 6-6e^(-50t) A",
    "t<0: 0 A\n0<t<20 ms: i = 6-6e^(-50t) A\nt>20 ms: i = 1.5+2.293e^(-200(t-0.02)) A",
    "(6-6e^(-50t))(u(t)-u(t-0.02)) + (1.5+2.293e^(-200(t-0.02)))u(t-0.02) A",
    "6(1-e^(-50t))u(t) + [-4.5 + 2.2927e^(-200(t-0.02)) + 6e^(-50t)]u(t-0.02) A",
    r"i(t)=\begin{cases} 6(1-e^{-50t})\,\text{A}, & 0<t<20\,\text{ms} \\ 1.5+2.293e^{-200(t-0.02)}\,\text{A}, & t>20\,\text{ms} \end{cases}",
    "6-6e^(-50t) A for t < 20.1 ms; 1.5+2.293e^(-200t') A for t > 20.1 ms",
]

FIRST, SECOND = "6-6e^(-50t) A", "1.5+2.293e^(-200(t-20ms)) A"
IN_WORDS = [
    "first {}, then {}",
    "{} for t < 20 ms, then {}",
    "{} for t<0.02 s, {} afterwards",
    "rise: {}; fall: {}",
    "{} [0, 0.02]; {} [0.02, ∞)",
    "{} until S2 opens, {} after it",
    "{} up to 20 ms; after that {}",
    "while S2 is closed: {}; when it has opened: {}",
    "1) {} 2) {}",
    "b) {1} a) {0}",
    "0 before 0, {} until 20 ms, {} later",
    "For the first 20 ms {}. After that, {}.",
    "zuerst {}, danach {}",
    "S2 open: {1}\nS2 closed: {0}",
    "after S2 opens {1}, until S2 opens {0}",
    "last: {1}; first: {0}",
    "second interval {1}, first interval {0}",
    "interval II: {1}; interval I: {0}",
    "i(t>20ms) = {1}, i(t<20ms) = {0}",
    "phase 2: {1}; phase 1: {0}",
    "np.piecewise(t, [t<0.02, t>=0.02], [{}, {}])",
    "t < 0.02 ? {} : {}",
    "{}\n{}",
]
"""Two pieces told one after the other; what holds when is said in words, or by their order."""

BY_INTERVAL = [
    # (answer, points for each interval)
    ("0<t<20 ms: 6-6e^(-50t); t>20 ms: 1.5+2.293e^(-200(t-20ms))", (3, 3)),  # the unit costs a quarter
    # The final value of the first is 5 A; the second goes on from 5 (1 - 1/e) = 3.1606 A.
    ("0<t<20 ms: 5-5e^(-50t) A; t>20 ms: 1.5+1.6606e^(-200(t-20ms)) A", (3, 4)),
    # The second begins at 6 A, as if the first had come to its end.
    ("0<t<20 ms: 6-6e^(-50t) A; t>20 ms: 1.5+4.5e^(-200(t-20ms)) A", (4, 3)),
    # The shift of time is forgotten: at 20 ms it gives 1.5 + 2.293 e^-4 = 1.542 A.
    ("0<t<20 ms: 6-6e^(-50t) A; t>20 ms: 1.5+2.293e^(-200t) A", (4, 3)),
    ("0<t<20 ms: 6-6e^(-50t) A", (4, 0)),
    ("t<20 ms: 6-6e^(-50t) A, t>20 ms: no idea", (4, 0)),
    ("t<20 ms: ? t>20 ms: 1.5+2.293e^(-200(t-20ms)) A", (0, 4)),
    ("6-6e^(-50t) A, then 0 A", (4, 0)),  # no end of the second, which is 1.5 A
    ("t>20 ms: 1.5+2.293e^(-200(t-20ms)) A", (0, 4)),
    ("0<t<20 ms: -6+6e^(-50t) A; t>20 ms: 1.5+2.293e^(-200(t-20ms)) A", (2, 4)),  # one sign: half
    ("0<t<20 ms: -6+6e^(-50t) A; t>20 ms: -1.5-2.293e^(-200(t-20ms)) A", (2, 2)),  # all of it turned: half of it
    ("0<t<20 ms: 600-600e^(-50t) mA; t>20 ms: 1.5+2.293e^(-200(t-20ms)) A", (2, 4)),  # a power of ten: half
    ("11 A", (0, 0)),
    ("6-6e^(-50t) A", (4, 0)),  # nothing is said of what comes later
]


@pytest.mark.parametrize("answer", RIGHT)
def test_however_it_is_written(key, answer):
    mark = marked(key, i=answer)["i"]
    assert (mark.awarded, mark.verdict, mark.review) == (8, "correct", False), mark.reasons
    assert [part.name for part in mark.parts] == ["0 < t < 20 ms", "t > 20 ms"]


@pytest.mark.parametrize(
    "answer",
    [
        "t<0: 3 A; 0<t<20 ms: {0}; t>20 ms: {1}",
        "0<t<20 ms: {0}; t>20 ms: {1}; t>60 ms: 5 A",
        "i2 = {0}, i1 = {1}",
    ],
)
def test_what_else_is_said_of_when_is_looked_at(key, answer):
    assert marked(key, i=answer.format(FIRST, SECOND))["i"].review


@pytest.mark.parametrize("words", IN_WORDS)
def test_what_holds_when_is_said_in_words(key, words):
    """Each piece counts on its own interval; exchanged, neither does."""
    assert marked(key, i=words.format(FIRST, SECOND))["i"].awarded == 8
    assert marked(key, i=words.format(FIRST, "1.5+4.5e^(-200(t-20ms)) A"))["i"].awarded == 7  # begins at 6 A
    assert marked(key, i=words.format(SECOND, FIRST))["i"].awarded < 6


@pytest.mark.parametrize(
    "answer",
    [
        f"{SECOND} after 20 ms, before that {FIRST}",
        f"{FIRST}, then 1.5+2.293e^(-200t') A with t' = t - 20 ms",
        f"with t' = t - 20 ms: i = 1.5+2.293e^(-200t') A for t > 20 ms, and before that i = {FIRST}",
        f"24/4 = 6; tau = 0.08/4 = 20 ms => {FIRST} for 0<t<20 ms, then {SECOND}",
        f"i rises as {FIRST} until 20 ms, then falls as {SECOND}",
        f"t<20 ms {FIRST}\nt>20 ms 1.5+2.293e^(-50(t-20ms)) A wait, should be {SECOND}",
        f"{FIRST} (0 bis 20 ms); {SECOND} (ab 20 ms)",
        "t<.02: 6-6e^(-50t) A\nt>.02: 1.5+2.293e^(-200(t-.02)) A",
        "first 6-6exp(-t/20ms) amps and after the switch has opened 1.5+2.293exp(-(t-20ms)/5ms) amps",
        f"{FIRST} up to the opening of S2, there 3.79 A, then {SECOND}",
        f"para 0<t<20 ms: {FIRST}; para t>20 ms: {SECOND}",
        r"\begin{cases} 6-6e^{-50t} & 0<t<0.02 \\ 1.5+2.293e^{-200(t-0.02)} & t>0.02 \end{cases} A",
        "np.where(t<0.02, 6-6*np.exp(-50*t), 1.5+2.293*np.exp(-200*(t-0.02))) A",
        "i = (t<0.02).*(6-6*exp(-50*t)) + (t>=0.02).*(1.5+2.293*exp(-200*(t-0.02))) A",
        "de 0 a 0,02 s: 6-6e^(-50t) A; después de 0,02 s: 1,5+2,293e^(-200(t-0,02)) A",
        "piecewise({6-6*exp(-50*t), 0<t<0.02}, {1.5+2.293*exp(-200*(t-0.02)), t>0.02}) in amps",
        "=IF(B3<0.02, 6-6*EXP(-50*B3), 1.5+2.293*EXP(-200*(B3-0.02))) A",
        f"0..20 ms: {FIRST} // 20 ms...: {SECOND}",
        f"| t | i |\n|---|---|\n| 0 to 20 ms | {FIRST} |\n| from 20 ms | {SECOND} |",
        f"{FIRST} (t in s, up to 0.02), {SECOND} (later)",
        f"once S2 opens: {SECOND}, until then {FIRST}",
        f"until 20 ms: {FIRST}. After that: 1.5+2.293e^-200t A with t counted from the opening of S2",
        f"{FIRST}, 0<t<20 ms\nthen the clock starts again: 1.5+2.293e^(-200t) A",
        f"it rises from 0 as {FIRST}, reaches 3.79 A at 20 ms, then it decays as {SECOND}",
        "t in ms: 6-6e^(-0.05t) A up to t=20, 1.5+2.293e^(-0.2(t-20)) A beyond",
        f"i = I0(1-e^(-50t)) with I0 = 6 A up to 20 ms, then {SECOND}",
        "6-6e^(-50t) A until 20 ms, then 1.5+2.293e^(-200x) A with x = t - 20 ms",
        f"{FIRST} [S2 closed]; {SECOND} [S2 open]",
        f"{FIRST}\nno current in R2 as yet\nt>20 ms: {SECOND}",
        f"1) {FIRST} (tau = 20 ms)\n2) {SECOND} (tau = 5 ms)",
        f"first {FIRST}, after S2 {SECOND}",
        f"t under 20 ms: {FIRST} / t over 20 ms: {SECOND}",
        f"phase A: {FIRST}; phase B: {SECOND}",
        f"{FIRST} for 0<t<20 ms; {SECOND} otherwise",
        f"{SECOND} (t larger than 20 ms), {FIRST} (t less than 20 ms)",
        f"0 <= t < 20ms -> {FIRST} ; t >= 20ms -> {SECOND}",
        f"(0,20ms) {FIRST} (20ms,inf) {SECOND}",
        f"A: {FIRST}  B: {SECOND}",
        f"i) {FIRST} ii) {SECOND}",
        f"{FIRST} | {SECOND} (i never gets to 1.5 A at once)",
        f"{FIRST} (0-20000us) / {SECOND} (>20000us)",
        "(6-6*EXP(-50*t))*(t<0.02) + (1.5+2.293*EXP(-200*(t-0.02)))*(t>=0.02) A",
        "0<t<20ms时 6-6e^(-50t) A；t>20ms时 1.5+2.293e^(-200(t-20ms)) A",
        f"{FIRST} ... {SECOND}",
        "6-6e^(-t/tau1) A, 1.5+2.293e^(-(t-20ms)/tau2) A; tau1 = 20 ms, tau2 = 5 ms",
        f"3e^(-50t) A no, it starts at 0: {FIRST}; then {SECOND}",
        f"{FIRST} for 0<t<2·10^-2 s; {SECOND} for t>2·10^-2 s",
        "six minus six e to the minus 50 t amps, then 1.5 plus 2.293 e to the minus 200 (t-20ms) amps",
        f"sorry first one was wrong: {FIRST}, then {SECOND}",
        f"{FIRST}; t = 20 ms: 3.79 A; {SECOND}",
        f"{FIRST}, switching at t = 20 ms, {SECOND}",
        f"e = 2.718, {FIRST}; {SECOND}",
        f"A(1-e^(-50t)) A with A = 6 until 20 ms, then {SECOND}",
        "6-6e^(-50t) A; 1.5 + 2.293 e^(-k(t-20ms)) A; k = 200 1/s",
        f"In the first 20 milliseconds it is {FIRST}, afterwards it is {SECOND}",
        f"1. Intervall: {FIRST}; 2. Intervall: {SECOND}",
        f"{FIRST} (t ∈ [0, 20 ms)) ∪ {SECOND} (t ∈ [20 ms, ∞))",
        f"{FIRST} (t<20ms). With τ = t-20 ms: 1.5+2.293e^(-200τ) A (t>20ms)",
        f"{FIRST}; (wrong: 3+2e^...) {SECOND}",
        f"{FIRST} ; with t'=t-20ms 1.5+2.293e^(-200t') A",
        f"iL: {FIRST} [before 20 ms] / {SECOND} [after]",
        "6A(1-e^-t/20ms) for 0..20ms, 1.5A + 2.293A e^-(t-20ms)/5ms for t>20ms",
        f"pour t ∈ [0 ; 0,02] s, i(t) = {FIRST}, pour t ∈ [0,02 ; +∞[, i(t) = {SECOND}",
        f"pendant l'impulsion {FIRST}, ensuite {SECOND}",
        "6-6e^(-t/τ) A for t < 20 ms; 1.5+2.293e^(-200(t-20ms)) A for t > 20 ms, where τ = L/R = 0.02 s",
        f"I0 = 6(1-e^-1) = 3.793 A\n0<t<20 ms: {FIRST}\nt>20 ms: 1.5 + (I0-1.5)e^(-200(t-20ms)) A",
        "First: i = 6 - 6e^(-50t) A. At 20 ms i = 3.793 A. Then i = 1.5 + (3.793 - 1.5)e^(-200(t - 20 ms)) A.",
        "0..20: 6-6e^(-t/20) A; 20...: 1.5+2.293e^(-(t-20)/5) A, everything in ms",
    ],
)
def test_ranges_in_other_words(key, answer):
    assert marked(key, i=answer)["i"].awarded == 8


@pytest.mark.parametrize(
    "answer", [f"{FIRST}, or 6(1-e^(-50t)) A", f"{FIRST}, tau = 20 ms", f"{FIRST}; wrong, {SECOND}"]
)
def test_what_is_no_second_piece(key, answer):
    assert marked(key, i=answer)["i"].awarded < 8


PARTS = [
    *"0123456789et^(){}[]-+*/=.,;:|<> \n\ue000",
    "A",
    "6-6e^(-50t)",
    " until ",
    " then ",
    "20 ms",
    "where(",
    "t' = t - 1",
]


@given(st.lists(st.sampled_from(PARTS), max_size=40).map("".join))
def test_pieces_of_anything_are_read_or_not(text):
    """No text stops the search for pieces; what it finds are several, each with its range."""
    told = in_ranges(text, Clock((0.0, 0.02)), question_of("expression", CURRENT, (), ()))
    assert told is None or " for " in told[0]


def test_a_constant_piece_is_told_from_values_on_the_way():
    # 24 e^(-50t) V, and from 20 ms on, by mistake, what it has come to by then: 24/e = 8.829 V.
    found = [
        in_ranges(answer, Clock((0.0, 0.02)), question_of("expression", VOLTAGE, (), ()))
        for answer in (
            "from 24 V down 24e^(-50t) V, then after 20 ms it does not change any more: 8.829 V",
            "24e^(-50t) V for 20 ms and holds 8.829 V from then on",
            "8.829 V after S2 opens, 24e^(-50t) V before",
        )
    ]
    assert [told[0].partition("; ")[2].partition(" for ")[0] for told in found] == ["8.829 V"] * 3
    assert all(told[0].startswith("24e^(-50t) V for t < ") for told in found)
    assert [told[1] for told in found] == [["24 V"], [], []]


STATED_BETWEEN = [
    f"I0 = 6 A; I0 (1 - e^(-50t)) A until 20 ms; {SECOND} after",
    f"I0 = 6 A; I0 - I0 e^(-50t) A until 20 ms; {SECOND} after",
    f"A = 6 A: A - A e^(-50t) A until 20 ms; {SECOND} after",
    "s = 6; s - s e^(-50t) A until 20 ms; 1.5+2.293e^(-200(t-0.02 s)) A after",
    "tau = 20 ms: 6-6e^(-t/tau) A until 20 ms; tau = 5 ms: 1.5+2.293e^(-(t-0.02)/tau) A after",
    "until 20 ms 6-6e^(-t/τ) A, τ = 20 ms; after it 1.5+2.293e^(-(t-0.02)/τ) A, τ = 5 ms",
    "np.where(t<0.02, 6-6*np.exp(-50*t), 1.5+2.293*np.exp(-200*(t-0.02)))  # A",
    "nos primeiros 20 ms 6-6e^(-50t) A, após 20 ms 1.5+2.293e^(-200(t-0.02)) A",
    f"{FIRST}; t = 0.02 s; {SECOND}",
    f"{FIRST} until 20 ms; {SECOND} after 20 ms. At t = 100 ms i = 1.5 A",
    f"t<0 sec: 0 A; until 20 ms {FIRST}; then {SECOND}",
    f"t<0.0: 0 A; 0<t<20ms: {FIRST}; t>20ms: {SECOND}",
    f"t < 0 μs: 0 A; 0<t<20ms: {FIRST}; t>20ms: {SECOND}",
]
"""Values for names, instants and what was before, beside two right pieces: none of them changes a piece."""


@pytest.mark.parametrize("answer", STATED_BETWEEN)
def test_what_is_stated_beside_the_pieces_changes_none(key, answer):
    assert marked(key, i=answer)["i"].awarded == 8


def test_a_name_that_is_stated_anew_has_each_value_in_its_place(key):
    exchanged = "tau = 5 ms: 6-6e^(-t/tau) A until 20 ms; tau = 20 ms: 1.5+2.293e^(-(t-0.02)/tau) A after"
    assert marked(key, i=exchanged)["i"].awarded < 8


@pytest.mark.parametrize("end", ["1e400 s", "1*10^400 s", "1e99999 s", "1e-99999 s"])
def test_an_end_beyond_all_bounds_is_no_interval_asked(key, end):
    mark = marked(key, i=f"0<t<{end}: {FIRST}; t>20 ms: {SECOND}")["i"]
    assert mark.review or mark.awarded < 8


@pytest.mark.parametrize(("answer", "points"), [("0 V for t < 20 ms; 0 V for t > 20 ms", 0), ("3 V; 0 V", 1)])
def test_zero_is_an_end_beside_what_is_not_zero(key, answer, points):
    assert marked(key, v=answer)["v"].awarded == points


@pytest.mark.parametrize(
    ("answer", "points"),
    [
        (
            "6-6e^(-50t) until 20 ms; 1500+2293e^(-200(t-20ms)) mA after",
            7,
        ),  # unit missing in one piece: 1/4 of its four
        ("6000-6000e^(-50t) mA until 20 ms; 1.5+2.293e^(-200(t-20ms)) after", 7),
        ("6000-6000e^(-50t) until 20 ms; 1500+2293e^(-200(t-20ms)) mA after", 8),  # said of both
        ("6-6e^(-50t) until 20 ms; 1.5+2.293e^(-200(t-20ms)) A after", 8),
        ("6-6e^(-50t) until 20 ms; 1500+2293e^(-200(t-20ms)) after, all in mA", 6),  # a power of ten, 1/2 of four
    ],
)
def test_a_unit_of_one_piece_is_that_of_the_others_where_it_fits(key, answer, points):
    assert marked(key, i=answer)["i"].awarded == points


def test_a_time_constant_wrong_in_every_interval_is_charged_in_each():
    # R = 2 ohm, L = 40 mH: 20 ms in both intervals; 10 ms in both is one part of four of each, start and end being right.
    # 8 (1 - e^-2) = 6.9173 V at 20 ms by the slip, which the second interval starts from.
    text = (
        DRIVE.split("element", maxsplit=1)[0]
        + """
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "8 u(t) - 12 u(t - 20 ms) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "2 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "g"], value = "40 mH"},
]
item = [
  {id = "tau", find = "time constant", points = 1},
  {id = "i", find = "response", current = "L1", points = 8},
]
"""
    )
    key = build_key(read_rubric(text.encode(), "twice.toml"))
    slipped = "4-4e^(-100t) A for t<20 ms; -2+5.4587e^(-100(t-20ms)) A for t>20 ms"
    assert [part.awarded for part in marked(key, i=slipped)["i"].parts] == [3, 3]
    assert marked(key, tau="10 ms", i=slipped)["i"].awarded == 8  # stated as an answer, charged there


@pytest.mark.parametrize(("answer", "points"), BY_INTERVAL)
def test_interval_by_interval(key, answer, points):
    mark = marked(key, i=answer)["i"]
    assert tuple(part.awarded for part in mark.parts) == pytest.approx(points), mark.reasons
    assert mark.awarded == pytest.approx(sum(points))


def test_known_wrong(key):
    mark = marked(key, i="2 A for 0<t<20 ms; 1 A for t>20 ms")["i"]
    assert (mark.awarded, mark.reasons) == (2, ("Foreseen.",))


def test_accepted_as_well():
    accept = 'points = 8, accept = ["0<t<20 ms: 7-7e^(-50t) A; t>20 ms: 1 A"], known_wrong'
    other = build_key(read_rubric(DRIVE.replace("points = 8, known_wrong", accept).encode(), "drive.toml"))
    for answer in (RIGHT[0], "0<t<20 ms: 7-7e^(-50t) A; t>20 ms: 1 A"):
        assert marked(other, i=answer)["i"].verdict == "correct"


@pytest.mark.parametrize(
    ("answer", "mistake"),
    [(BY_INTERVAL[2][0], "first-interval-treated-as-settled"), (BY_INTERVAL[3][0], "time-shift-forgotten")],
)
def test_the_interval_that_is_wrong_is_explained(key, answer, mistake):
    assert mistake in marked(key, i=answer)["i"].mistakes


def test_earlier_answers_are_followed(key):
    # tau = 10 ms: 6 - 6 e^(-100t), at 20 ms 6 (1 - e^-2) = 5.188 A, which the second goes on from.
    marks = marked(key, tau="10 ms", i="0<t<20 ms: 6-6e^(-100t) A; t>20 ms: 1.5+3.688e^(-200(t-20ms)) A")
    assert (marks["i"].awarded, marks["i"].verdict) == (8, "correct by follow-through")
    assert marks["i"].follows_from == ("tau",)


def test_later_answers_follow(key):
    # With 1.5 + 1.6606 e^(-200(t - 20 ms)): 1.5 + 1.6606/e = 2.1109 A at 25 ms; v_L1 by its law.
    marks = marked(
        key,
        i=BY_INTERVAL[1][0],
        v="0<t<20 ms: 20e^(-50t) V; t>20 ms: -26.57e^(-200(t-20ms)) V",
        i25="2.111 A",
    )
    assert (marks["i25"].awarded, marks["i25"].follows_from) == (1, ("i",))
    assert (marks["v"].awarded, marks["v"].follows_from) == (8, ("i",))


def test_what_jumps_goes_on_from_what_does_not(key):
    # From 20 e^(-50t) V: i = (24 - 20/e)/4 = 4.1606 A at 20 ms, and so 24 - 16*4.1606 = -42.57 V just after.
    # Initial value and final value, time constant, form: the first lacks its initial value.
    mark = marked(key, v="0<t<20 ms: 20e^(-50t) V; t>20 ms: -42.57e^(-200(t-20ms)) V")["v"]
    assert [part.awarded for part in mark.parts] == pytest.approx([3, 4]), mark.reasons


def test_blank_and_unreadable_pass_nothing_on(key):
    assert marked(key, i25="2.3434 A")["i25"].verdict == "correct"
    assert marked(key, i="0<t<20 ms: 6*", i25="2.3434 A")["i25"].verdict == "correct"


VALUES = {"V": st.sampled_from([6, 9, 12, 24]), "R": st.sampled_from([1, 2, 3, 5]), "T": st.sampled_from([1, 2, 3])}


@settings(max_examples=20, deadline=None)
@given(st.fixed_dictionaries(VALUES), st.sampled_from(range(3)), st.floats(1.1, 3))
def test_a_pulse_in_every_form(values, form, off):
    # tau = 1 s: i = V/R (1 - e^-t), from T on V/R (e^T - 1) e^-t, which is what two steps add up to.
    v, r, end = values["V"], values["R"], values["T"]
    text = f"""
title = "Pulse (invented)"
[[problem]]
id = "p"
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "{v} u(t) - {v} u(t - {end} s) V"}},
  {{name = "R1", kind = "resistor", between = ["a", "b"], value = "{r} ohm"}},
  {{name = "L1", kind = "inductor", between = ["b", "g"], value = "{r} H"}},
]
item = [{{id = "i", find = "response", current = "L1", points = 2}}]
"""
    key = build_key(read_rubric(text.encode(), "pulse.toml"))

    def written(size):
        return (
            f"{size}(1-e^-t)u(t) - {size}(1-e^-(t-{end}))u(t-{end}) A",
            f"t > {end} s: {size}(1-e^-{end})e^(-(t-{end})) A; 0 < t < {end} s: {size} - {size}e^-t A",
            f"{size}(1-e^-t)(u(t)-u(t-{end})) + {size}(e^{end}-1)e^-t u(t-{end}) A",
        )[form]

    assert marked(key, i=written(f"({v}/{r})"))["i"].verdict == "correct"
    wrong = marked(key, i=written(f"({off * v}/{r})"))["i"]
    # Only the first final value is wrong: the second has the wrong start, and follows.
    assert wrong.awarded == pytest.approx(0.75 + 1)


def test_published():
    # M. Bourne, Interactive Mathematics, applications of the Laplace transform, a pulse of 1 V and 2 s on 1 Mohm and 1 uF; the
    # voltage of the capacitor as printed at https://www.intmath.com/laplace-transformation/ans-10.php?a=6
    text = """
title = "Published"
[[problem]]
id = "p"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "u(t) - u(t - 2 s) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "1 Mohm"},
  {name = "C1", kind = "capacitor", between = ["b", "g"], value = "1 uF"},
]
item = [{id = "v", find = "response", voltage = "C1", points = 1}]
"""
    key = build_key(read_rubric(text.encode(), "pulse.toml"))
    for printed in (
        "u(t)-e^(-t)*u(t)-u(t-2)+e^(-t+2)*u(t-2) V",
        "(1-e^(-t))*(u(t)-u(t-2))+e^(-t)(e^2-1)*u(t-2) V",
    ):
        assert marked(key, v=printed)["v"].verdict == "correct"
