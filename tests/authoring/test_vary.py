"""Proposals of other values: within their ranges, clean, as sound as the original, and written so that they read again."""

import re
import tomllib
from decimal import Decimal
from fractions import Fraction
from itertools import combinations
from pathlib import Path

import pytest
from flint import fmpq
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from grader.authoring import vary
from grader.authoring.draws import FINE
from grader.authoring.letters import Lettered
from grader.authoring.vary import proposals
from grader.authoring.written import left_in_texts, written_problem, written_rubric
from grader.errors import UsageError
from grader.marking.key import build_key
from grader.marking.vetting import check_keys
from grader.mistakes.catalogue import catalogue
from grader.mistakes.numeric_form import relative_deviation
from grader.mistakes.records import REPORTED
from grader.quantities.preferred import SERIES
from grader.rubric.files import load_rubric, load_tables, read_rubric
from grader.rubric.personal import with_values
from grader.rubric.soundness import soundness
from grader.rubric.variation import near_values
from tests.authoring.lamp import TOML, TWICE, few_digits, proposed, value
from tests.cli.running import run

RUBRICS = sorted((Path(__file__).parents[2] / "rubrics").glob("*.toml"))


def test_proposals_are_within_their_ranges_preferred_and_clean():
    """Of no range: half to twice the own value, of E24; a range with a step: its values."""
    for one in proposed(ranges={"Vs": "10 V … 40 V, step 10 V"}):
        values = {name: value(one.problem, name) for name in ("Vs", "R1", "R2", "C1")}
        assert values["Vs"] in {10, 20, 30, 40}
        for name, own in (("R1", 2000), ("R2", 4000), ("C1", Fraction(3, 10**6))):
            assert own / 2 <= values[name] <= own * 2
            digits = values[name]
            while digits < 10:
                digits *= 10
            while digits >= 100:
                digits /= 10
            assert digits in SERIES[24]
        end = values["Vs"] * values["R2"] / (values["R1"] + values["R2"])
        tau = values["C1"] * values["R1"] * values["R2"] / (values["R1"] + values["R2"])
        assert all(few_digits(answer) for answer in (end, tau))
        assert dict(one.answers)["word"] == "rises"


def test_a_proposal_reads_again_vets_clean_and_its_texts_name_the_new_values():
    (one,) = proposed(count=1)
    text = written_rubric(tomllib.loads(TOML, parse_float=Decimal), [one.tables])
    rubric = read_rubric(text.encode(), "again.toml")
    assert not soundness(rubric)
    assert not check_keys(build_key(rubric))
    values = dict(one.problem.values)
    assert rubric.problems[0].text == f"A {values['Vs']} lamp behind {values['R1']}; 12 Volunteers watch."
    (end, tau, word) = rubric.problems[0].items
    assert (end.key, tau.key, word.key) == tuple(text for _, text in one.answers)
    assert end.accept == ()  # held for the old values


def test_both_sides_of_a_step_are_reworded_and_a_value_left_in_a_text_is_told():
    """3 kohm, which both R1 and R3 had, may mean either: it stays, and is told once none has it."""
    stepped = TOML.replace('value = "12 V"', 'step = {before = "12 V", after = "6 V"}').replace("2 kohm", "3 kohm")
    stepped = (
        stepped.replace("12 Volunteers watch", "it falls to 6 V").replace("4 kohm", "3 kohm").replace("4 ms", "4.5 ms")
    )
    tables = tomllib.loads(stepped.replace("8 V", "3 V").replace("8000", "3000"), parse_float=Decimal)
    (own,) = tables["problem"]
    (problem,) = read_rubric(written_rubric(tables, [own]).encode(), "lamp.toml").problems
    values = {"Vs": fmpq(24), "R1": fmpq(1000), "R2": fmpq(2000)}
    varied = with_values(problem, values)
    changed = written_problem(own, problem, varied, "next")
    assert changed["element"][0]["step"] == {"before": "24 V", "after": "12 V"}
    assert changed["text"] == "A 24 V lamp behind 3 kohm; it falls to 12 V."
    assert list(left_in_texts(problem, varied, changed)) == [("text", "3 kohm")]
    del values["R2"]
    varied = with_values(problem, values)
    assert not list(left_in_texts(problem, varied, written_problem(own, problem, varied, "next")))


def test_a_level_stays_as_it_is_and_so_does_the_text_that_names_it():
    """The source has 24 V in place of 12 V; the level of 12 V is a value of its own."""
    half = '{id = "half", find = "time to reach", voltage = "C1", level = "12 V", text = "When does it reach 12 V?", points = 1},'
    toml = TOML.replace("item = [", f"item = [{half}").replace("A 12 V lamp", "A 12.0V lamp")
    (own,) = tomllib.loads(toml, parse_float=Decimal)["problem"]
    (problem,) = read_rubric(toml.encode(), "lamp.toml").problems
    changed = written_problem(own, problem, with_values(problem, {"Vs": fmpq(24)}), "next")
    assert changed["text"].startswith("A 24 V lamp behind 2 kohm")
    assert (changed["item"][0]["text"], changed["item"][0]["level"]) == ("When does it reach 12 V?", "12 V")


