"""Units that say how something is counted: turns and radians, percent, letter codes, numbers that lost their zeros."""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.marking.marks import CORRECT, INCORRECT, PARTLY
from grader.rubric.files import load_rubric
from grader.uploads.upload import Upload, Written

# By hand: omega0 = 1/sqrt(40 mH * 100 uF) = 500 per second; 500/(2 pi) = 79.58 turns per second.
FOGHORN = """
title = "Foghorn driver (invented)"
[marking]
{marking}
[[problem]]
id = "p"
ground = "g"
element = [
  {{name = "V1", kind = "voltage source", between = ["a", "g"], value = "12 V"}},
  {{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"}},
  {{name = "R1", kind = "resistor", between = ["b", "c"], value = "4.7 ohm"}},
  {{name = "L1", kind = "inductor", between = ["c", "d"], value = "40 mH"}},
  {{name = "C1", kind = "capacitor", between = ["d", "g"], value = "100 uF"}},
]
item = [
  {{id = "omega0", find = "undamped natural frequency", points = 4}},
  {{id = "share", find = "stated value", key = "63.2 %", points = 4}},
  {{id = "asked", find = "stated value", key = "63.2 %", points = 4, text = "Share that is left, in percent"}},
  {{id = "ratio", find = "stated value", key = "0.632", points = 4}},
  {{id = "seen", find = "stated value", key = "4.7 ohm", points = 4}},
  {{id = "small", find = "stated value", key = "0.833 mA", points = 4}},
  {{id = "over", find = "percent overshoot", voltage = "C1", points = 4}},
]
"""


@pytest.fixture(scope="module")
def key(tmp_path_factory):
    return _key(tmp_path_factory.mktemp("rubric"), "")


def _key(folder, marking):
    path = folder / "foghorn.toml"
    path.write_text(FOGHORN.format(marking=marking), encoding="utf-8")
    return build_key(load_rubric(path))


def _mark(key, item, text, **more):
    upload = Upload(
        file="u.txt", digest="", student="S1", answers=(Written(problem="p", item=item, text=text, **more),)
    )
    return next(mark for mark in mark_upload(key, upload).marks if mark.item == item)


@pytest.mark.parametrize(
    ("item", "text", "verdict", "awarded"),
    [
        ("omega0", "500 rad/s", CORRECT, 4),
        ("omega0", "500 s-1", CORRECT, 4),
        ("small", "0.833", PARTLY, 3),  # in milliamperes, and in microamperes, one writes it
        ("small", "833", PARTLY, 3),
        ("small", "8.33", INCORRECT, 0),
        ("omega0", "79.6 Hz", PARTLY, 3),  # the right frequency, counted in turns
        ("omega0", "0.0796 kHz", PARTLY, 3),
        ("omega0", "500 Hz", PARTLY, 3),
        ("omega0", "79.6 rad/s", INCORRECT, 0),
        ("omega0", "3142 Hz", INCORRECT, 0),
        ("share", "63.2 %", CORRECT, 4),
        ("share", "0.632", CORRECT, 4),
        ("share", "63.2", PARTLY, 3),  # the percent sign is missing
        ("share", "36.8", INCORRECT, 0),
        ("asked", "63.2", CORRECT, 4),  # the item names the unit
        ("over", "69.0 %", CORRECT, 4),  # e^(-58.75 pi / sqrt(500^2 - 58.75^2)) = 0.6896
        ("over", "69.0", CORRECT, 4),  # the question says per cent
        ("over", "0.690", CORRECT, 4),
        ("over", "6.90", PARTLY, 2),  # a slip by a factor of ten
        ("ratio", "63.2", PARTLY, 2),  # nothing was asked in percent: a slip by a factor of a hundred
        ("seen", "4R7", CORRECT, 4),  # IEC 60062: the R stands for ohms
        ("seen", "4R7 V", PARTLY, 3),
    ],
)
def test_how_it_is_counted(key, item, text, verdict, awarded):
    """A right value in another count loses its unit's share and no more."""
    found = _mark(key, item, text)
    assert (found.verdict, found.awarded) == (verdict, awarded), found.reasons


def test_zeros_lost_by_a_spreadsheet_are_not_charged(tmp_path):
    """A workbook keeps 4.70 as the number 4.7: its figures cannot be counted, those of a text can."""
    key = _key(tmp_path, 'significant_figures = 3\nsignificant_figures_rule = "required"')
    assert _mark(key, "seen", "4.7", unit="ohm").awarded == 3
    assert _mark(key, "seen", "4.7", unit="ohm", stored=True).awarded == 4
    assert _mark(key, "seen", "4.70", unit="ohm").awarded == 4
