"""Rubric files: what is read, and one sentence for every fault."""

from __future__ import annotations

from pathlib import Path

import pytest
from flint import fmpq
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

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
from grader.errors import RubricError
from grader.rubric.files import load_rubric, read_rubric
from grader.rubric.references import references
from grader.values.scalar import Surd, is_symbolic
from grader.values.waveform import constant

RUBRICS = Path(__file__).parents[2] / "rubrics"

GOOD = """
title = "Valve driver"
course = "EE 118"

[marking]
tolerance = "5 %"
unit_penalty = 0.5

[[problem]]
id = "valve"
title = "Valve"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "28 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "4k7"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "20 mH"},
]
item = [
  {id = "tau", find = "time constant", points = 2},
  {id = "i", find = "expression", current = "L1", points = 4, parts = {"initial value" = 1, "form" = 3}, tolerance = 0.01},
]
"""


def read(text: str):
    return read_rubric(text.encode(), "valve.toml")


def element(line: str, more: str = ""):
    """The element of one line, in the circuit above."""
    text = GOOD.replace("element = [\n", f"element = [\n  {more}\n  {line},\n")
    return read(text).problems[0].circuit.elements[1 if more else 0]


def faults(text: str) -> tuple[str, ...]:
    with pytest.raises(RubricError) as caught:
        read(text)
    return caught.value.faults


# -- what is read --------------------------------------------------------------------------------


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
    assert (tau.text, tau.points, tau.marking.tolerance, tau.marking.unit_penalty) == ("Time constant τ", 2, 0.05, 0.5)
    assert (current.marking.tolerance, current.marking.unit_penalty) == (0.01, 0.5)
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
    assert found == Switch(name="S9", between=("c", "g"), closed_before=True, actions=((fmpq(0), False),))
    found = element('{name = "S9", kind = "switch", between = ["c", "g"], closes = ["0 s", "2 ms", "3 ms"]}')
    assert (found.closed_before, [closed for _, closed in found.actions]) == (False, [True, False, True])
    found = element('{name = "S9", kind = "switch", between = ["c", "g"], closes = "1 s", opens = ["0 s", "2 s"]}')
    assert found.closed_before is True
    assert found.actions == ((fmpq(0), False), (fmpq(1), True), (fmpq(2), False))


def test_changeover_switches():
    found = element(
        '{name = "S9", kind = "changeover switch", common = "c", from = "a", to = "g", at = ["0 s", "1 s"]}'
    )
    assert found == ChangeoverSwitch(name="S9", common="c", throw_before="a", actions=((fmpq(0), "g"), (fmpq(1), "a")))
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


