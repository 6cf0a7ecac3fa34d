"""What is read by a shorter way must come to the same as by the long one.

Lines of nothing but mathematics are not searched for words, and expressions written out in full are made a tree without
tokens and grammar.
"""

import csv
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from grader.reading import part, reader
from grader.reading.line.instants import INSTANTS
from grader.reading.line.mathematics import is_mathematics
from grader.reading.line.phrases import opened
from grader.reading.line.records import Kind
from grader.reading.reader import read
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import vocabulary
from grader.reading.tree.written_out import written_out
from grader.values.dimension import CURRENT, RESISTANCE, TIME, VOLTAGE, Dimension
from grader.values.laplace import VARIABLE
from tests.common.writers import write
from tests.marking.test_right_and_wrong import response

PAPERS = Path(__file__).parents[1] / "papers"
NAMES: dict[str, Dimension | None] = {
    "R1": RESISTANCE,
    "R": RESISTANCE,
    "tau": TIME,
    "V0": VOLTAGE,
    "I": CURRENT,
    "C": None,
    "L": None,
}
PIECES = (
    "2.4", "500", "0.004", ".5", "1,5", "-", "+", " - ", " + ", "*", "/", "//", "^", "**", "2024-02-01", "(", ")", "(1 - ", " ", "  ", "e", "e^(-500t)", "exp(-t/",
    "10", "5", "e^(-t/0.004)", "exp(-50*t)", "cos(120t)", "sin(3 t)", "*", "t*", "cos(", "sin", "sqrt(", "pi", "tau", "t", "R1", "R", "V0", "I", "I0", "C", "L", "V", "A", " mA", " V", "ms", " ms)", "s", " s", "i(t) = ", "v = ",
    "tau = ", "i(0+)=", "R = ", "k", "ohm", " kohm", "Ω", "A/s", " rad/s", "1/s", "t)",
)  # fmt: skip
TERMS = (
    "2.4", "10", "0.5", " - ", "-", " + ", "+", "*", "(", ")", " ", "t", "3t", "e^(-500t)", "e^(t)", "exp(-50*t)", "exp( -2 t / 3 )", "e^( - t/0.004)",
    "cos(120t)", "sin(3*t)", " mA", " V", "A", "/", "^2", "12.5", "(1 - ", "5.", "k", "te^(-4t)",
)  # fmt: skip


def both_ways(text: str, **asked: object) -> tuple[object, object]:
    """What is read of a line, and what is read of it by the long way."""
    reader._read.cache_clear()
    found = read(text, **asked)  # type: ignore[arg-type] # the keywords of one call
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(reader, "is_mathematics", lambda *_: False)
        patched.setattr(part, "written_out", lambda *_: None)
        reader._read.cache_clear()
        searched = read(text, **asked)  # type: ignore[arg-type]
    reader._read.cache_clear()
    return found, searched


def typed() -> Iterator[str]:
    """The answers of all papers, and random responses in random notation."""
    for table in sorted(PAPERS.glob("*/answers.csv")):
        with table.open(encoding="utf-8") as file:
            yield from {row["answer"]: None for row in csv.DictReader(file)}
    random = Random(5)
    for _ in range(400):
        yield write(response(random), random)


@pytest.mark.parametrize(("expects", "dimension"), [("value", VOLTAGE), ("value", RESISTANCE), ("expression", CURRENT)])
def test_answers_as_typed(expects, dimension):
    question = Question(vocabulary(tuple(NAMES.items())), expects, dimension)
    plain = [text for text in dict.fromkeys(typed()) if is_mathematics(text, question)]
    assert len(plain) > 500
    assert expects == "value" or sum(written_out(text, question) is not None for text in plain) > 200
    for text in plain:
        found, searched = both_ways(text, expects=expects, dimension=dimension, names=NAMES, called=("i(t)", "i"))
        assert found == searched, text


@settings(max_examples=400, deadline=None)
@given(st.lists(st.sampled_from(TERMS), min_size=1, max_size=8).map("".join), st.sampled_from([(), ("i",)]))
def test_any_expression_of_such_terms(text, called):
    found, searched = both_ways(text, expects="expression", dimension=CURRENT, names=NAMES, called=called)
    assert found == searched


@settings(max_examples=400, deadline=None)
@given(
    st.lists(st.sampled_from(PIECES), min_size=1, max_size=9).map("".join),
    st.sampled_from([("value", VOLTAGE), ("value", RESISTANCE), ("value", TIME), ("expression", CURRENT)]),
    st.sampled_from(["", "mA", "V"]),
    st.sampled_from([(), ("i",), ("v", "v(0+)")]),
)
@example("e^(-t/0.004)V(2.4", ("value", VOLTAGE), "", ())
@example(" s", ("value", VOLTAGE), "mA", ())
def test_any_line_of_such_pieces(text, asked, unit, called):
    expects, dimension = asked
    found, searched = both_ways(text, unit=unit, expects=expects, dimension=dimension, names=NAMES, called=called)
    assert found == searched


@pytest.mark.parametrize("frame", ["{} = 5 A", "{}(t) = 2e^(-5t) A", "{} 2.4", "2.4 {}", "5 {} 3"])
def test_a_phrase_of_the_table_beside_a_value(frame):
    phrases = [phrase for kind in (*Kind, *INSTANTS) for phrase in opened(kind)]
    assert len(phrases) > 300
    for phrase in phrases:
        found, searched = both_ways(frame.format(phrase), dimension=CURRENT, names=NAMES)
        assert found == searched, phrase


@pytest.mark.parametrize(
    "text",
    [
        "2.4 A, no",
        "2 V or 3 V",
        "at most 4 A",
        "2 A (source)",
        "5 ms => 5 tau = 25 ms",
        "-691.8 V (80*8.647)",
        "R 5 ohm",
    ],
)
def test_words_parts_and_comments_are_searched(text):
    assert not is_mathematics(text, Question(vocabulary(()), "value", CURRENT))


def test_a_function_of_s_is_searched_for_its_letter():
    assert not is_mathematics("5 s", Question(vocabulary(((VARIABLE, None),)), "expression", None))
