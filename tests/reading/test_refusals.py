"""What cannot be read gets its sentence: what, where, and what would help."""

import pytest

from grader.reading.limits import MAX_DIGITS, MAX_NESTING
from grader.reading.reader import Refusal, read
from grader.reading.refusals import table

SAMPLES = [(kind, text) for kind, row in table().items() for text in row["samples"]]


@pytest.mark.parametrize("kind, text", SAMPLES)
def test_samples(kind, text):
    """Every malformed sample of the table gets the sentence it stands under."""
    expects = kind.partition("-")[0] if kind.startswith("choice") else "roots" if kind == "made-into-roots" else "value"
    found = read(text, expects=expects, options=("rises", "falls", "stays"))
    assert isinstance(found, Refusal)
    assert found.kind == kind


@pytest.mark.parametrize("kind", table())
def test_sentences(kind):
    """A sentence begins with a capital and ends with a full stop; each kind has a sample or a bound behind it."""
    sentence = table()[kind]["sentence"]
    assert sentence[0].isupper()
    assert sentence.endswith(".")
    assert table()[kind]["samples"] or kind in {"too-long", "too-many-digits", "nested-too-deep"}


@pytest.mark.parametrize(
    "text, kind, place, quoted",
    [
        ("2.4 @ mA", "unknown-character", 4, "@"),
        ("2.4 bananas", "unknown-word", 4, "bananas"),
        ("2.4(1-e^-500t) mA )(", "ends-too-soon", None, ""),
        ("2.4 · @", "unknown-character", 6, "@"),
        ("e⁻⁵⁰⁰ᵗ @", "unknown-character", 7, "@"),
        (r"\frac{12}{5} @", "unknown-character", 13, "@"),
        ("2 * / 3", "unexpected", 4, "/ 3"),
        ("  2 cos", "function-empty", 4, "cos"),
        ("2.4 *", "ends-too-soon", 5, ""),
        ("3 + e^", "power-empty", 5, ""),
        ("9" * (MAX_DIGITS + 1), "too-many-digits", 0, ""),
        ("(" * (MAX_NESTING + 1) + "1", "nested-too-deep", MAX_NESTING, ""),
    ],
)  # fmt: skip
def test_places(text, kind, place, quoted):
    """The place is that of the character as typed, whatever glyphs came before it."""
    found = read(text, expects="expression")
    assert isinstance(found, Refusal)
    assert found.kind == kind
    if place is not None:
        assert found.place == place
    assert quoted in found.sentence


def test_whole_sentence():
    """Word for word."""
    found = read("2.4 bananas")
    assert isinstance(found, Refusal)
    assert found.sentence == (
        "The word 'bananas' at character 5 is no unit, function or name of this circuit; write the answer without it."
    )
