"""Single answers whose mistake was worked out by hand; the circuits are invented."""

import pytest

from grader.mistakes.diagnose import Diagnoser
from grader.rubric.references import references
from grader.values.scalar import rational
from grader.values.waveform import constant

from .circuits import line, rubric_of

DISCHARGED = [
    line("Vs", "voltage source", "a", "g", "12 V"),
    line("S1", "switch", "a", "b", opens="0 s"),
    line("R1", "resistor", "b", "c", "1 kohm"),
    line("R2", "resistor", "c", "g", "3 kohm"),
    line("C1", "capacitor", "c", "g", "2 uF"),
]
"""Before: 12 V · 3/4 = 9 V on C1.  After: R2 alone, τ = 6 ms."""

TWICE = [
    line("Vs", "voltage source", "a", "g", "12 V"),
    line("S1", "switch", "a", "b", closes=["0 s", "9 ms"], opens="4 ms"),
    *DISCHARGED[2:],
]
"""First 750 Ω · 2 µF = 1.5 ms towards 9 V; from 4 ms on τ = 6 ms towards zero."""

ADDED = [
    line("Vs", "voltage source", "a", "g", "12 V"),
    line("S1", "switch", "a", "b", closes="0 s"),
    line("R1", "resistor", "b", "c", "1 kohm"),
    line("C1", "capacitor", "c", "g", "2 uF"),
    line("S2", "switch", "c", "d", closes="4 ms"),
    line("R2", "resistor", "d", "g", "3 kohm"),
]
"""τ = 2 ms until 4 ms: 12 V (1 − e^−2) = 10.376 V, and 12 V e^−2 / 1 kΩ = 1.624 mA into C1 until R2 takes 3.459 mA."""

HELPED = [
    line("Vs", "voltage source", "a", "g", "30 V"),
    line("S1", "switch", "a", "b", closes="0 s"),
    line("R1", "resistor", "b", "c", "12 kohm"),
    {"name": "F1", "kind": "current-controlled current source", "between": ["g", "c"], "gain": "3", "control": "R1"},
    line("R2", "resistor", "c", "g", "6 kohm"),
    line("C1", "capacitor", "c", "g", "5 uF"),
]
"""In the end 4 (30 V − v)/12 kΩ = v/6 kΩ, so v = 20 V; without F1 the divider gives 10 V."""

COUPLED = [
    line("Vs", "voltage source", "a", "g", "36 V"),
    line("S1", "switch", "a", "b", closes="0 s"),
    line("R1", "resistor", "b", "c", "27 ohm"),
    {"name": "T1", "kind": "ideal transformer", "primary": ["c", "g"], "secondary": ["d", "g"], "ratio": "3"},
    line("R2", "resistor", "d", "e", "5 ohm"),
    line("L1", "inductor", "e", "g", "0.4 H"),
]
"""L1 sees 5 Ω + 27 Ω/9 = 8 Ω, so τ = 50 ms, and 36 V/3 = 12 V drive 1.5 A in the end.  By the ratio itself it would be
5 Ω + 9 Ω = 14 Ω and 28.57 ms; as it is, 32 Ω; with the turns exchanged 5 Ω + 243 Ω, and 108 V/248 Ω = 0.43548 A."""

MIRRORED = [
    line("S1", "switch", "a", "b", closes="0 s"),
    line("C1", "capacitor", "a", "g", "10 uF", initial="8 V"),
    line("R1", "resistor", "b", "c", "1 kohm"),
    line("R2", "resistor", "c", "g", "4 kohm"),
    {"name": "F1", "kind": "current-controlled current source", "between": ["c", "g"], "gain": "0.25", "control": "R1"},
]
"""R2 carries three quarters of R1's current: 1 kΩ + 3 kΩ = 4 kΩ and 40 ms.  Without F1 5 kΩ, the two in series; F1 turned 6 kΩ."""

