"""What `grader explain` says is what the readers do: keys, defaults, examples, and what follows from what."""

import tomllib
from decimal import Decimal

import pytest

from grader.authoring.explain import FIND, KIND, MISTAKE, SETTING, TOPIC, answers, entries, explained, further
from grader.errors import UsageError
from grader.problem import settings
from grader.quantities import FINDS, asked
from grader.quantities.records import SIGNAL
from grader.rubric.circuits import read_circuit
from grader.rubric.elements import KINDS
from grader.rubric.files import read_rubric, tables_to_rubric
from grader.rubric.items import ITEM_KEYS
from grader.rubric.source_waveform import drive, letters
from grader.rubric.table import CheckedTable, Location
from grader.rubric.values import Values
from grader.values.dimension import CURRENT, VOLTAGE
from grader.values.scalar import ONE
from grader.values.waveform import constant
from tests.cli.running import run

BY_HAND = {
    # 10 V on 5 ohm: 2 A in the coil, which enter the source at its second node; it delivers 20 W. The coil starts with 0 A.
    "signal": {"coil": "2 A", "source": "−2 A", "taken": "−20 W", "drop": "0 V"},
    # V0 R/(2R + R)
    "value": {"end": "V0/3"},
    # tau = 2 ms: 10 V (1 - 1/e) = 6.321 V; then 0 V stand on 1 kohm.
    "waveform": {"peak": "6.321 V", "jump": "−6.321 mA"},
    # 12 V 4/6; (2 | 4) kohm 3 uF = 4 ms; then 4 kohm 3 uF alone.
    "switching": {"aim": "8 V", "tau1": "4 ms", "end": "0 V", "tau2": "12 ms"},
    # 30 V 2/3; (1 | 2) kohm 3 uF = 2 ms; 2 ms ln 2.
    "formulas in a rubric": {"end": "20 V", "tau": "2 ms", "half": "1.386 ms"},
    "problems without a circuit": {"held": "current", "short": "false", "slope": "400 A/s"},
}


def only(word):
    (entry,) = explained(word)
    return entry


@pytest.mark.parametrize("name", BY_HAND)
def test_examples_of_topics_have_the_answers_worked_out_by_hand(name):
    assert dict(answers(only(name).example)) == BY_HAND[name]


def test_every_topic_with_an_example_was_worked_out():
    assert {entry.name for entry in entries() if entry.group == TOPIC and entry.example} == set(BY_HAND)


def test_every_notation_of_the_waveform_topic_is_read():
    for text, _ in only("waveform").rows:
        names = {letter: constant(ONE) for letter in letters(text)}
        assert drive(text, CURRENT if text.endswith("A") or "A/s" in text else VOLTAGE, names)
    assert drive("25 t A", CURRENT, {}) == drive("25 A/s t u(t)", CURRENT, {})
    assert drive("12 + 5 u(1 - t) V", VOLTAGE, {}) == drive("17 - 5 u(t - 1) V", VOLTAGE, {})


@pytest.mark.parametrize("kind", KINDS)
def test_an_element_kind_has_the_keys_that_its_reader_asks_for(kind):
    entry = only(kind)
    assert entry.group == KIND
    content = read_list(entry.example)
    assert kind in {one["kind"] for one in content}
    place = Location(where="example")
    for one in content:
        table = CheckedTable(one, place)
        KINDS[one["kind"]](table, Values())
        if one["kind"] == kind:
            assert table._asked - {"name", "kind"} == {key for key, _ in entry.rows}


def read_list(lines):
    return tomllib.loads(f"element = [\n{lines}\n]", parse_float=Decimal)["element"]


@pytest.mark.parametrize("kind", KINDS)
def test_the_example_of_an_element_kind_is_read_without_a_fault(kind):
    content = {"element": read_list(only(kind).example)}
    nodes = {node for one in content["element"] for node in str(one.get("between") or one.get("primary") or "")}
    place = Location(where="example")
    read_circuit(CheckedTable(content | {"ground": "g" if "g" in nodes or "amp" in kind else "a"}, place), Values())
    assert not place.faults


