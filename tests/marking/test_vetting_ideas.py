"""What no item of a rubric can tell apart is said when it is vetted."""

from grader.marking.key import build_key
from grader.marking.vetting import ideas_not_told_apart
from tests.mistakes.circuits import line, rubric_of

SOURCE = [
    line("Vs", "voltage source", "a", "g", "12 V"),
    line("S1", "switch", "a", "b", closes="0 s"),
    line("R1", "resistor", "b", "c", "150 ohm"),
]
COIL = [*SOURCE, line("L1", "inductor", "c", "g", "30 mH")]
CAPACITOR = [*SOURCE, line("C1", "capacitor", "c", "g", "4.7 uF")]
TAU = [{"id": "tau", "find": "time constant"}]
OF_COIL, RATE = "What a time constant is made of", "A rate given for a time"


def said(elements):
    return [remark.sentence for remark in ideas_not_told_apart(build_key(rubric_of(elements, TAU)))]


def test_a_coil_alone_does_not_tell_an_inverted_time_constant_from_a_rate():
    assert any(OF_COIL in sentence and RATE in sentence for sentence in said(COIL))


def test_a_capacitor_does():
    assert not any(OF_COIL in sentence and RATE in sentence for sentence in said(CAPACITOR))
