"""Which find stands against which published answer, and which against values by hand alone."""

import tomllib
from pathlib import Path

import pytest

from grader.quantities import FINDS

TESTS = Path(__file__).parents[1]

CHECKED_AS = {
    "alpha": "damping coefficient", "omega0": "undamped natural frequency", "omega_d": "damped natural frequency",
    "zeta": "damping ratio", "damping": "damping type",
}  # fmt: skip
"""The words of `responses.toml`, where a circuit's characteristic is checked without an item."""

ELSEWHERE = {
    "expression": ("circuit/test_published.py", "responses.toml"),
    "initial value": ("circuit/test_published.py", "responses.toml"),
    "final value": ("circuit/test_published.py", "responses.toml"),
    "response": ("marking/test_response_points.py", "M. Bourne, Interactive Mathematics"),
    "transform": ("circuit/test_laplace.py", "Handbook of Mathematical Functions (AMS 55), table 29.3"),
    "impulse response": ("circuit/test_impulses.py", "nvidia/Nemotron-CC-Math-v1"),
    "period": ("quantities/test_cycles.py", "GATE 2015, electrical engineering, set 2, question 39"),
    "duty cycle": ("quantities/test_cycles.py", "data sheets of the 555 timer"),
}
"""Find, the test that holds the published value, and words of its source there."""

BY_HAND = {
    "average power", "characteristic polynomial", "charge passed", "differential equation", "energy delivered",
    "energy lost", "energy share", "forced part", "impedance", "initial second derivative", "initial slope",
    "logarithmic decrement", "maximum", "minimum", "natural part", "open-circuit voltage", "overshoot", "peak time",
    "percent overshoot", "poles", "quality factor", "resistance between", "rise time", "settling time",
    "short-circuit current", "slope at", "time of maximum", "time of minimum", "time when equal", "transfer function",
    "value just before switching", "zero-input part", "zero-state part", "zeros",
}  # fmt: skip
"""Worked by hand, and against integration of random circuits; no published source was found."""

NO_VALUE = {"choice", "choices", "explanation", "sketch", "stated value", "true or false"}
"""What the instructor says is right, or a person decides."""


def in_collections() -> set[str]:
    """The finds of the collections' checks."""
    found = set()
    for name in ("quantities.toml", "responses.toml"):
        for example in tomllib.loads((TESTS / "reference" / name).read_text(encoding="utf-8"))["example"]:
            assert example["source"]
            found.update(CHECKED_AS.get(check["find"], check["find"]) for check in example["checks"] if "find" in check)
    return found


def test_every_find_says_where_its_values_come_from():
    published = in_collections()
    assert published | ELSEWHERE.keys() | BY_HAND | NO_VALUE == set(FINDS)
    assert not BY_HAND & (published | ELSEWHERE.keys()), "a source was found: take it off the list"


@pytest.mark.parametrize("find", ELSEWHERE)
def test_the_source_stands_beside_the_value(find):
    path, source = ELSEWHERE[find]
    assert source in (TESTS / path).read_text(encoding="utf-8")


@pytest.mark.parametrize("find", sorted(BY_HAND))
def test_what_has_no_source_has_a_value_by_hand(find):
    """In a test of this room that is not the one over random circuits."""
    others = [path for path in (TESTS / "quantities").glob("test_*.py") if "random" not in path.name]
    held = [path for path in (*others, *(TESTS / "marking").glob("test_*.py")) if path != Path(__file__)]
    texts = (path.read_text(encoding="utf-8") for path in held if path.name != "test_catalogue.py")
    assert any(f'"{find}"' in text for text in texts)
