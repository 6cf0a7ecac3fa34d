"""Every notation of the table means what the table says."""

import cmath
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import sympy
from flint import fmpq
from sympy.parsing.sympy_parser import parse_expr

from grader.reading.reader import Reading, Refusal, read
from grader.reading.value.evaluate import evaluate
from grader.reading.value.roots import evaluate_roots
from grader.values import dimension as dim
from grader.values.dimension import Dimension, unit_symbol
from grader.values.scalar import rational, to_float
from grader.values.waveform import Waveform, constant, number_of

TABLE = tomllib.loads(Path(__file__).with_name("notations.toml").read_text(encoding="utf-8"))["form"]
INSTANTS = (0.0, 0.0004, 0.0017, 0.31)
KINDS = {
    "R": dim.RESISTANCE, "L": dim.INDUCTANCE, "C": dim.CAPACITANCE, "V": dim.VOLTAGE, "U": dim.VOLTAGE, "v": dim.VOLTAGE,
    "I": dim.CURRENT, "i": dim.CURRENT, "t": dim.TIME, "T": dim.TIME,
}  # fmt: skip


def names_of(row: dict[str, Any]) -> tuple[dict[str, Dimension | None], dict[str, Waveform]]:
    given = row.get("names", {})
    return (
        {name: KINDS.get(name[0]) for name in given},
        {name: constant(fmpq(value)) for name, value in given.items()},
    )


def asked(symbol: str | None) -> Dimension | None:
    if symbol is None:
        return None
    return next(dimension for dimension, own in dim.SYMBOLS.items() if own == symbol)


def readings_of(row: dict[str, Any]) -> tuple[Reading, ...]:
    kinds, _ = names_of(row)
    found = read(row["text"], expects=row.get("expects", "value"), dimension=asked(row.get("asks")), names=kinds)
    assert not isinstance(found, Refusal), found.sentence
    assert 1 <= len(found) <= 6
    return found


@cache
def meaning(text: str) -> tuple[complex, ...]:
    """Values at the instants; the text is the table's own, not a student's."""
    t = sympy.Symbol("t")
    expression = parse_expr(text, {"t": t})
    return tuple(complex(expression.subs(t, sympy.Float(instant, 30)).evalf(20)) for instant in INSTANTS)


def same(waveform: Waveform, text: str) -> bool:
    wanted = meaning(text)
    return all(
        cmath.isclose(waveform.value(instant), value, rel_tol=1e-11, abs_tol=1e-300)
        for instant, value in zip(INSTANTS, wanted, strict=True)
    )


def rows(key: str) -> list[Any]:
    return [pytest.param(row, id=row["text"]) for row in TABLE if key in row]


@pytest.mark.parametrize("row", rows("means"))
def test_first_reading(row: dict[str, Any]) -> None:
    """The most plausible reading has the value, the unit and the slips of the table."""
    first = readings_of(row)[0]
    quantity = evaluate(first.tree, names_of(row)[1])
    assert same(quantity.waveform, row["means"]), (first.text, first.notes)
    assert set(first.slips) == set(row.get("slips", ())), first.notes
    written = None if quantity.dimension is None else unit_symbol(quantity.dimension)
    assert written == row.get("unit"), first.text
    assert quantity.consistent
    if first.slips:
        assert first.notes


@pytest.mark.parametrize("row", [row for row in rows("also") if "means" in row.values[0]])
def test_other_readings(row: dict[str, Any]) -> None:
    """Competing meanings are kept."""
    values = names_of(row)[1]
    others = [evaluate(reading.tree, values).waveform for reading in readings_of(row)]
    for text in row["also"]:
        assert any(same(waveform, text) for waveform in others), text


@pytest.mark.parametrize("row", rows("roots"))
def test_roots(row: dict[str, Any]) -> None:
    """Roots are the pairs of the table, in the order written."""
    first = readings_of(row)[0]
    found = evaluate_roots(first.tree, names_of(row)[1])
    pairs = [tuple(to_float(number_of(part)) for part in root) for root in found.roots]
    wanted = [tuple(float(sympy.sympify(part)) for part in root) for root in row["roots"]]
    assert [x for pair in pairs for x in pair] == pytest.approx([x for pair in wanted for x in pair])
    assert (None if found.dimension is None else unit_symbol(found.dimension)) == row.get("unit")


@pytest.mark.parametrize("row", rows("others"))
def test_several_answers(row: dict[str, Any]) -> None:
    """Further answers in the same cell are kept in order."""
    first = readings_of(row)[0]
    values = [evaluate(tree).waveform for _, tree in first.others]
    assert len(values) == len(row["others"])
    for waveform, text in zip(values, row["others"], strict=True):
        assert waveform.number == rational(text)


@pytest.mark.parametrize("row", rows("means"))
def test_shown_text_reads_back(row: dict[str, Any]) -> None:
    """What is shown back can be typed again and means the same."""
    kinds, values = names_of(row)
    first = readings_of(row)[0]
    again = read(first.text, expects=row.get("expects", "value"), dimension=asked(row.get("asks")), names=kinds)
    assert not isinstance(again, Refusal), (first.text, again.sentence)
    before, after = evaluate(first.tree, values), evaluate(again[0].tree, values)
    assert after.dimension == before.dimension, first.text
    for instant in INSTANTS:
        assert after.waveform.value(instant) == pytest.approx(before.waveform.value(instant), rel=1e-12), first.text


@pytest.mark.parametrize("text", ["2 - 0,36e^(-5t) A", "-9,61+1,44·E^(-250t)+0,72·E^(-1750t) A", "4 exp -7.0E0*t A"])
def test_no_reading_takes_an_expression_to_pieces(text: str) -> None:
    """A comma inside a longer expression separates no values, and a power of ten inside a power is no e."""
    found = read(text, expects="expression", dimension=dim.CURRENT)
    assert not isinstance(found, Refusal)
    assert not any(reading.others for reading in found)
    values = {round(evaluate(reading.tree).waveform.value(0.0), 9) for reading in found}
    assert len(values) == 1


@pytest.mark.parametrize("text", ["6/0.05 A/s", "6 A/0.05 s"])
def test_a_unit_of_several_stands_behind_the_whole_fraction(text: str) -> None:
    """What is asked tells that A/s is the unit of the quotient and not of what is below the line."""
    found = read(text, dimension=dim.CURRENT.over(dim.TIME))
    assert not isinstance(found, Refusal)
    quantity = evaluate(found[0].tree)
    assert (quantity.waveform.value(), quantity.dimension) == (120, dim.CURRENT.over(dim.TIME))
