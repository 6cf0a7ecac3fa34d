"""Rubric files: what is read, and one sentence for every fault."""

import pytest
from flint import fmpq

from grader.circuit.elements import (
    Capacitor,
    ChangeoverSwitch,
    CoupledInductors,
    DependentSource,
    IdealOpAmp,
    Inductor,
    Signal,
    Switch,
)
from grader.rubric.files import load_rubric
from grader.rubric.references import references
from grader.values.scalar import Surd, is_symbolic
from grader.values.waveform import constant
from tests.rubric.valve import GOOD, RUBRICS, element, faults, read


def test_whole_file():
    rubric = read(GOOD)
    problem = rubric.problems[0]
    assert (rubric.title, rubric.course, rubric.name, len(rubric.digest)) == (
        "Valve driver",
        "EE 118",
        "valve.toml",
        64,
    )
    assert [e.name for e in problem.circuit.elements] == ["Vs", "S1", "R1", "L1"]
    assert problem.circuit.elements[2].value == fmpq(4700)
    assert dict(problem.values)["R1"] == "4k7"
    tau, current = problem.items
    assert (tau.text, tau.points, tau.marking.tolerance, tau.marking.unit_costs) == ("Time constant τ", 2, 0.05, 0.5)
    assert (current.marking.tolerance, current.marking.unit_costs) == (0.01, 0.5)
    assert current.parts == (("initial value", 1.0), ("form", 3.0))


def test_long_form_and_short_form_are_the_same():
    """[[problem.element]] tables and inline tables give the same rubric."""
    lines = GOOD.split("element = [")[1].split("]\nitem", maxsplit=1)[0].strip().splitlines()
    tables = "".join(
        "[[problem.element]]\n"
        + line.strip()
        .strip(",")
        .strip("{}")
        .replace(", kind", "\nkind")
        .replace(", between", "\nbetween")
        .replace(", value", "\nvalue")
        .replace(", closes", "\ncloses")
        + "\n"
        for line in lines
    )
    items = '[[problem.item]]\nid = "tau"\nfind = "time constant"\npoints = 2\n'
    long = GOOD.split("element = [", maxsplit=1)[0] + tables + items
    assert read(long).problems[0].circuit == read(GOOD).problems[0].circuit


@pytest.mark.parametrize(
    "written, expected",
    [
        ('"6.8 kohm"', fmpq(6800)), ('"4k7"', fmpq(4700)), ('"0.1 kΩ"', fmpq(100)), ("47", fmpq(47)), ("0.1", fmpq(1, 10)),
        ('"1e3"', fmpq(1000)), ('"12/5 ohm"', fmpq(12, 5)), ('"-50 ohm"', fmpq(-50)), ("2.2e3", fmpq(2200)),
    ],
)  # fmt: skip
def test_values_are_exact(written, expected):
    """A decimal number never passes through a float, in quotation marks or not."""
    assert element(f'{{name = "R9", kind = "resistor", between = ["c", "g"], value = {written}}}').value == expected


def test_storage_elements_with_initial_values():
    found = element('{name = "C1", kind = "capacitor", between = ["c", "g"], value = "0.1 uF", initial = "0 V"}')
    assert found == Capacitor(name="C1", between=("c", "g"), value=fmpq(1, 10**7), initial=fmpq(0))
    found = element('{name = "L9", kind = "inductor", between = ["c", "g"], value = "3 H", initial = "-20 mA"}')
    assert found == Inductor(name="L9", between=("c", "g"), value=fmpq(3), initial=fmpq(-1, 50))


def pieces(drive: str):
    return element(f'{{name = "V9", kind = "voltage source", between = ["d", "g"], {drive}}}').drive.pieces


def test_step():
    zero, ten = constant(fmpq(0)), constant(fmpq(10))
    assert pieces('step = {before = "0 V", after = "10 V", at = "2 ms"}') == ((None, zero), (fmpq(1, 500), ten))
    assert pieces('step = {after = "10 V"}') == ((None, zero), (fmpq(0), ten))


def test_waveform_of_sinusoids_holds_for_all_time():
    found = pieces('waveform = "3 + 10 cos(377 t) V"')
    assert [start for start, _ in found] == [None]
    assert found[0][1].value(0) == 13


@pytest.mark.parametrize("text", ["10 e^(-500 t) V", "4 t V", "10 e^(-5t) cos(3t) V"])
def test_other_waveforms_start_at_zero(text):
    found = pieces(f'waveform = "{text}"')
    assert [start for start, _ in found] == [None, fmpq(0)]
    assert found[0][1] == constant(fmpq(0))


def test_waveform_with_its_own_steps():
    """A pulse of 1 ms; and a sinusoid that begins at 2 s although it would hold for all time."""
    found = pieces('waveform = "5 (u(t) - u(t - 1 ms)) V"')
    assert [(start, waveform.value(0)) for start, waveform in found] == [(None, 0), (fmpq(0), 5), (fmpq(1, 1000), 0)]
    found = pieces('waveform = "10 cos(3 t) u(t - 2) V"')
    assert [start for start, _ in found] == [None, fmpq(2)]