@pytest.mark.parametrize("find", FINDS)
def test_a_find_tells_its_keys_and_its_example_has_the_answer_of_its_sample(find):
    (entry,) = (one for one in explained(find) if one.group == FIND)
    keys = {key for key, _ in entry.rows}
    assert keys == {*asked(find).needs, *asked(find).allows}
    assert all(key in (SIGNAL, *ITEM_KEYS) or key in dict(asked(find).keys) for key in keys)
    ((_, text),) = answers(entry.example)
    assert text
    (by,) = (said for label, said in further(entry) if label == "answered by")
    assert by


@pytest.mark.parametrize(
    "find, sources",
    [
        ("time constant", "resistance seen R: L/R"),
        ("half life", "time constant tau: tau*ln(2)"),
        ("damping ratio", "damping coefficient alpha, undamped natural frequency w0: alpha/w0"),
        ("expression", "initial value x0, final value xf, time constant tau: xf+(x0-xf)*e^(-(t-t1)/tau)"),
    ],
)
def test_what_follows_from_what(find, sources):
    assert ("follows from", sources) in [*further(only(find))]


def test_settings_tell_the_defaults_that_the_reader_gives():
    content = 'title = "x"\n[[problem]]\nid = "p"\nitem = [{id = "a", find = "stated value", key = "1 V", points = 1}]'
    marking = read_rubric(content.encode(), "x").problems[0].items[0].marking
    told = {entry.name: dict(entry.rows)["default"].strip('"') for entry in entries() if entry.group == SETTING}
    assert told == {one.name: str(getattr(marking, one.name)).lower() for one in settings()}


def test_the_words_of_a_setting_are_all_that_it_takes():
    from grader.errors import RubricError

    items = [{"id": "a", "find": "stated value", "key": "1 V", "points": 1}]
    problem = [{"id": "p", "item": items}]
    for setting in settings():
        for word in setting.words:
            tables_to_rubric({"title": "x", "marking": {setting.name: word}, "problem": problem}, "x", "")
        with pytest.raises(RubricError):
            tables_to_rubric({"title": "x", "marking": {setting.name: "no such word"}, "problem": problem}, "x", "")


def test_a_mistake_shows_on_an_example():
    rows = [text for label, text in further(only("damping-ratio-upside-down")) if label == "for example"]
    assert rows[0].startswith("Damping ratio ζ: 1.667 in place of 0.6")  # 5/3 for 3/5


@pytest.mark.nightly
def test_nearly_every_mistake_shows_on_a_sample_circuit():
    shown = [
        entry.name
        for entry in entries()
        if entry.group == MISTAKE and any(k == "for example" for k, _ in further(entry))
    ][:3]
    assert len(shown) == 3


def test_words_that_fit_several_or_none(capsys):
    assert {entry.group for entry in explained("element kinds")} == {KIND}
    assert {entry.group for entry in explained("item")} == {"item key"}
    assert {entry.name for entry in explained("step")} >= {"voltage source", "current source"}
    assert "known_wrong = [" in only("known_wrong").example
    assert {"stored energy", "energy dissipated", "energy delivered"} <= {entry.name for entry in explained("energy")}
    with pytest.raises(UsageError, match="did you mean 'time constant'"):
        explained("time constnat")
    status, out, _ = run("explain", capsys=capsys)
    assert status == 0
    assert all(entry.name in " ".join(out.split()) for entry in entries())


def test_one_entry_is_printed_with_keys_answer_and_example(capsys):
    _, out, _ = run("explain", "time", "to", "reach", capsys=capsys)
    assert "level         needed" in out
    assert "x1 = 34.66 ms" in out  # 50 ms ln 2: from 3 A to 1.5 A
