"""What is written beside symbols and in the sentences."""

import pytest
from flint import fmpq

from grader.circuit.elements import (
    Capacitor,
    ChangeoverSwitch,
    CoupledInductors,
    CurrentSource,
    DependentSource,
    Drive,
    IdealOpAmp,
    Inductor,
    Resistor,
    Switch,
    VoltageSource,
)
from grader.reports.drawing.labels import label_lines, sentence, tidy
from grader.values.functions import cos, exp
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME, constant


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("6.8 kohm", "6.8 kΩ"), ("6.8kohm", "6.8 kΩ"), ("12 Ohms", "12 Ω"), ("4.7uF", "4.7 μF"), ("4.7 µF", "4.7 μF"),
        ("80 mH", "80 mH"), ("28 V", "28 V"), ("R", "R"), ("2*R", "2·R"), ("Rohm", "Rohm"), ("0 V", "0 V"),
        ("10 cos(377 t) V", "10 cos(377 t) V"),
    ],
)  # fmt: skip
def test_values_are_printed_with_the_symbols_of_units(typed, printed):
    assert tidy(typed) == printed


def drive(*pieces):
    return Drive(pieces=pieces)


AB = ("a", "b")
WAVE = cos(TIME.scaled(fmpq(377))).scaled(fmpq(10))


@pytest.mark.parametrize(
    ("element", "lines"),
    [
        (Resistor(name="R1", between=AB, value=fmpq(6800)), ("R1", "6.8 kΩ")),
        (Resistor(name="R1", between=AB, value=Symbolic.symbol("R", ("R",))), ("R1", "R")),
        (Capacitor(name="C1", between=AB, value=fmpq(1, 10**6), initial=fmpq(0)), ("C1", "1 μF", "v(0) = 0 V")),
        (Inductor(name="L1", between=AB, value=fmpq(1, 50), initial=fmpq(-2)), ("L1", "20 mH", "i(0) = −2 A")),
        (VoltageSource(name="V1", between=AB, drive=drive((None, constant(fmpq(0))))), ("V1", "0 V")),
        (
            CurrentSource(name="I1", between=AB, drive=drive((None, constant(fmpq(0))), (fmpq(1, 500), constant(fmpq(3))))),
            ("I1", "0 A, 3 A from t = 2 ms"),
        ),
        (VoltageSource(name="V1", between=AB, drive=drive((None, WAVE))), ("V1", "10 cos(377 t) V")),
        (
            VoltageSource(name="V1", between=AB, drive=drive((None, exp(TIME.scaled(fmpq(-3))).scaled(fmpq(5))))),
            ("V1", "5 e^(-3 t) V"),
        ),
        (
            DependentSource(
                name="E1", between=AB, delivers="voltage", controlled_by="current", gain=fmpq(3), control="R1"
            ),
            ("E1", "3 Ω · i(R1)"),
        ),
        (
            Switch(name="S1", between=AB, before=False, actions=((fmpq(0), True), (fmpq(1, 100), False))),
            ("S1", "closes at t = 0", "opens at t = 10 ms"),
        ),
        (
            ChangeoverSwitch(name="S1", common="c", before="a", actions=((fmpq(0), "b"),)),
            ("S1", "moves at t = 0"),
        ),
    ],
)  # fmt: skip
def test_labels(element, lines):
    assert label_lines(element, {}) == lines


def test_values_as_written_come_first():
    assert label_lines(Resistor(name="R1", between=AB, value=fmpq(6800)), {"R1": "6.80 kohm"}) == ("R1", "6.80 kΩ")


def test_of_a_range_the_value_of_this_circuit_is_shown():
    assert label_lines(Resistor(name="R1", between=AB, value=fmpq(4700)), {"R1": "1 kohm … 10 kohm"}) == (
        "R1",
        "4.7 kΩ",
    )


@pytest.mark.parametrize(
    ("written", "said"), [("0.5", "k = 0.5"), ("20 mH", "M = 20 mH"), ("0.02", "M = 20 mH"), ("", "M = 20 mH")]
)
def test_coupling_is_said_as_it_was_given(written, said):
    pair = CoupledInductors(name="M1", inductors=("L1", "L2"), mutual=fmpq(1, 50))
    assert label_lines(pair, {"M1": written} if written else {})[1] == said


def test_sentences_say_where_everything_is_connected():
    amplifier = IdealOpAmp(name="A1", non_inverting="p", inverting="n", output="o")
    assert sentence(amplifier, {}) == ("A1: ideal op amp, non-inverting input at p, inverting input at n, output at o.")
    source = VoltageSource(name="V1", between=AB, drive=drive((None, constant(fmpq(9)))))
    assert sentence(source, {}) == "V1: voltage source, 9 V, plus at a, minus at b."
    moved = ChangeoverSwitch(name="S1", common="c", before="a", actions=((fmpq(0), "b"),))
    assert sentence(moved, {}) == "S1: changeover switch, connects c to a, then to b at t = 0."
