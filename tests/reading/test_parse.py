"""What fits together, and what binds how tightly."""

import pytest

from grader.reading.ambiguities import Ambiguities
from grader.reading.reader import read
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question
from grader.reading.tokens.scan import scan
from grader.reading.tokens.vocabulary import vocabulary
from grader.reading.tree import Number
from grader.reading.tree.parse import Condition, parse


def parts(text: str) -> tuple:
    """The parts of a text whose brackets are all there."""
    return parse(scan(text, Question(vocabulary(()), "expression"), Ambiguities()))


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("", None), ("2 +", None), ("2 *", None), ("2 ^", None), ("(2", None), (")", 0), ("2 )", 2), ("2 (", None), ("()", 1), ("= =", 0), ("2 = =", 4), ("2 * * 3", 4),
        ("2 * ± 3", 4), ("2 ^ ± 3", 4), ("^2", 0), ("2 ^ ^ 3", 4), ("2 || * 3", 5), ("sin 2", 4), ("sin )", 4), ("u t", 2), ("(2, 3)", 2),
        ("1 < 2 < 3 < 4", 10), ("1 > 2 > 3", 6), ("1 < 2 > 3", 6), ("1 = < 2", 4), ("1 = 2 < 3", 6), ("1 < 2 = 3", 6), ("2, , 3", 3), ("2,", None), ("t > > 0", 4),
    ],
)  # fmt: skip
def test_refused_at_the_first_token_that_does_not_fit(text, place):
    with pytest.raises(CannotRead) as caught:
        parts(text)
    assert (caught.value.kind, caught.value.place) == ("unexpected", place)


def test_ranges_chains_and_lists():
    one, two, three = (Number(place // 4 + 1, str(place // 4 + 1), place) for place in (0, 4, 8))
    assert parts("1 < 2 < 3") == (Condition(one, "<", two, three),)
    assert parts("1 > 2 ; 3") == (Condition(one, ">", two), (three,))
    assert parts("1 = 2 = 3") == ((one, two, three),)


@pytest.mark.parametrize(
    "text, bracketed",
    [
        ("1+2*3", "1 + 2·3"),
        ("2*3^2", "2·3^2"),
        ("-2^2", "−2^2"),
        ("(-2)^2", "(−2)^2"),
        ("2^3^2", "2^(3^2)"),
        ("6/2*3", "(6/2)·3"),
        ("6/2(3)", "(6/2)·3"),
        ("2t e^-5t", "2t·e^(−5t)"),
        ("e^-t/2*5", "e^(−t/2)·5"),
        ("e^-3*t/4", "e^(−3t/4)"),
        ("e^(-t/3*4)", "e^(−t/(3·4))"),
        ("cos 2t sin 3t", "cos(2t)·sin(3t)"),
        ("cos2t+1", "cos(2t) + 1"),
        ("√2/2", "√(2)/2"),
        ("2--3", "2 − (−3)"),
        ("1/2/4", "1/2/4"),
        ("8e^-t(1-t)", "8e^(−t)·(1 − t)"),
        ("ln 2 t", "ln(2)·t"),
    ],
)  # fmt: skip
def test_precedence(text, bracketed):
    """What binds more tightly, with the brackets that the reader put in."""
    found = read(text, expects="expression")
    assert found[0].text == bracketed