@pytest.mark.parametrize("path", RUBRICS, ids=lambda path: path.stem)
def test_what_letters_leave_open_is_left_out_in_any_problem(path):
    for problem in load_rubric(path).problems:
        names = [name for name, values in near_values(problem, FINE) if values] if problem.circuit else []
        if names:
            Lettered(problem, names)


def test_a_list_of_instants_is_kept_with_its_keys():
    toml = TOML.replace(
        "item = [", 'item = [\n  {id = "curve", find = "value at", voltage = "C1", at = ["1 ms", "2 ms"], points = 2},'
    )
    (one,) = proposed(toml, count=1)
    assert [id for id, _ in one.answers] == ["curve-1", "curve-2", "end", "tau", "word"]
    assert one.tables["item"][0]["key"] == [dict(one.answers)[id] for id in ("curve-1", "curve-2")]
    assert one.tables["item"][2]["key"] == dict(one.answers)["tau"]


def test_the_same_call_gives_the_same_proposals_and_another_seed_others():
    assert proposed(count=1) == proposed(count=1)
    assert proposed(count=1, seed=1)[0].problem.values != proposed(count=1)[0].problem.values


def test_what_a_person_marks_gets_no_key_and_a_few_elements_are_searched_whole():
    """Three elements of twelve values at most are fewer sets than are drawn: no set takes another one's place."""
    toml = """
title = "Ring"
[[problem]]
id = "ring"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "24 u(t) V"},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "13 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "0.1 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "160 uF"},
]
item = [
  {id = "alpha", find = "damping coefficient", points = 1, key = "R1/(2*L1)"},
  {id = "v", find = "expression", voltage = "C1", points = 4},
  {id = "why", find = "explanation", text = "Why does it rise above 24 V?", points = 2},
]
"""
    found = proposed(toml, "ring", count=3)
    assert len(found) == 3
    for one in found:
        (_, _, why) = one.problem.items
        assert why.key is None


def test_the_damping_type_stays():
    """omega0 = 1/sqrt(L C) over alpha = R/(2L): R^2 C < 4 L, ringing."""
    toml = """
title = "Ring"
[[problem]]
id = "ring"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {after = "10 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "12 ohm"},
  {name = "L1", kind = "inductor", between = ["b", "c"], value = "1 H"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "10 mF"},
]
item = [{id = "alpha", find = "damping coefficient", points = 1}, {id = "w", find = "damped natural frequency", points = 1}]
"""
    for one in proposed(toml, "ring", count=1):
        resistance, inductance, capacitance = (value(one.problem, name) for name in ("R1", "L1", "C1"))
        assert resistance**2 * capacitance < 4 * inductance
        (source, *_) = one.tables["element"]
        assert set(source["step"]) == {"after"}


@pytest.mark.parametrize(
    "ranges, told", [({"Q": "1 V … 2 V"}, "those with one: Vs, R1, R2, C1"), ({"Vs": "5 V"}, "is no range")]
)
def test_a_wrong_range_is_told(ranges, told):
    with pytest.raises(UsageError, match=told):
        proposed(ranges=ranges)


def test_mistakes_whose_answers_have_vanished_do_not_meet():
    """A decay from zero says 0 V, and 18(1 - e^-1) = 11.378 V with a wrong prefix 11.378 nV: of 18 V both are nothing."""
    key = build_key(read_rubric(TWICE.encode(), "p.toml"))
    assert set(vary._too_near(key, "p", "end")) == {("sign-turned", "start-sign-turned")}


def test_letters_cannot_be_varied():
    toml = TOML
    for size in ("12 V", "2 kohm", "4 kohm", "3 uF"):
        toml = toml.replace(f'value = "{size}"', f'value = "{size[-1]}{size[0]}x"')
    toml = toml.replace(', key = "8 V", accept = "8000 mV"', "").replace(', key = "4 ms"', "")
    with pytest.raises(UsageError, match="no plain values"):
        proposed(toml)


@pytest.mark.parametrize("path", RUBRICS, ids=lambda path: path.name)
def test_a_rubric_written_out_reads_as_it_was(path):
    tables = load_tables(path)
    again = tomllib.loads(written_rubric(tables, tables["problem"]), parse_float=Decimal)
    assert again == tables
    assert (
        load_rubric(path).problems
        == read_rubric(written_rubric(tables, tables["problem"]).encode(), path.name).problems
    )


