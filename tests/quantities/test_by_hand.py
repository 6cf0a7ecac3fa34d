"""Values worked by hand, over the finds that are a value: `by_hand.csv`.

A circuit there is a loop from ground: a source, a switch that closes at t = 0, and the elements in series, empty before.
"""

import csv
from itertools import pairwise
from pathlib import Path

import pytest

from grader.quantities import asked
from tests.quantities.building import question

ROWS = list(csv.DictReader((Path(__file__).parent / "by_hand.csv").read_text(encoding="utf-8").splitlines()))
KINDS = {"V": ("voltage source", "V"), "R": ("resistor", "ohm"), "C": ("capacitor", "F"), "L": ("inductor", "H")}


def loop(text: str) -> str:
    """Element lines of a loop: ``V:12 S R:4k C:1u``."""
    parts = text.split()
    nodes = ["g", *"abcdef"[: len(parts) - 1], "g"]
    lines = []
    for part, (one, other) in zip(parts, pairwise(nodes), strict=True):
        letter, _, value = part.partition(":")
        pair = [other, one] if letter == "V" else [one, other]
        between = f'between = ["{pair[0]}", "{pair[1]}"]'
        if letter == "S":
            lines.append(f'{{name = "S1", kind = "switch", {between}, closes = "0 s"}}')
            continue
        kind, unit = KINDS[letter]
        prefix = value[-1] if value[-1] in "kum" else ""
        value = f"{value.removesuffix(prefix)} {prefix}{unit}"
        lines.append(f'{{name = "{letter}1", kind = "{kind}", {between}, value = "{value}"}}')
    return ",\n".join(lines)


@pytest.mark.parametrize("row", ROWS, ids=[f"{row['circuit']}: {row['working']}" for row in ROWS])
def test_by_hand(row):
    found = question(loop(row["circuit"]), f'id = "x", {row["item"]}')
    value = asked(found.item.find).reference(found).value()
    assert value == pytest.approx(float(row["right"]), rel=1e-5, abs=1e-12)
