"""An equation is shown in the letter it was written in."""

import pytest

from grader.reading.reader import read
from grader.reading.record import Reading


@pytest.mark.parametrize(
    "written, shown",
    [
        ("s^2 + 7 s + 12 = 0", "s^2 + 7·s + 12"),
        ("λ^2 + 7λ + 12", "λ^2 + 7·λ + 12"),
        ("D^2 + 7 D + 12", "D^2 + 7·D + 12"),
        ("1, 7, 12", "1·D^2 + 7·D + 12"),
        ("r(r + 7) + 12 = 0", "r·(r + 7) + 12"),
    ],
)
def test_the_letter_written_is_the_letter_shown(written, shown):
    (found, *_) = read(written, expects="equation")
    assert isinstance(found, Reading)
    assert found.text == shown
    assert "D" not in found.mathml or "D" in shown


def test_a_prefix_is_called_one():
    notes = {note for one in read("x^2+4000x+6.25M=0", expects="equation") for note in one.notes}
    assert not any("unit M" in note for note in notes)
    assert any("prefix M" in note for note in notes)
