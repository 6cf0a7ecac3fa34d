"""Units and prefixes against the SI's own tables, and the slips that students make with them."""

import tomllib
from pathlib import Path

import pytest
from flint import fmpq

from grader.reading.reader import read
from grader.reading.tokens.units import look_up, look_up_prefix
from grader.reading.value.evaluate import evaluate
from grader.values import dimension as dim
from grader.values.dimension import PREFIXES, unit_symbol
from grader.values.scalar import rational

SI = tomllib.loads((Path(__file__).parents[1] / "reference" / "si.toml").read_text(encoding="utf-8"))


def test_prefixes_are_the_si_s():
    """All twenty-four prefixes, with their powers of ten (source in the reference table)."""
    assert SI["prefixes"]["exponents"] == PREFIXES


@pytest.mark.parametrize("name, symbol", SI["units"]["symbols"].items())
def test_unit_names_and_symbols(name, symbol):
    """Name, plural and symbol stand for the same unit (source in the reference table)."""
    for written in (symbol, name, name.capitalize(), f"{name}s"):
        (first, *_) = look_up(written)
        assert (first.symbol, first.scale, first.slip) == (symbol, 1, "")


@pytest.mark.parametrize("symbol", ["V", "A", "s", "Ω", "S", "F", "H", "W", "J", "C", "Wb"])
@pytest.mark.parametrize("prefix", "TGMkmμnp")
def test_prefixed_units(symbol, prefix):
    """A prefix multiplies by its power of ten."""
    meanings = {meaning.symbol: meaning for meaning in look_up(prefix + symbol)}
    assert meanings[prefix + symbol].scale == fmpq(10) ** SI["prefixes"]["exponents"][prefix]


@pytest.mark.parametrize("written", ["\u00b5A", "\u03bcA", "uA", "microampere", "microamps", "micro A", "micro-amps"])
def test_micro(written):
    """Either mu, a u, or the word."""
    quantity = evaluate(read(f"3 {written}")[0].tree)
    assert quantity.waveform.number == fmpq(3, 10**6)
    assert quantity.dimension == dim.CURRENT


@pytest.mark.parametrize("written", ["\u03a9", "\u2126", "ohm", "Ohms", "OHM", r"\Omega"])
def test_ohm(written):
    """The Greek letter, the ohm sign, or the word."""
    quantity = evaluate(read(f"4.7 k{written}" if not written.startswith("\\") else rf"4.7\,k{written}")[0].tree)
    assert quantity.waveform.number == 4700
    assert quantity.dimension == dim.RESISTANCE


@pytest.mark.parametrize("code, value", SI["letter_code"]["samples"].items())
def test_letter_code(code, value):
    """The letter stands for the decimal point (rule from memory, as the reference table says)."""
    assert evaluate(read(code)[0].tree).waveform.number == rational(value)


@pytest.mark.parametrize(
    "written, asked, symbols, slip",
    [
        ("ma", dim.CURRENT, ["mA"], "unit-letter-case"),
        ("MA", dim.CURRENT, ["mA", "MA"], "prefix-letter-case"),
        ("MV", None, ["mV", "MV"], "prefix-letter-case"),
        ("MΩ", dim.RESISTANCE, ["MΩ"], ""),
        ("Mohm", dim.RESISTANCE, ["MΩ"], ""),
        ("mohm", dim.RESISTANCE, ["mΩ"], ""),
        ("MH", dim.INDUCTANCE, ["mH", "MH"], "prefix-letter-case"),
        ("mS", dim.TIME, ["ms", "mS"], "unit-letter-case"),
        ("mS", dim.CONDUCTANCE, ["mS"], ""),
        ("S", dim.TIME, ["s", "S"], "unit-letter-case"),
        ("kW", dim.RESISTANCE, ["kΩ", "kW"], "ohm-sign-lost"),
        ("kW", dim.POWER, ["kW"], ""),
        ("mF", dim.CAPACITANCE, ["mF", "μF"], ""),
        ("KHZ", None, ["kHz"], "unit-letter-case"),
        ("kv", None, ["kV"], "unit-letter-case"),
    ],
)  # fmt: skip
def test_slips_are_ranked_by_what_is_asked(written, asked, symbols, slip):
    """A slip that fits the question comes before a literal unit that does not; each says which it is."""
    meanings = look_up(written, asked)
    assert [meaning.symbol for meaning in meanings] == symbols
    assert meanings[0].slip == slip


@pytest.mark.parametrize("word", ["bananas", "kk", "RC", "Vx", "mm Hg", "", "ZV", "qA"])
def test_what_is_no_unit(word):
    """Rontocoulombs and their like do not occur."""
    assert look_up(word) == ()


def test_lone_prefixes():
    """A prefix without its unit carries no dimension; m and M may be mistaken for each other."""
    assert [(m.symbol, m.dimension, m.slip) for m in look_up_prefix("M")] == [
        ("M", None, ""), ("m", None, "prefix-letter-case"),
    ]  # fmt: skip
    assert look_up_prefix("x") == ()


@pytest.mark.parametrize(
    "text, scale, symbol",
    [
        ("1 H/Ω", 1, "s"), ("1 Ω·F", 1, "s"), ("1 ohm farad", 1, "s"), ("1 V·s", 1, "Wb"), ("1 V/A", 1, "Ω"), ("1 A s", 1, "C"),
        ("1 C/V", 1, "F"), ("1 V s/A", 1, "H"), ("1 W s", 1, "J"), ("1 V A", 1, "W"), ("1 kΩ·μF", "1e-3", "s"), ("1 mH/kΩ", "1e-6", "s"),
        ("1 s^-1", 1, "1/s"), ("1 ms^-1", 1000, "1/s"), ("1 (ms)^-1", 1000, "1/s"), ("1/ms", 1000, "1/s"), ("1 kHz", 1000, "1/s"),
        ("1 cm²", "1e-4", "m^2"), ("1 cm", "1e-2", "m"), ("1 mm^2", "1e-6", "m^2"), ("1 Wb/A", 1, "H"), ("1 T m^2", 1, "Wb"),
        ("1 √(H·F)", 1, "s"), ("1/√(1 H * 1 F)", 1, "1/s"), ("1 min", 60, "s"), ("1 V^2/Ω", 1, "W"), ("1 A^2 Ω s", 1, "J"),
    ],
)  # fmt: skip
def test_products_of_units(text, scale, symbol):
    """Products, quotients, powers and roots of units."""
    quantity = evaluate(read(text)[0].tree)
    assert quantity.waveform.number == rational(str(scale))
    assert unit_symbol(quantity.dimension) == symbol


@pytest.mark.parametrize(
    "text",
    ["2.5e-5 As", "q = 25 µAs", "25 * 10^-6 As", "2.5e-5 As because i falls", "25 µC as i falls", "25 µC As i falls"],
)
def test_ampere_seconds_are_no_word(text):
    """``As`` right behind a number is a unit, ``as`` gives a reason."""
    (first, *_) = read(text, dimension=dim.CHARGE, names={"i": dim.CURRENT})
    found = evaluate(first.tree)
    assert (found.waveform.number, found.dimension) == (rational("2.5e-5"), dim.CHARGE)