WRONG = [
    ('kind = "resistor"', 'kind = "resister"', "problem 'valve', element 'R1'", "did you mean 'resistor'?"),
    ('value = "4k7"', 'valeu = "4k7"', "element 'R1'", "did you mean 'value'?"),
    ('"4k7"', '"4.7 kohn"', "element 'R1'", "did you mean '4.7 kohm'?"),
    ('"28 V"', '"28 A"', "element 'Vs'", "is a current; a voltage is needed"),
    ('"28 V"', '"E"', "element 'Vs'", "cannot be a symbol; choose another, as E0"),
    ('"4k7"', '"2*pi"', "element 'R1'", "has no exact value"),
    ('"4k7"', '"2 R"', "element 'R1'", "cannot be worked out"),
    ('"20 mH"', '"20 mF"', "element 'L1'", "is a capacitance; an inductance is needed"),
    ('"20 mH"', '"0 H"', "element 'L1'", "must be greater than zero"),
    ('"20 mH"', '"-3 H"', "element 'L1'", "must be greater than zero"),
    ('"20 mH"', "true", "element 'L1'", "not True"),
    ('["b", "c"]', '["b"]', "element 'R1'", "must name 2"),
    ('["b", "c"]', '["b", "b"]', "element 'R1'", "two different nodes"),
    ('name = "R1"', 'name = "R 1"', "element 'R 1'", "letters, digits and underscores"),
    ('name = "R1"', 'name = "L1"', "element 'L1'", "taken by another element"),
    ('name = "R1", ', "", "element number 3", "'name' is missing"),
    ('ground = "g"', 'ground = "h"', "problem 'valve'", "no element is connected there"),
    ('ground = "g"', "", "problem 'valve'", "'ground' is missing"),
    ('closes = "0 s"', 'shuts = "0 s"', "element 'S1'", "'closes' or 'opens' is missing"),
    ('closes = "0 s"', 'closes = ["2 s", "1 s"]', "element 'S1'", "order of time"),
    ('closes = "0 s"', 'closes = "0 V"', "element 'S1'", "is a voltage; a time is needed"),
    ('closes = "0 s"', "closes = []", "element 'S1'", "empty list"),
    ('closes = "0 s"', 'closes = ["0 s", "1 s"], opens = "2 s"', "element 'S1'", "in turns"),
    ('value = "28 V"', 'value = "28 V", step = {after = "1 V"}', "element 'Vs'", "exactly one of"),
    ('value = "28 V"', 'waveform = "28 cos(t) A"', "element 'Vs'", "must be a voltage throughout"),
    ('value = "28 V"', 'waveform = "28 cos("', "element 'Vs'", "cannot be"),
    ('find = "time constant"', 'find = "time konstant"', "item 'tau'", "did you mean 'time constant'?"),
    ('find = "time constant", ', "", "item 'tau'", "'find' is missing"),
    ('find = "time constant"', 'find = "time constant", level = "2 A"', "item 'tau'", "'level' means nothing for"),
    ('find = "time constant"', 'find = "value at", current = "L1"', "item 'tau'", "'value at' needs 'at'"),
    ('find = "time constant"', 'find = "initial value"', "item 'tau'", "needs a signal"),
    ('current = "L1"', 'current = "L2"', "item 'i'", "known here: L1, R1"),
    ('current = "L1"', 'voltage = ["b", "x"]', "item 'i'", "there is no node 'x'"),
    ('current = "L1"', 'charge = "L1"', "item 'i'", "that of a capacitor"),
    ('current = "L1"', 'current = "L1", voltage = "R1"', "item 'i'", "asks for one signal"),
    ("points = 2", "points = -2", "item 'tau'", "zero or greater"),
    (", points = 2", "", "item 'tau'", "'points' is missing"),
    ("points = 2", "points = 2, parts = {form = 2}", "item 'tau'", "'parts' means nothing"),
    ('{"initial value" = 1, "form" = 3}', '{"inital value" = 1}', "item 'i'", "did you mean 'initial value'?"),
    ('id = "tau"', 'id = "i"', "problem 'valve'", "used twice"),
    ('id = "tau"', 'id = "I-"', "problem 'valve'", "'i' is the same as 'I-' in an answer"),
    ('id = "tau"', 'id = "t a u"', "item 't a u'", "letters, digits"),
    ('tolerance = "5 %"', "tolerance = 5", "'marking'", "a share from 0 to 1"),
    ("unit_penalty", "unit_penalti", "'marking'", "did you mean 'unit_penalty'?"),
    ('title = "Valve driver"', 'titel = "Valve driver"', "valve.toml", "did you mean 'title'?"),
    ("tolerance = 0.01", "known_wrong = [{share = 0.5}]", "known_wrong number 1", "'answer' is missing"),
]  # fmt: skip


@pytest.mark.parametrize("good, bad, where, what", WRONG, ids=[f"{bad or good}"[:40] for good, bad, _, _ in WRONG])
def test_every_fault_says_where_and_what(good, bad, where, what):
    assert good in GOOD
    found = faults(GOOD.replace(good, bad, 1))
    assert any(where in fault and what in fault for fault in found), found
    assert all(fault.startswith("valve.toml") and fault.endswith(".") and "\n" not in fault for fault in found)


def test_one_slip_is_told_once():
    """A slip of one kind does not set off further faults."""
    for good, bad in [("resistor", "resister"), ('"4k7"', '"4.7 kohn"'), ('current = "L1"', 'current = "L2"')]:
        assert len(faults(GOOD.replace(good, bad, 1))) == 1


def test_all_faults_at_once():
    text = GOOD.replace('"resistor"', '"resister"').replace('"28 V"', '"28 A"').replace('"time constant"', '"tau"')
    found = faults(text)
    assert len(found) == 3


@pytest.mark.parametrize(
    "kind, more, what",
    [
        ("ideal op amp", 'non_inverting = "b", inverting = "c"', "'output' is missing"),
        ("coupled inductors", 'inductors = ["L1", "L7"], mutual = "1 mH"', "there is no inductor 'L7'"),
        ("coupled inductors", 'inductors = ["L1", "L1"], mutual = "1 mH"', "two different inductors"),
        ("coupled inductors", 'inductors = ["L1", "R1"], coefficient = 0.3', "there is no inductor 'R1'"),
        ("coupled inductors", 'inductors = ["L1", "L1"], coefficient = 1.3', "between -1 and 1"),
        ("coupled inductors", 'inductors = ["L1", "L1"]', "exactly one of 'mutual'"),
        ("changeover switch", 'common = "c", from = "a", at = "0 s"', "'to' is missing"),
        ("changeover switch", 'common = "c", from = "a", to = ["g", "b"], at = "0 s"', "one instant for each"),
        ("current-controlled current source", 'between = ["c", "g"], gain = 2, control = "R7"', "no element 'R7'"),
        ("current-controlled current source", 'between = ["c", "g"], gain = 2', "'control' is missing"),
        (
            "current-controlled current source",
            'between = ["c", "g"], gain = 2, control = ["b", "c"]',
            "must name one element",
        ),
        (
            "voltage-controlled current source",
            'between = ["c", "g"], gain = "2 ohm", control = "R1"',
            "a conductance is needed",
        ),
        ("voltage-controlled voltage source", 'between = ["c", "g"], gain = 2, control = ["b", "q"]', "no node 'q'"),
    ],
)
def test_faults_of_other_kinds(kind, more, what):
    line = f'  {{name = "X1", kind = "{kind}", {more}}},\n'
    found = faults(GOOD.replace("element = [\n", f"element = [\n{line}"))
    assert any("element 'X1'" in fault and what in fault for fault in found), found


