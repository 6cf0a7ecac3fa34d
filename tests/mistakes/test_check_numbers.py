"""What each mistake gives on two circuits worked by hand with a calculator, outside the program.

RL: 24 V with R4 = 2 Ω and R1 = 6 Ω in line to node n, R2 = 12 Ω from n to ground, R3 = 4 Ω and L = 80 mH from n to
ground; a switch across R4 closes at t = 0.  Right: iL(0) 1.636 A, iL(∞) 2 A, 8 Ω, 10 ms; iR2 0.545, 0.788, 0.667 A.
Series RLC: 40 Ω, 10 mH, 1 µF, 10 V step from rest: ω0 10 000 rad/s, α 2000 /s, ωd 9798 rad/s, B1 −10, B2 −2.041.
"""

import pytest

from grader.mistakes.diagnose import Diagnoser
from grader.mistakes.numeric_form import ModalForm, Value
from grader.rubric.references import references
from grader.values.waveform import Waveform

from .circuits import line, rubric_of

RL = [
    line("Vs", "voltage source", "a", "g", "24 V"),
    line("R4", "resistor", "a", "b", "2 ohm"),
    line("S1", "switch", "a", "b", closes="0 s"),
    line("R1", "resistor", "b", "n", "6 ohm"),
    line("R2", "resistor", "n", "g", "12 ohm"),
    line("R3", "resistor", "n", "m", "4 ohm"),
    line("L1", "inductor", "m", "g", "80 mH"),
]
RL_ITEMS = [
    {"id": "before", "find": "value just before switching", "current": "L1"},
    {"id": "final", "find": "final value", "current": "L1"},
    {"id": "seen", "find": "resistance seen"},
    {"id": "tau", "find": "time constant"},
    {"id": "r2", "find": "initial value", "current": "R2"},
    {"id": "r2_end", "find": "final value", "current": "R2"},
    {"id": "x", "find": "expression", "current": "L1"},
]
RLC = [
    line("Vs", "voltage source", "a", "g", "10 V"),
    line("S1", "switch", "a", "b", closes="0 s"),
    line("R1", "resistor", "b", "c", "40 ohm"),
    line("L1", "inductor", "c", "d", "10 mH"),
    line("C1", "capacitor", "d", "g", "1 uF"),
]
RLC_ITEMS = [
    {"id": "alpha", "find": "damping coefficient"},
    {"id": "omega0", "find": "undamped natural frequency"},
    {"id": "omegad", "find": "damped natural frequency"},
    {"id": "type", "find": "damping type"},
    {"id": "v", "find": "expression", "voltage": "C1"},
]


@pytest.fixture(scope="module")
def rl():
    rubric = rubric_of(RL, RL_ITEMS)
    return Diagnoser.of(rubric, references(rubric))


@pytest.fixture(scope="module")
def rlc():
    rubric = rubric_of(RLC, RLC_ITEMS)
    return Diagnoser.of(rubric, references(rubric))


def values(diagnoser, item, mistake):
    return [
        entry.form.value
        for entry in diagnoser.tables["p", item].rows
        if entry.id == mistake and isinstance(entry.form, Value)
    ]


@pytest.mark.parametrize(
    ("item", "right"),
    [("before", 1.636), ("final", 2.0), ("seen", 8.0), ("tau", 10e-3), ("r2", 0.788), ("r2_end", 0.667)],
)
def test_right_values(rl, item, right):
    found = rl.right["p", item]
    assert isinstance(found, Waveform)
    assert found.value() == pytest.approx(right, rel=1e-3)


@pytest.mark.parametrize(
    ("item", "mistake", "value"),
    [
        ("r2", "nothing-jumps", 0.545),
        ("r2", "empty-element-model-when-charged", 1.333),
        ("r2", "steady-picture-at-once", 0.667),
        ("seen", "resistance-before-switching", 8.8),
        ("tau", "resistance-before-switching", 9.091e-3),
        ("seen", "bypassed-resistor-counted", 8.8),
        ("seen", "all-resistors-added", 24.0),
        ("tau", "all-resistors-added", 80e-3 / 24),
        ("tau", "all-resistors-parallel", 80e-3),
        ("seen", "series-and-parallel-exchanged", 3.273),
        ("tau", "series-and-parallel-exchanged", 24.44e-3),
        ("seen", "voltage-source-opened", 16.0),
        ("tau", "voltage-source-opened", 5e-3),
        ("seen", "seen-from-the-source", 9.0),
        ("tau", "seen-from-the-source", 8.889e-3),
        ("seen", "own-series-resistor-lost", 4.0),
        ("tau", "own-series-resistor-lost", 20e-3),
        ("seen", "nearest-resistor-only", 4.0),
        ("seen", "product-over-sum-of-three", 13.09),
        ("tau", "rl-time-constant-inverted", 100.0),
        ("tau", "rate-instead-of-time", 100.0),
        ("tau", "five-time-constants", 50e-3),
        ("tau", "half-time", 6.931e-3),
    ],
)
def test_rl(rl, item, mistake, value):
    """Sum and parallel of all resistors count R4 as well: 24 Ω, 1 Ω (the hand figures without it: 22 Ω, 2 Ω)."""
    assert any(found == pytest.approx(value, rel=1e-3) for found in values(rl, item, mistake))


@pytest.mark.parametrize(
    ("item", "mistake", "value"),
    [
        ("alpha", "damping-factor-two-lost", 4000.0),
        ("alpha", "series-parallel-damping-exchanged", 12500.0),
        ("omegad", "damping-added-below-root", 10198.0),
        ("omega0", "radians-and-hertz-mixed", 1592.0),
        ("omega0", "root-not-taken", 1e8),
        ("omega0", "natural-rate-upside-down", 1e-4),
    ],
)
def test_rlc(rlc, item, mistake, value):
    assert any(found == pytest.approx(value, rel=1e-3) for found in values(rlc, item, mistake))


def test_rlc_type_by_the_parallel_formula(rlc):
    words = [
        entry.form.text for entry in rlc.tables["p", "type"].rows if entry.id == "series-parallel-damping-exchanged"
    ]
    assert words == ["overdamped"]


def test_rlc_second_constant_without_the_damping_term(rlc):
    """B2 = x'(0)/ωd = 0 for the right −2.041, beside B1 = −10."""
    courses = [e.form for e in rlc.tables["p", "v"].rows if e.id == "constants-damping-term-lost"]
    assert courses
    assert all(isinstance(course, ModalForm) for course in courses)
    ringing = [mode for mode in courses[0].modes if mode.frequency]
    assert [(mode.cosine, mode.sine) for mode in ringing] == [(pytest.approx(-10), pytest.approx(0, abs=1e-9))]
    assert ringing[0].frequency == pytest.approx(9798, rel=1e-4)
