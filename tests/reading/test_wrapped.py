"""Whatever is wrapped around an answer, labels, working, corrections, remarks, neither saves a wrong one nor costs a right one."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.reading.reader import Refusal, read
from grader.reading.value.evaluate import evaluate
from grader.values import dimension as dim
from tests.reading.test_lines import NAMES, first_of

LABELS = [
    "v = ",
    "v_C(0+) = ",
    "the voltage is ",
    "Voltage across C1: ",
    "v(0+) = v(0-) = ",
    "V: ",
    "U = ",
    "we get ",
    "KVL: v = ",
]
LEADS = [
    "R1 = 2 kΩ, so ",
    "C1 is open so ",
    "i = 3 mA, v = ",
    "tau = 10 ms; v = ",
    "i = 3 mA => ",
    "1 mA, daher ",
    "i = 2 mA thus v = ",
]
CORRECTED = ["77 V, no: ", "77 V, sorry, ", "77 V -> ", "~~77 V~~ ", "77 V wrong: ", "77 V, I mean ", "77 V; oops "]
BEHIND = [
    " (C1 open)", " (R1||R2)", " (77 mA * 3 kΩ)", " because C1 is charged", ", since it cannot jump", " (steady state)", "?", " :)",
    ", not 77 V", " # over C1", " as C1 blocks", " for t > 0", " (approx.)", ", after the switch closes", " [no current]", ".", " !!",
]  # fmt: skip
FRAMES = st.tuples(
    st.sampled_from(["", *CORRECTED]), st.sampled_from(["", *LABELS, *LEADS]), st.sampled_from(["", *BEHIND])
)
VALUES = st.tuples(st.integers(1, 999), st.sampled_from([1, 10, 100]), st.sampled_from(["", "-"])).map(
    lambda one: f"{one[2]}{one[0] / one[1]:g} V"
)
EXPRESSIONS = st.tuples(st.integers(2, 40), st.integers(2, 9), st.integers(5, 900)).map(
    lambda one: f"{one[0]} - {one[1]} e^(-{one[2]}t) V"
)


def check(answer: str, frame: tuple[str, str, str], expects: str) -> None:
    """The first reading, and every one that may decide, is that of the bare answer."""
    corrected, label, behind = frame
    bare = evaluate(first_of(answer, expects, dim.VOLTAGE).tree).waveform
    text = f"{corrected}{label}{answer}{behind}"
    found = read(text, expects=expects, dimension=dim.VOLTAGE, names=NAMES)
    assert not isinstance(found, Refusal), (text, found.sentence)
    assert evaluate(found[0].tree).waveform == bare, (text, found[0].text)


@given(VALUES, FRAMES)
@settings(max_examples=300)
def test_a_value_stays_what_it_is(answer, frame):
    """Labels, working, corrections and remarks around a value change nothing."""
    check(answer, frame, "value")


@given(EXPRESSIONS, FRAMES)
@settings(max_examples=150)
def test_an_expression_stays_what_it_is(answer, frame):
    """Nor do they around an expression."""
    check(answer, frame, "expression")


@pytest.mark.nightly
@given(st.one_of(VALUES.map(lambda one: (one, "value")), EXPRESSIONS.map(lambda one: (one, "expression"))), FRAMES)
@settings(max_examples=20_000, deadline=None)
def test_twenty_thousand(answer, frame):
    """The same, over all frames many times."""
    check(answer[0], frame, answer[1])