def test_switches():
    found = element('{name = "S9", kind = "switch", between = ["c", "g"], opens = "0 s"}')
    assert found == Switch(name="S9", between=("c", "g"), before=True, actions=((fmpq(0), False),))
    found = element('{name = "S9", kind = "switch", between = ["c", "g"], closes = ["0 s", "2 ms", "3 ms"]}')
    assert (found.before, [closed for _, closed in found.actions]) == (False, [True, False, True])
    found = element('{name = "S9", kind = "switch", between = ["c", "g"], closes = "1 s", opens = ["0 s", "2 s"]}')
    assert found.before is True
    assert found.actions == ((fmpq(0), False), (fmpq(1), True), (fmpq(2), False))


def test_changeover_switches():
    found = element(
        '{name = "S9", kind = "changeover switch", common = "c", from = "a", to = "g", at = ["0 s", "1 s"]}'
    )
    assert found == ChangeoverSwitch(name="S9", common="c", before="a", actions=((fmpq(0), "g"), (fmpq(1), "a")))
    found = element(
        '{name = "S9", kind = "changeover switch", common = "c", from = "a", to = ["g", "b"], at = ["0 s", "1 s"]}'
    )
    assert found.actions == ((fmpq(0), "g"), (fmpq(1), "b"))


@pytest.mark.parametrize(
    "kind, gain, control, expected",
    [
        ("voltage-controlled voltage source", "3", '["b", "c"]', ("voltage", "voltage", ("b", "c"))),
        ("voltage-controlled current source", '"20 mS"', '"R1"', ("current", "voltage", "R1")),
        ("current-controlled voltage source", '"5 ohm"', '"R1"', ("voltage", "current", "R1")),
        ("current-controlled current source", '"0.5"', '"R1"', ("current", "current", "R1")),
    ],
)
def test_dependent_sources(kind, gain, control, expected):
    found = element(f'{{name = "D1", kind = "{kind}", between = ["c", "g"], gain = {gain}, control = {control}}}')
    assert isinstance(found, DependentSource)
    assert (found.delivers, found.controlled_by, found.control) == expected


def test_op_amp_and_coupling():
    found = element('{name = "U1", kind = "ideal op amp", non_inverting = "b", inverting = "c", output = "d"}')
    assert found == IdealOpAmp(name="U1", non_inverting="b", inverting="c", output="d")
    second = '{name = "L2", kind = "inductor", between = ["d", "g"], value = "5 mH"},'
    found = element('{name = "M1", kind = "coupled inductors", inductors = ["L1", "L2"], coefficient = "0.5"}', second)
    assert found == CoupledInductors(name="M1", inductors=("L1", "L2"), mutual=fmpq(1, 200))
    found = element('{name = "M1", kind = "coupled inductors", inductors = ["L1", "L2"], mutual = "-1 mH"}', second)
    assert found.mutual == fmpq(-1, 1000)


def test_coefficient_that_leaves_a_root():
    """M = 0.5 sqrt(20 mH * 10 mH) stays exact."""
    second = '{name = "L2", kind = "inductor", between = ["d", "g"], value = "10 mH"},'
    found = element('{name = "M1", kind = "coupled inductors", inductors = ["L1", "L2"], coefficient = 0.5}', second)
    assert isinstance(found.mutual, Surd)


def test_symbols():
    text = GOOD.replace('"4k7"', '"R"').replace('"20 mH"', '"2*L0"').replace('"28 V"', '"28 V"')
    problem = read(text).problems[0]
    assert problem.symbols == ("R", "L0")
    assert is_symbolic(problem.circuit.elements[2].value)
    assert not is_symbolic(problem.circuit.elements[0].drive.pieces[0][1].number)


def test_range_of_personal_values():
    """The middle value stands for the range, which stays as written for the draw."""
    problem = read(GOOD.replace('"28 V"', '"12 V … 48 V, step 12 V"')).problems[0]
    assert problem.circuit.elements[0].drive.pieces[0][1] == constant(fmpq(36))
    assert dict(problem.values)["Vs"] == "12 V … 48 V, step 12 V"
    assert any("is no range" in fault for fault in faults(GOOD.replace('"28 V"', '"12 V …"')))


def test_signals():
    text = GOOD.replace('current = "L1"', 'voltage = ["b", "g"]')
    assert read(text).problems[0].items[1].signal == Signal(kind="voltage", of=("b", "g"))


def test_every_rubric_of_ours_is_read_and_solved():
    """At least ten files, each saying at its top that it is invented."""
    files = sorted(RUBRICS.glob("*.toml"))
    assert len(files) >= 6
    for path in files:
        assert "invented" in path.read_text(encoding="utf-8").split("\n", 1)[0]
        assert references(load_rubric(path))


# -- what is wrong -------------------------------------------------------------------------------
