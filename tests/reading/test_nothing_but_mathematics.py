"""Lines of nothing but mathematics are read without the search for words: they must come to the same as with it."""

import csv
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.reading import reader
from grader.reading.line.instants import INSTANTS
from grader.reading.line.mathematics import is_mathematics
from grader.reading.line.phrases import opened
from grader.reading.line.records import Kind
from grader.reading.reader import read
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import vocabulary
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
    "cos(", "sin", "sqrt(", "pi", "tau", "t", "R1", "R", "V0", "I", "I0", "C", "L", "V", "A", " mA", " V", "ms", " ms)", "s", " s", "i(t) = ", "v = ",
    "tau = ", "i(0+)=", "R = ", "k", "ohm", " kohm", "Ω", "A/s", " rad/s", "1/s", "t)",
)  # fmt: skip


def both_ways(text: str, **asked: object) -> tuple[object, object]:
    """What is read of a line, and what is read where every line is searched for words."""
    reader._read.cache_clear()
    found = read(text, **asked)  # type: ignore[arg-type] # the keywords of one call
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(reader, "is_mathematics", lambda *_: False)
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
    for text in plain:
        found, searched = both_ways(text, expects=expects, dimension=dimension, names=NAMES, called=("i(t)", "i"))
        assert found == searched, text


@settings(max_examples=400, deadline=None)
@given(
    st.lists(st.sampled_from(PIECES), min_size=1, max_size=9).map("".join),
    st.sampled_from([("value", VOLTAGE), ("value", RESISTANCE), ("value", TIME), ("expression", CURRENT)]),
    st.sampled_from(["", "mA", "V"]),
    st.sampled_from([(), ("i",), ("v", "v(0+)")]),
)
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
