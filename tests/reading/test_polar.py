"""Angles behind an angle sign: in degrees where a unit says so or they are beyond a full turn, else in radians."""

import pytest

from grader.reading.reader import read
from grader.reading.value.roots import evaluate_roots


@pytest.mark.parametrize(
    ("text", "real", "imaginary"),
    [
        ("50∠143.13°", -40, 30),
        ("50∠143.13", -40, 30),
        ("50∠-143.13", -40, -30),
        ("2∠1.5707963 rad", 0, 2),
        ("2∠1.5707963", 0, 2),
        ("2∠-1.5707963", 0, -2),
    ],
)
def test_an_angle(text, real, imaginary):
    roots = evaluate_roots(read(text, expects="roots")[0].tree).roots
    assert [(re.value(), im.value()) for re, im in roots] == [
        (pytest.approx(real, abs=1e-3), pytest.approx(imaginary, abs=1e-3))
    ]
