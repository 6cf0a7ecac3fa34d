"""Energies lost and shared, by hand.

Charge is kept where capacitors are joined: of C1 at V and C2 empty, ½ V² C1 C2/(C1 + C2) is lost; a source that charges C through
no resistance delivers C V², of which half is lost, as through any resistance.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.problem import Rubric
from grader.quantities import asked
from grader.quantities.samples import CIRCUITS
from grader.uploads.upload import Upload, Written
from tests.quantities.building import problem, question


def value(circuit: str, item: str) -> float:
    found = question(circuit, f'id = "x", {item}')
    return asked(found.item.find).reference(found).value()


def joined(first: str, second: str) -> str:
    return (
        CIRCUITS["sharing"]
        .replace('"30 uF", initial = "20 V"', f'"{first}", initial = "20 V"')
        .replace('"30 uF", initial = "0 V"', f'"{second}", initial = "0 V"')
    )


AT_ONCE = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
    {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
    {name = "C1", kind = "capacitor", between = ["b", "g"], value = "2 uF", initial = "0 V"},
"""

COILS = """
    {name = "L1", kind = "inductor", between = ["a", "b"], value = "2 H", initial = "3 A"},
    {name = "S1", kind = "switch", between = ["b", "a"], opens = "0 s"},
    {name = "L2", kind = "inductor", between = ["b", "g"], value = "1 H", initial = "0 A"},
    {name = "R1", kind = "resistor", between = ["a", "g"], value = "5 ohm"},
"""
"""2 H carries 3 A round a closed switch; opened, flux is kept: 6 Wb = 3 H i, i = 2 A; ½ 2·9 - ½ 3·4 = 3 J are lost."""

TWO = """
    {name = "C1", kind = "capacitor", between = ["a", "g"], value = "1 uF", initial = "10 V"},
    {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
    {name = "R1", kind = "resistor", between = ["b", "g"], value = "1 kohm"},
    {name = "R2", kind = "resistor", between = ["b", "g"], value = "3 kohm"},
"""


@pytest.mark.parametrize(
    "circuit, item, right",
    [
        ("sharing", 'find = "energy lost"', 3e-3),
        (joined("30 uF", "60 uF"), 'find = "energy lost"', 0.5 * 400 * 20e-6),
        (joined("1 uF", "1 F"), 'find = "energy lost"', 0.5 * 400 * 1e-6 / (1 + 1e-6)),
        (AT_ONCE, 'find = "energy lost"', 1e-4),
        (AT_ONCE, 'find = "energy delivered", of = "Vs"', 2e-4),
        (AT_ONCE, 'find = "energy share", of = "C1", out_of = "Vs"', 0.5),
        (COILS, 'find = "energy lost"', 3.0),
        ("charging", 'find = "energy lost"', 0.0),
        ("charging", 'find = "energy share", of = "R1", out_of = "Vs"', 0.5),
        (TWO, 'find = "energy share", of = "R1", out_of = "R1 R2"', 0.75),  # currents as 3 : 1 on one voltage
        (TWO, 'find = "energy share", of = "R2", out_of = "C1"', 0.25),
        (TWO, 'find = "energy share", of = "R1", out_of = "R1 R2", until = "1 ms"', 0.75),
    ],
)
def test_by_hand(circuit, item, right):
    assert value(circuit, item) == pytest.approx(right, rel=1e-12, abs=1e-15)


def awarded(circuit, items, answers):
    rubric = Rubric(title="", course="", problems=(problem(circuit, *items),), digest="", name="test.toml")
    written = tuple(Written(problem="p", item=item, text=text) for item, text in answers.items())
    marks = mark_upload(build_key(rubric), Upload(file="u.txt", digest="", student="S1", answers=written)).marks
    return [mark.awarded for mark in marks]


def test_marks_follow():
    """8 V for 10 V: 6 mJ - ½ 60 µF · 64 V² = 4.08 mJ; 30 % of 200 µJ where 60 µJ were found."""

    items = ('id = "v", find = "initial value", voltage = "C1"', 'id = "x", find = "energy lost"')
    assert awarded("sharing", items, {"v": "10 V", "x": "3 mJ"}) == [1, 1]
    assert awarded("sharing", items, {"v": "8 V", "x": "4.08 mJ"}) == [0, 1]
    items = (
        'id = "h", find = "energy dissipated", of = "R1"',
        'id = "d", find = "energy delivered", of = "Vs"',
        'id = "x", find = "energy share", of = "R1", out_of = "Vs"',
    )
    assert awarded("charging", items, {"h": "100 uJ", "d": "200 uJ", "x": "50 %"}) == [1, 1, 1]
    assert awarded("charging", items, {"h": "60 uJ", "d": "200 uJ", "x": "30 %"}) == [0, 1, 1]
    assert awarded("charging", items, {"x": "0.5"}) == [0, 0, 1]


COUPLED = """
    {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
    {name = "S1", kind = "switch", between = ["a", "b"], opens = "0 s"},
    {name = "R1", kind = "resistor", between = ["b", "c"], value = "6 ohm"},
    {name = "R0", kind = "resistor", between = ["b", "g"], value = "4 ohm"},
    {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.4 H"},
    {name = "L2", kind = "inductor", between = ["d", "g"], value = "0.4 H"},
    {name = "R2", kind = "resistor", between = ["d", "g"], value = "10 ohm"},
    {name = "M1", kind = "coupled inductors", inductors = ["L1", "L2"], coefficient = 0.5},
"""
"""2 A before; then both loops have 10 ohm, i = e^(-t/60 ms) ± e^(-t/20 ms) A: ∫i2² dt = 30 + 10 - 2·15 = 10 ms A², 0.1 J in R2; of
½ 0.4·2² = 0.8 J the rest in R1 and R0, in the ratio of 6 to 4."""


@pytest.mark.parametrize(
    ("of", "joules"), [("R2", 0.1), ("R1", 0.42), ("R0", 0.28), (["R1", "R0", "R2"], 0.8), (["R2", "R1"], 0.52)]
)
def test_heat_beside_coupled_coils(of, joules):
    """It is worked out, and followed: 1 A to begin with leaves a quarter of it."""
    items = ('id = "i", find = "initial value", current = "L1"', f'id = "w", find = "energy dissipated", of = {of!r}')
    assert awarded(COUPLED, items, {"i": "2 A", "w": f"{joules} J"}) == [1, 1]
    assert awarded(COUPLED, items, {"w": f"{joules * 0.9} J"}) == [0, 0]
    if len(of) == 3:
        assert awarded(COUPLED, items, {"i": "1 A", "w": "0.2 J"}) == [0, 1]
