"""Rules of marking, each by answers whose points were worked out by hand before any program saw them.

The circuits stand in ``rules.toml``; by hand: `tank` v = 6 + 24 e^(-500t) V, i = -6 e^(-500t) mA, i_R1 = 1.2 - 1.2 e^(-500t) mA,
R seen = 4 kΩ, tau = 2 ms; `coil` i = 300 (1 - e^(-200t)) mA, v_L = 12 e^(-200t) V; `ring` alpha = 60, omega0 = 100,
v = 16 - e^(-60t) (16 cos 80t + 12 sin 80t) V, i = 2 e^(-60t) sin 80t A; `critical` i = 160 t e^(-100t) A; `two` s = -400 ± 0 …
"""

from __future__ import annotations

from pathlib import Path

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import load_rubric
from grader.uploads.records import Upload, Written


@pytest.fixture(scope="module")
def key():
    return build_key(load_rubric(Path(__file__).with_name("rules.toml")))


def marks_of(key, answers):
    """The marks of answers by ``problem.item``, marked as one upload."""
    written = tuple(
        Written(problem=place.split(".")[0], item=place.split(".")[1], text=text) for place, text in answers.items()
    )
    marked = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written))
    return {f"{mark.problem}.{mark.item}": mark for mark in marked.marks}


ONE_CHARGE = [
    # A unit of another kind: the digits as the asked unit would have them; 2 points less a quarter for the unit.
    ("tank.vf", "6 A", 1.5),
    ("tank.i1", "1.2 V", 1.5),  # for 1.2 mA
    ("tank.seen", "4 F", 1.5),  # for 4 kΩ
    ("tank.seen", "4 kHz", 1.5),
    ("tank.tau", "2 V", 1.5),  # for 2 ms
    ("tank.tau", "2 Hz", 1.5),
    ("tank.tau", "2 mV", 1.5),
    ("tank.seen", "4", 1.5),
    ("tank.seen", "7 F", 0),
    ("tank.i", "-6 e^(-500t) V", 3),  # 4 less a quarter
    ("coil.i", "300 (1 - e^(-200t)) V", 3),
    ("tank.i1", "-1.2 V", 0.75),  # sign: half of 2; then the unit, a quarter of what is left
]

POWERS_OF_TEN = [
    # What the rubric says for a slip of the power of ten: half, wherever the response starts.
    ("tank.v", "6 + 24 e^(-500t) mV", 2),
    ("coil.i", "300 (1 - e^(-200t)) A", 2),
    ("coil.i", "0.3 (1 - e^(-200t)) kA", 2),
    ("tank.tau", "20 ms", 1),
    ("tank.tau", "0.2 s", 1),  # a hundred
    ("tank.vf", "60 V", 1),
    ("tank.vf", "0.06 V", 1),
    ("coil.i", "3 (1 - e^(-200t)) A", 2),
    ("coil.i", "300 (1 - e^(-200t)) V", 3),  # no power of ten: the unit alone
]

WHOLE_SIGN = [
    ("tank.v", "-6 - 24 e^(-500t) V", 2),
    ("coil.i", "-300 (1 - e^(-200t)) mA", 2),
    ("tank.i", "6 e^(-500t) mA", 2),
    ("free.v", "-V0 e^(-t/(R C))", 2),
    ("ring.i", "-2 e^(-60t) sin(80t) A", 3),
]

FORM = [
    # The constant missing: initial value and time constant are right, final value and form are not.
    ("tank.v", "30 e^(-500t) V", 2),
    ("tank.v", "24 e^(-500t) V", 1),
    ("letters.v", "V0 e^(-2t/(R C))", 2),
    # A constant too many: charging for discharging.  Only the time constant is right.
    ("tank.i", "-6 (1 - e^(-500t)) mA", 1),
    ("coil.vl", "12 (1 - e^(-200t)) V", 1),
    ("free.v", "V0 (1 - e^(-t/(R C)))", 1),
    # Damping or oscillation lost.
    ("ring.v", "16 - 20 cos(80t - 36.87°) V", 2),  # initial value, frequency
    ("ring.v", "16 - 16 e^(-60t) V", 3),  # initial value, final value, time constant
    ("ring.i", "2 sin(80t) A", 3),  # initial value, slope 160 A/s, frequency; of six parts
    # One letter missing: what is right of the rest.
    ("critical.i", "160 e^(-100t) A", 2.5),  # final value, time constant; of four parts
    ("ring.i", "2 e^(-60t) sin 80 A", 2),  # final value, time constant
    # The time constant is wrong and nothing else.
    ("tank.v", "6 + 24 e^(-50t) V", 3),
    ("tank.v", "6 + 24 e^(500t) V", 2),  # initial value and form
]

COEFFICIENTS = [
    ("coil.i", "0.304 - 0.296 e^(-200t) A", 4),  # each within 2 %
    ("tank.v", "6.1 + 23.6 e^(-500t) V", 4),
    ("tank.v", "6.2 + 23.8 e^(-500t) V", 3),  # 6.2 is 3.3 % off: the final value
    ("tank.v", "6 + 25 e^(-500t) V", 3),  # 31 for 30 is 3.3 % off: the initial value
]


@pytest.mark.parametrize(("place", "text", "points"), [*ONE_CHARGE, *POWERS_OF_TEN, *WHOLE_SIGN, *FORM, *COEFFICIENTS])
def test_points_worked_out_by_hand(key, place, text, points):
    assert marks_of(key, {place: text})[place].awarded == pytest.approx(points, abs=1e-4)
