"""A response over several intervals, however it is written; points worked out by hand before any program saw them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.marking.key import build_key
from grader.reading.line.pieces import in_ranges
from grader.reading.line.where import Clock
from grader.reading.tokens import question_of
from grader.rubric.files import read_rubric
from grader.values.dimension import CURRENT, VOLTAGE
from tests.marking.drive import DRIVE, FIRST, RIGHT, SECOND, marked


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(DRIVE.encode(), "drive.toml"))


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