INVERTING = [
    line("Vs", "voltage source", "a", "g", waveform="0.5 u(t) V"),
    line("R1", "resistor", "a", "n", "10 kohm"),
    line("R2", "resistor", "n", "o", "40 kohm"),
    line("C1", "capacitor", "n", "o", "50 nF"),
    {"name": "A1", "kind": "ideal op amp", "non_inverting": "g", "inverting": "n", "output": "o"},
]
"""-2 V (1 − e^(−500t)) to ground at o; at n there is no voltage."""

BLED = [
    line("Vs", "voltage source", "a", "g", "10 V"),
    {"name": "S1", "kind": "changeover switch", "common": "b", "from": "a", "to": "g", "at": "0 s"},
    line("R1", "resistor", "b", "c", "10 kohm"),
    line("R2", "resistor", "c", "g", "40 kohm"),
    line("C1", "capacitor", "c", "g", "100 nF"),
]
"""10 V · 4/5 = 8 V before, then τ = 8 kΩ · 0.1 µF.  Whoever forgets to turn 1/10 kΩ + 1/40 kΩ over leaves e^(−1.6·10^8) after
2 ms, a number of seventy million zeros; in series it would be 50 kΩ, 5 ms and 8 V e^−0.4 = 5.363 V."""

PULSED = [
    line("Vs", "voltage source", "a", "g", waveform="8 (u(t) - u(t - 2 ms)) V"),
    line("R1", "resistor", "a", "b", "1 kohm"),
    line("C1", "capacitor", "b", "g", "1 uF"),
]
"""Up to 8 V (1 − e^−2) = 6.917 V at 2 ms, and back: 4 V is passed at 1 ms · ln 2 = 0.693 ms upwards, and downwards at
2 ms + 1 ms · ln(6.917/4) = 2.548 ms."""


def heads(elements, item, answer):
    """The mistakes that explain an answer of three digits best."""
    rubric = rubric_of(elements, [{"id": "x", **item}])
    found = Diagnoser.of(rubric, references(rubric)).diagnose("p", "x", constant(rational(answer)), digits=3)
    return {id for candidate in found.candidates[: found.tied] for id in candidate.ids}