@pytest.mark.parametrize(
    "content, what",
    [
        (b"title = ", "this is not TOML"),
        (b'title = "\xff"', "not UTF-8"),
        (b"", "'title' is missing"),
        (b'title = "x"', "there is no problem"),
        (b'title = "x"\nproblem = 3', "must be a list of tables"),
        (b'title = "x"\nproblem = [3]', "must be a list of tables"),
        (b'title = "x"\n[[problem]]\nid = "p"', "nothing is asked"),
        (b"a = " + b"[" * 5000, "this is not"),
        (b"a = " + b"9" * 5000, "this is not"),
        (b"title = 1979-05-27", "must be a text"),
        (b"x" * 3_000_000, "larger than"),
    ],
)
def test_files_that_are_no_rubric(content, what):
    with pytest.raises(RubricError) as caught:
        read_rubric(content, "x.toml")
    assert any(what in fault for fault in caught.value.faults), caught.value.faults


def test_files_that_are_not_there(tmp_path):
    with pytest.raises(RubricError, match="no such file"):
        load_rubric(tmp_path / "none.toml")
    with pytest.raises(RubricError, match="is a folder"):
        load_rubric(tmp_path)


def test_circuit_needed():
    found = faults('title = "x"\n[[problem]]\nid = "p"\nitem = [{id = "a", find = "time constant", points = 1}]')
    assert any("the problem has no elements" in fault for fault in found)
    found = faults(GOOD.split("element = [", maxsplit=1)[0] + "element = []\nitem" + GOOD.split("\nitem")[1])
    assert any("the problem has no elements" in fault for fault in found)


# -- whatever the content, no traceback ----------------------------------------------------------


def faults_of(work) -> tuple[str, ...]:
    """The sentences, where there are any; any other error passes through and fails the test."""
    try:
        work()
    except RubricError as error:
        return error.faults or ("",)
    return ()


def mutated(draw: st.DrawFn) -> str:
    """A rubric of ours with a few pieces cut out, doubled, exchanged or replaced by odd ones."""
    texts = [path.read_text(encoding="utf-8") for path in sorted(RUBRICS.glob("*.toml"))]
    text = draw(st.sampled_from([GOOD, *texts]))
    odd = st.sampled_from(
        ["", "[", "]", "{", "}", '"', "=", ",", "0", "-1", "1e999", "nan", "inf", "true", '""', "[]", "{}", '"∞"', '"1/0"', '"R"',
         '"t"', '"e^-t"', "1979-05-27", '"' + "9" * 70 + '"', "'''", "\n", "#", '"𝟙"', "[[1]]", '["a"]', '"u(t^2)"', '"10 V V"']
    )  # fmt: skip
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 12)))
        text = text[:start] + draw(odd | st.text(max_size=4)) + text[end:]
    return text


@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow])
@given(st.composite(mutated)())
def test_any_content_gives_a_rubric_or_sentences(text):
    found = faults_of(lambda: references(read(text)))
    assert all(fault and "\n" not in fault for fault in found)


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**6), 10**6) | st.text(max_size=8)
    | st.sampled_from(["V", "12 V", "4k7", "L1", "R1", "a", "g", "0 s", "1/0 V", "10 cos(t) V", "resistor", "expression"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["before", "after", "at", "form", "answer", "share"]), inner, max_size=3),
    max_leaves=4,
)  # fmt: skip


@settings(max_examples=200, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_any_value_under_any_key_gives_sentences(data):
    """TOML that is well formed, with values of the wrong kind anywhere."""
    import copy
    import tomllib

    from grader.rubric.files import tables_to_rubric

    tables = copy.deepcopy(
        tomllib.loads(
            data.draw(st.sampled_from([GOOD, *[p.read_text(encoding="utf-8") for p in sorted(RUBRICS.glob("*.toml"))]]))
        )
    )
    for _ in range(data.draw(st.integers(1, 3))):
        where = tables
        while True:
            keys = list(where) if isinstance(where, dict) else list(range(len(where)))
            if not keys:
                break
            key = data.draw(st.sampled_from(keys))
            inner = where[key]
            if isinstance(inner, (dict, list)) and inner and data.draw(st.booleans()):
                where = inner
                continue
            where[key] = data.draw(VALUES)
            break
    found = faults_of(lambda: references(tables_to_rubric(tables, "valve.toml", "0" * 64)))
    assert all(fault and "\n" not in fault for fault in found)
