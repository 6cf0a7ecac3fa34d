"""Personal values: drawn from the range as written, the same at every run, and not to be had without the secret."""

import hashlib
from pathlib import Path

import pytest
from flint import fmpq
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.rubric.files import load_rubric
from grader.rubric.personal import choices, draw, is_personal, personal_problems, personal_rubric, ranges
from grader.rubric.references import references
from grader.values.dimension import RESISTANCE, VOLTAGE

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