@pytest.mark.parametrize(
    ("elements", "item", "answer", "mistake"),
    [
        # −9 V / 3 kΩ leaves C1; the sign is that of a charging current
        (DISCHARGED, {"find": "initial value", "current": "C1"}, "3.00e-3", "start-sign-turned"),
        # ½ · 2 µF · (9 V)² = 81 µJ at the start, e^−2 of it after one time constant, nothing in the end
        (DISCHARGED, {"find": "stored energy", "of": "C1"}, "81.0e-6", "initial-energy-for-later"),
        (DISCHARGED, {"find": "stored energy", "of": "C1", "at": "6 ms"}, "81.0e-6", "initial-energy-for-later"),
        # 9 V (1 − e^(−8/1.5)) = 8.957 V, as if the switch had not opened at 4 ms
        (TWICE, {"find": "value at", "voltage": "C1", "at": "8 ms"}, "8.96", "interval-before-kept"),
        # at 4 ms: what flows into C1 the instant before
        (ADDED, {"find": "value at", "current": "C1", "at": "4 ms"}, "1.62e-3", "interval-before-kept"),
        (ADDED, {"find": "value at", "current": "C1", "at": "4 ms"}, "1.62e-3", "nothing-jumps"),
        (HELPED, {"find": "final value", "voltage": "C1"}, "10.0", "dependent-source-left-out"),
        # 12 kΩ ∥ 6 kΩ · 5 µF = 20 ms: 10 V (1 − e^−1) after 20 ms
        (HELPED, {"find": "value at", "voltage": "C1", "at": "20 ms"}, "6.32", "dependent-source-left-out"),
        (MIRRORED, {"find": "resistance between", "between": ["b", "g"]}, "5.00e3", "dependent-source-switched-off"),
        (MIRRORED, {"find": "resistance between", "between": ["b", "g"]}, "6.00e3", "source-sense-turned"),
        (MIRRORED, {"find": "resistance between", "between": ["b", "g"]}, "0.80e3", "all-resistors-parallel"),
        (MIRRORED, {"find": "time constant"}, "60.0e-3", "source-sense-turned"),
        (BLED, {"find": "value at", "voltage": "C1", "at": "2 ms"}, "5.36", "all-resistors-added"),
        # ADDED after 4 ms: C1 goes from 12 V (1 - e^-2) to 9 V: 107.66 uJ - 81 uJ
        (
            ADDED,
            {"find": "energy dissipated", "of": "R2", "after": "4 ms", "until": "30 ms"},
            "26.66e-6",
            "stored-taken-as-dissipated",
        ),
        # a time constant, a resistance, an energy and an instant of the circuit have no direction
        (DISCHARGED, {"find": "time constant"}, "-6.00e-3", "less-than-nothing"),
        (DISCHARGED, {"find": "resistance seen"}, "-3.00e3", "less-than-nothing"),
        (DISCHARGED, {"find": "stored energy", "of": "C1", "at": "0 s"}, "-81.0e-6", "less-than-nothing"),
        # 1 kΩ + 3 kΩ = 4 kΩ would give 8 ms
        (DISCHARGED, {"find": "time constant"}, "-8.00e-3", "less-than-nothing"),
        (DISCHARGED, {"find": "value at", "voltage": "C1", "at": "6 ms"}, "-3.31", "sign-turned"),
        (INVERTING, {"find": "final value", "voltage": ["o", "g"]}, "2.00", "inverting-sign-lost"),
        (INVERTING, {"find": "final value", "voltage": "C1"}, "-2.00", "sign-turned"),  # C1 has its + at n
        (
            PULSED,
            {"find": "time to reach", "voltage": "C1", "level": "4 V", "crossing": 2, "until": "9 ms"},
            "0.693e-3",
            "earlier-crossing",
        ),
        (
            PULSED,
            {"find": "time to reach", "voltage": "C1", "level": "4 V", "direction": "falling", "until": "9 ms"},
            "0.693e-3",
            "earlier-crossing",
        ),
        (COUPLED, {"find": "resistance seen"}, "14.0", "turns-ratio-not-squared"),
        (COUPLED, {"find": "time constant"}, "0.0286", "turns-ratio-not-squared"),
        (COUPLED, {"find": "resistance seen"}, "248", "turns-ratio-upside-down"),
        (COUPLED, {"find": "final value", "current": "L1"}, "0.435", "turns-ratio-upside-down"),
    ],
)
def test_the_mistake_is_named_first(elements, item, answer, mistake):
    assert mistake in heads(elements, item, answer)


def test_resistors_in_series_are_rightly_added_where_a_dependent_source_is_left_out():
    assert heads(MIRRORED, {"find": "time constant"}, "50.0e-3") == {"dependent-source-switched-off"}


@pytest.mark.parametrize(
    ("elements", "item", "none_to_make"),
    [
        (DISCHARGED, {"find": "expression", "voltage": "C1"}, "decay-only-form"),  # it ends at zero
        (ADDED, {"find": "expression", "voltage": "C1"}, "start-value-dropped"),  # it starts there
        (ADDED, {"find": "expression", "voltage": "C1"}, "start-sign-turned"),
    ],
)
def test_no_mistake_is_told_of_where_there_is_none_to_make(elements, item, none_to_make):
    rubric = rubric_of(elements, [{"id": "x", **item}])
    diagnoser = Diagnoser.of(rubric, references(rubric))
    assert none_to_make not in (*diagnoser.hidden("p", "x"), *diagnoser.shown_by("p", "x"))


def test_the_energy_at_the_start_is_no_energy_of_the_start_for_a_later_one():
    assert heads(DISCHARGED, {"find": "stored energy", "of": "C1", "at": "0 s"}, "81.0e-6") == set()