def test_from_the_call_to_the_file(tmp_path, capsys):
    path, out = tmp_path / "lamp.toml", tmp_path / "next.toml"
    path.write_text(TOML, encoding="utf-8")
    status, said, told = run("vary", str(path), "lamp", "-o", str(out), "--count", "1", capsys=capsys)
    assert status == 0
    assert "Looking for values for problem 'lamp'" in told
    assert "Sound sets of values so far: 1." in told
    assert len(set(told.splitlines())) == len(told.splitlines())
    assert "were left out: end." in said
    assert "Not clean" not in said
    assert "look whether they are still true: word." in said
    # 12343 and 12347 are primes, which no sum of such resistances cancels.
    narrow = [
        "vary",
        str(path),
        "lamp",
        "-o",
        str(out),
        "--range",
        "Vs=12.343 V … 12.347 V, step 0.004 V",
        "--count",
        "1",
    ]
    assert "Not clean: " in run(*narrow, capsys=capsys)[1]
    assert "lamp_1: Vs = " in said
    status, said, _ = run("vet", str(out), capsys=capsys)
    assert status == 0
    assert "sound" in said
    status, _, told = run("vary", str(path), "lamp", "-o", str(path), capsys=capsys)
    assert status == 2
    assert "left as it is" in told
    assert path.read_text(encoding="utf-8") == TOML


def test_a_level_that_no_text_names_is_told(tmp_path, capsys):
    """Half of what C1 ends at, 4 V here, is another voltage with other values."""
    half = '{id = "half", find = "time to reach", voltage = "C1", level = "4 V", text = "When is half reached?", points = 1},'
    path, out = tmp_path / "lamp.toml", tmp_path / "next.toml"
    path.write_text(TOML.replace("item = [", f"item = [{half}"), encoding="utf-8")
    said = run("vary", str(path), "lamp", "-o", str(out), "--count", "1", capsys=capsys)[1]
    assert "look whether it is still meant: half." in said


def meeting(rubric):
    """Pairs of common mistakes whose wrong answers to an item of the first problem lie within the tolerance, and all pairs."""
    problem, key = rubric.problems[0], build_key(rubric)
    near, seen = set(), set()
    for item in problem.items:
        table = key.diagnoser.tables.get((problem.id, item.id))
        rows = [row for row in table.rows if catalogue()[row.id].prior >= REPORTED] if table else []
        for one, other in combinations(rows, 2):
            if one.id != other.id:
                pair = (item.id, *sorted((one.id, other.id)))
                seen.add(pair)
                if relative_deviation(one.form, other.form, table.tolerance, table.scale) <= 1:
                    near.add(pair)
    return near, seen


@settings(max_examples=4, deadline=None)
@given(seed=st.integers(0, 10**6), most=st.sampled_from([20, 60]))
def test_mistakes_that_other_values_tell_apart_are_apart_in_every_proposal(seed, most):
    """What two proposals of one call, or one and the original, tell apart stays apart in each of them."""
    try:
        found = proposed(ranges={"Vs": f"10 V … {most} V, step 10 V"}, seed=seed)
    except UsageError:  # said where none are found, which the test below holds
        assume(False)
    rubrics = [TOML, *(written_rubric(tomllib.loads(TOML, parse_float=Decimal), [one.tables]) for one in found)]
    before, *after = (meeting(read_rubric(text.encode(), "lamp.toml")) for text in rubrics)
    apart = set().union(*(seen - near for near, seen in (before, *after)))
    assert not any(near & apart for near, _ in after)


def test_where_the_ranges_let_mistakes_meet_it_is_said_and_nothing_proposed(monkeypatch):
    monkeypatch.setattr(vary, "_met", lambda _, pool: [frozenset({("end", "prefix-slip", "rest-assumed")})] * len(pool))
    with pytest.raises(UsageError, match=r"within the tolerance of each other\. Give wider ranges"):
        proposed(count=1)


LISTED = """
title = "Foghorn valve (invented)"
[[problem]]
id = "valve"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "120 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "600 mH"},
]
item = [
  {id = "end", find = "final value", current = "L1", points = 1},
  ITEM
]
"""


def of_text(text):
    return read_rubric(text.encode(), "valve.toml"), tomllib.loads(text)


def test_every_instant_of_a_list_keeps_a_key_of_its_own():
    at = '{id = "at", find = "value at", current = "L1", at = ["5 ms", "10 ms"], points = 2, key = ["0.1264 A", "0.1729 A"]},'
    rubric, tables = of_text(LISTED.replace("ITEM", at))
    (found,) = proposals(rubric, tables, "valve", {}, count=1, seed=1)
    answers = dict(found.answers)
    (item,) = [one for one in found.tables["item"] if one["id"] == "at"]
    assert item["key"] == [answers["at-1"], answers["at-2"]]


def test_what_is_in_the_way_of_other_values_is_named():
    """With no source above 6 V the current never reaches 0.18 A; no more sets are in the way than were looked at."""
    level = '{id = "when", find = "time to reach", current = "L1", level = "0.18 A", points = 1},'
    rubric, tables = of_text(LISTED.replace("ITEM", level))
    with pytest.raises(UsageError, match="there is no answer to 'when'") as told:
        proposals(
            rubric, tables, "valve", {"Vs": "1 V … 6 V, step 1 V", "R1": "100 ohm … 200 ohm, E12"}, count=1, seed=1
        )
    every, *some = map(int, re.findall(r"(?<=the )\d+(?= sets)|(?<=\()\d+(?=\))", str(told.value)))
    assert sum(some) == every
