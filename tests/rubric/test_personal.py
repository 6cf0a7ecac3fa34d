"""Personal values: drawn from the range as written, the same at every run, and not to be had without the secret."""

import hashlib
from pathlib import Path

import pytest
from flint import fmpq
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from grader.errors import RubricError
from grader.rubric.files import load_rubric, read_rubric
from grader.rubric.personal import (
    choices,
    draw,
    is_personal,
    personal_problems,
    personal_rubric,
    ranges,
    with_values,
)
from grader.rubric.references import references
from grader.values.dimension import RESISTANCE, VOLTAGE
from grader.values.scalar import to_float
from grader.values.waveform import number_of

RUBRICS = Path(__file__).parents[2] / "rubrics"
PERSONAL = load_rubric(RUBRICS / "pump_priming.toml")
PLAIN = load_rubric(RUBRICS / "lock_valve.toml")

secrets = st.binary(min_size=32, max_size=32)
ids = st.text(min_size=1, max_size=12)


def values(rubric):
    return [problem.values for problem in rubric.problems]


def test_a_step_divides_the_range_from_its_lower_end():
    assert choices("12 V … 24 V, step 4 V", VOLTAGE) == (12, 16, 20, 24)
    assert choices("12 V ... 23 V, step 4 V", VOLTAGE) == (12, 16, 20)


def test_a_series_gives_its_preferred_values():
    """IEC 60063:2015, table of the E6 series: 1.0 1.5 2.2 3.3 4.7 6.8."""
    kilo = (fmpq(10), 15, 22, 33, 47, 68, 100)
    assert choices("1 kohm … 10 kohm, E6", RESISTANCE) == tuple(100 * value for value in kilo)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("12 V …", "is no range"),
        ("48 V … 12 V", "from a smaller to a larger"),
        ("0 V … 12 V", "greater than zero"),
        ("12 V … 24 V, step 0 V", "step must be greater than zero"),
        ("12 V … 24 V, E7", "no series E7"),
        ("1 V … 1000 V, step 0.1 V", "too many"),
        ("12 V … 13 V, step 4 V", "holds 1 values"),
        ("12 … 24 V", "needs its unit"),
    ],
)
def test_what_is_wrong_with_a_range_is_said(text, says):
    with pytest.raises(ValueError, match=says):
        choices(text, VOLTAGE)


def test_the_draw_is_a_keyed_hash():
    """RFC 2104: H(K ^ opad, H(K ^ ipad, text)), worked out here from its definition, key of 32 and block of 64 bytes."""
    key, labels = bytes(range(32)), ("S0001", "valve", "R1")
    text = b"".join(len(label).to_bytes(4) + label.encode() for label in labels)
    block = key + bytes(32)
    inner = hashlib.sha256(bytes(byte ^ 0x36 for byte in block) + text).digest()
    outer = hashlib.sha256(bytes(byte ^ 0x5C for byte in block) + inner).digest()
    assert draw(key, *labels) == int.from_bytes(outer)


@settings(max_examples=50)
@given(ids, secrets)
def test_every_value_lies_in_its_range_and_is_the_same_again(student, secret):
    own = personal_rubric(PERSONAL, student, secret)
    assert not is_personal(own)
    assert own == personal_rubric(PERSONAL, student, secret)
    for problem, mine in zip(PERSONAL.problems, own.problems, strict=True):
        for (name, text), (same, drawn) in zip(problem.values, mine.values, strict=True):
            assert name == same
            if (name, text) not in ranges(problem):
                assert drawn == text
                continue
            element = mine.circuit.element(name)
            value = element.drive.pieces[0][1].number if name == "Vs" else element.value
            assert value in choices(text, element.dimension)


def test_students_and_secrets_have_values_of_their_own():
    secret, other = b"a" * 32, b"b" * 32
    class_values = {str(values(personal_rubric(PERSONAL, f"S{number:04}", secret))) for number in range(50)}
    assert len(class_values) > 45, "ten thousand combinations: fifty students hardly share one"
    assert values(personal_rubric(PERSONAL, "S0001", secret)) != values(personal_rubric(PERSONAL, "S0001", other))
    digests = {personal_rubric(PERSONAL, id, secret).digest for id in ("S0001", "S0002")} | {PERSONAL.digest}
    assert len(digests) == 3


def test_a_rubric_without_ranges_is_left_as_it_is():
    assert personal_problems(PLAIN) == frozenset()
    assert personal_rubric(PLAIN, "S0001", b"a" * 32) is PLAIN


def test_the_sample_rubric_is_solved_for_a_class():
    for number in range(30):
        own = personal_rubric(PERSONAL, f"S{number:04}", b"c" * 32)
        found = {(one.problem, one.item): one for one in references(own)}
        source, _, series, wire, coil = own.problems[0].circuit.elements
        level = source.drive.pieces[0][1].number
        assert found["valve", "end"].answer.number == level / (series.value + wire.value)
        assert found["valve", "tau"].answer.number == coil.value / (series.value + wire.value)


