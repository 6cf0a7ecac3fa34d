"""What is said of parts that agree, and of answers that follow from earlier ones."""

import pytest

from tests.marking.valve import mark


def test_nothing_that_follows_from_nothing_says_whose_it_is(valve_key):
    """From 0 to 0 there is no response: the answer follows, says so, and names what it follows from."""
    marks = mark(valve_key(), start="0", final="0", i="0")
    assert marks["i"].awarded == 0
    assert marks["i"].follows_from == ("start", "final")
    assert "but the slip there leaves nothing to work out here" in marks["i"].reasons[-1]
    other = mark(valve_key(), start="0", final="0", i="5 A")
    assert other["i"].follows_from == ()
    assert "leaves nothing" not in " ".join(other["i"].reasons)


@pytest.mark.parametrize(
    ("answer", "sentence"),
    [
        ("2 A", "the final value agrees with the circuit; the initial value, the time constant and the form do not"),
        ("1 - 2e^(-100t) A", "the time constant and the form agree with the circuit; the initial value and the final value do not"),
        ("2 - 0.364e^(-50t) A", "the initial value, the final value and the form agree with the circuit; the time constant does not"),
    ],
)  # fmt: skip
def test_one_part_agrees_and_several_agree(valve_key, answer, sentence):
    assert sentence in mark(valve_key(), i=answer)["i"].reasons[0]
