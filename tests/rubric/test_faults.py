"""Rubrics that are wrong: one sentence for each fault, whatever the file holds."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from grader.errors import RubricError
from grader.rubric.files import load_rubric, read_rubric
from grader.rubric.references import references
from tests.rubric.valve import GOOD, RUBRICS, faults, read

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
    ('id = "tau"', 'id = "I"', "problem 'valve'", "'i' is the same as 'I' in an answer, where capitals"),
    ('id = "tau"', 'id = "I-"', "problem 'valve'", "'i' is the same as 'I-' in an answer"),
    ('id = "tau"', 'id = "t a u"', "item 't a u'", "letters, digits"),
    ('tolerance = "5 %"', "tolerance = 5", "'marking'", "a share from 0 to 1"),
    ("unit_costs", "unit_cotss", "'marking'", "did you mean 'unit_costs'?"),
    ("unit_costs", "unit_penalty", "'marking'", "'unit_penalty' is called 'unit_costs' now"),
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
        (b"title = ", "line 1: a value is missing"),
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


def test_a_key_that_says_nothing_is_missing():
    import tomllib

    from grader.rubric.files import tables_to_rubric

    tables = tomllib.loads((RUBRICS / "harbour_bell.toml").read_text(encoding="utf-8"))
    tables["problem"][0]["item"][0]["so_that"] = None
    found = faults_of(lambda: tables_to_rubric(tables, "bell.toml", "0" * 64))
    assert any("'element value' needs 'so_that'" in fault for fault in found)