FORMULAS = b"""
title = "Drill: a horn that the works charge" # invented
[[problem]]
id = "horn"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V ... 60 V, step 12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm ... 10 kohm, E6"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF"},
]
item = [
  {id = "late", find = "value at", voltage = "C1", at = "2*R1*C1", points = 1},
  {id = "level", find = "time to reach", voltage = "C1", level = "0.5*Vs", from = "R1*C1/10", points = 1},
  {id = "own", find = "time to reach", voltage = "C1", level = "0.5*Vs", points = 1, text = "When is half reached?"},
  {id = "passed", find = "charge passed", current = "C1", until = "R1*C1", points = 1},
  {id = "plain", find = "value at", voltage = "C1", at = "2 ms", points = 1},
]
[[problem]]
id = "design"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm ... 10 kohm, E6"},
  {name = "R2", kind = "resistor", between = ["c", "d"], value = "unknown"},
  {name = "C1", kind = "capacitor", between = ["d", "g"], value = "1 uF"},
]
item = [{id = "R2", find = "element value", of = "R2", points = 1, so_that = {find = "time constant", is = "3*R1*C1"}}]
"""


def drawn(toml, problem, **chosen):
    rubric = read_rubric(toml, "formulas.toml")
    return replace(rubric, problems=(with_values(rubric.problem(problem), chosen),))


def test_formulas_hold_for_everybodys_own_values():
    """By hand, with 24 V and 4.7 kohm: tau = 4.7 ms; at 2 tau 24(1 - e^-2) V; 12 V at tau ln 2; 24(1 - e^-1) uC in one tau."""
    own = drawn(FORMULAS, "horn", Vs=fmpq(24), R1=fmpq(4700))
    late, level, named, passed, plain = own.problems[0].items
    assert (late.at, level.level, level.start) == (fmpq(94, 10_000), 12, fmpq(47, 100_000))
    assert (named.level, passed.until, plain.at) == (12, fmpq(47, 10_000), fmpq(2, 1000))
    found = {one.item: to_float(number_of(one.answer)) for one in references(own)}
    assert found["late"] == pytest.approx(20.752, rel=1e-4)
    assert found["level"] == found["own"] == pytest.approx(3.2578e-3, rel=1e-4)
    assert found["passed"] == pytest.approx(15.171e-6, rel=1e-4)


def test_a_text_made_of_a_formula_follows_it_and_a_text_of_ones_own_stays():
    late, level, named, passed, plain = drawn(FORMULAS, "horn", Vs=fmpq(24), R1=fmpq(4700)).problems[0].items
    assert late.text.endswith("t = 9.4 ms")
    assert "reaches 12 V" in level.text
    assert "t = 4.7 ms" in passed.text
    assert named.text == "When is half reached?"
    assert plain.text.endswith("t = 2 ms")


def test_a_target_that_is_a_formula_is_each_students_own():
    """(R1 + R2) C1 = 3 R1 C1 where R2 = 2 R1: 9.4 kohm beside 4.7 kohm."""
    own = drawn(FORMULAS, "design", R1=fmpq(4700))
    (found,) = references(own)
    assert found.answer.number == 9400
    assert own.problems[0].circuit.element("R2").value == 9400
    assert "14.1 ms" in own.problems[0].items[0].text


def test_an_instant_that_these_values_do_not_make_exact_is_taken_to_many_digits():
    """sqrt(L1 C1) is 2 ms with 4 H and 1 uF, and 1.7320508 ms with 3 H."""
    toml = FORMULAS.replace(b'"R1", kind = "resistor"', b'"L1", kind = "inductor"').replace(
        b"1 kohm ... 10 kohm, E6", b"3 H ... 5 H, step 1 H"
    )
    toml = (
        toml[: toml.index(b'[[problem]]\nid = "design"')].replace(b"2*R1*C1", b"sqrt(L1*C1)").replace(b"R1*C1", b"1 ms")
    )
    assert read_rubric(toml, "formulas.toml").problems[0].items[0].at == fmpq(2, 1000)
    late = drawn(toml, "horn", Vs=fmpq(24), L1=fmpq(3)).problems[0].items[0]
    assert to_float(late.at) == pytest.approx(3**0.5 / 1000, rel=1e-12)


def test_a_formula_that_has_no_value_with_these_is_told():
    toml = FORMULAS.replace(b'"0.5*Vs", from', b'"Vs*1000/(R1 - 4700)", from')
    with pytest.raises(RubricError, match="'horn', item 'level': 'level'"):
        drawn(toml, "horn", R1=fmpq(4700))
