"""The unit in its own cell, blank marks, spreadsheet damage, dates."""

import pytest

from grader.reading.reader import Refusal, read
from grader.reading.text.cell import texts_before_date
from grader.reading.value.evaluate import evaluate
from grader.values import dimension as dim
from grader.values.dimension import unit_symbol
from grader.values.scalar import to_float


@pytest.mark.parametrize(
    "text, unit, asked, value, symbol",
    [
        ("2.4", "mA", dim.CURRENT, 0.0024, "A"), ("2.4", "[mA]", dim.CURRENT, 0.0024, "A"), ("2.4", "in mA", dim.CURRENT, 0.0024, "A"),
        ("2.4", "milliamps", dim.CURRENT, 0.0024, "A"), ("2.4m", "A", dim.CURRENT, 0.0024, "A"), ("500", "1/s", dim.RATE, 500, "1/s"),
        ("500", "s^-1", dim.RATE, 500, "1/s"), ("500", "rad/s", dim.RATE, 500, "1/s"), ("20", "V/s", None, 20, "V/s"),
        ("2.4 mA", "A", dim.CURRENT, 0.0024, "A"), ("2.4 mA", "mA", dim.CURRENT, 0.0024, "A"), ("2.4", "", dim.CURRENT, 2.4, None),
        ("2.4", "-", dim.CURRENT, 2.4, None), ("4.7", "kΩ", dim.RESISTANCE, 4700, "Ω"), ("2", "ma", dim.CURRENT, 0.002, "A"),
        ("-50 + 20", "V", dim.VOLTAGE, -30, "V"),
    ],
)  # fmt: skip
def test_unit_cell(text, unit, asked, value, symbol):
    """It holds where the answer carries none of its own."""
    quantity = evaluate(read(text, unit=unit, dimension=asked)[0].tree)
    assert to_float(quantity.waveform.number) == pytest.approx(value, rel=1e-15)
    assert (None if quantity.dimension is None else unit_symbol(quantity.dimension)) == symbol


def test_cell_and_answer_disagree():
    """The answer's own unit counts, and the reading says so."""
    first = read("2.4 mA", unit="A", dimension=dim.CURRENT)[0]
    assert any("left aside" in note for note in first.notes)


def test_a_number_in_base_units_in_a_column_with_a_prefix():
    """0.002 below 'ms' may be seconds; kept as a second reading that assumes a slip."""
    first, second = read("0.002", unit="ms", dimension=dim.TIME)
    assert to_float(evaluate(first.tree).waveform.number) == 2e-6
    assert to_float(evaluate(second.tree).waveform.number) == 0.002
    assert second.slips == ("unit-cell-not-used",)


def test_unreadable_cell():
    """A cell with anything else is remarked upon."""
    first = read("2.4", unit="see below", dimension=dim.CURRENT)[0]
    assert first.slips == ("unit-cell-unreadable",)
    assert evaluate(first.tree).dimension is None


def test_unit_cell_for_an_expression():
    """The whole expression is in it."""
    quantity = evaluate(read("2 - 2e^-5t", unit="mA", expects="expression")[0].tree)
    assert quantity.waveform.limit().number == evaluate(read("2 mA")[0].tree).waveform.number


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "-",
        "--",
        "?",
        "??",
        "n/a",
        "N/A",
        "x",
        "idk",
        "...",
        "tbd",
        "no idea",
        "\u00a0",
        "\t",
        "—",
        "/",
        "unknown",
    ],
)
@pytest.mark.parametrize("expects", ["value", "expression", "roots", "choice"])
def test_no_answer(text, expects):
    """Marks that say that nothing was answered."""
    found = read(text, expects=expects)
    assert isinstance(found, Refusal)
    assert found.kind == "blank"


@pytest.mark.parametrize("text", ["0", "0 V", "-0", "zero"])
def test_nought_is_an_answer(text):
    """0 is a value."""
    assert not isinstance(read(text), Refusal)


@pytest.mark.parametrize("text", ["#NAME?", "#VALUE!", "#DIV/0!", "#REF!", "#N/A", "#NUM!", "#WERT!", "########"])
def test_spreadsheet_errors(text):
    """The sentence says what to do about it."""
    found = read(text)
    assert isinstance(found, Refusal)
    assert found.kind == "spreadsheet-error"
    assert "apostrophe" in found.sentence


@pytest.mark.parametrize(
    "text, typed",
    [
        ("1-Feb", "1/2"), ("01.Feb", "1.2"), ("2-Jan", "1/2"), ("Feb-01", "1/2"), ("2024-02-01 00:00:00", "1/2"), ("2024-02-01", "1.2"),
        ("1. Februar", "1.2"), ("3-Apr-24", "3/4"),
    ],
)  # fmt: skip
def test_dates(text, typed):
    """What may have been typed before a spreadsheet made a date of it."""
    assert typed in texts_before_date(text)
    kinds = [evaluate(reading.tree).waveform for reading in read(text)]
    assert evaluate(read(typed)[0].tree).waveform in kinds
    assert all("spreadsheet-date" in reading.slips for reading in read(text))


@pytest.mark.parametrize("text", ["2.4", "1-2", "march", "12 V", "2024", "5 mA", "2024-25", "1-2-3", "may 500"])
def test_no_dates(text):
    """Anything else is left alone."""
    assert texts_before_date(text) == ()


@pytest.mark.parametrize("text", ["0.6 -", "0.6 –", "0.6 [-]", "0.6 (-)", "zeta = 0.6 -", "0.6"])
def test_a_dash_in_the_place_of_a_unit_is_none(text):
    (first, *_) = read(text, dimension=dim.NUMBER, names={"zeta": dim.NUMBER})
    assert to_float(evaluate(first.tree).waveform.number) == pytest.approx(0.6)
    assert isinstance(read("0.6 -", dimension=dim.CURRENT), Refusal)
