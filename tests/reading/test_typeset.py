"""Readings, values and waveforms on paper: text that reads back, MathML that browsers know."""

import tomllib
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from flint import fmpq

from grader.reading.reader import read
from grader.reading.render.typeset import equation_mathml, mathml, tree_text
from grader.reading.render.waveform_tree import answer_tree, value_tree, waveform_tree
from grader.reading.tree import Integral, Name
from grader.values import dimension as dim
from grader.values.scalar import rational, sqrt
from grader.values.symbolic import Symbolic
from grader.values.term import Term
from grader.values.waveform import Waveform, constant

TABLE = tomllib.loads(Path(__file__).with_name("notations.toml").read_text(encoding="utf-8"))["form"]
CORE = {"math", "mrow", "mi", "mn", "mo", "mtext", "mspace", "mfrac", "msup", "msub", "msubsup", "msqrt"}
"""Elements of W3C MathML Core that are used."""
CHILDREN = {"mfrac": 2, "msup": 2, "msub": 2, "msubsup": 3}


def parsed(text: str) -> ET.Element:
    root = ET.fromstring(text)
    for element in root.iter():
        assert element.tag in CORE
        if element.tag in CHILDREN:
            assert len(element) == CHILDREN[element.tag], text
        if element.tag in {"mi", "mn", "mo", "mtext"}:
            assert element.text
            assert len(element) == 0
    return root


@pytest.mark.parametrize("row", TABLE[::3], ids=lambda row: row["text"])
def test_every_reading_is_well_formed(row):
    """Each notation's reading is MathML Core with the right number of parts."""
    names = dict.fromkeys(row.get("names", {}))
    for reading in read(row["text"], expects=row.get("expects", "value"), names=names):
        parsed(reading.mathml)


@pytest.mark.parametrize(
    "text, tags",
    [
        ("12/5 mA", {"mfrac"}), ("e^(-t/RC)", {"msup"}), ("v_C", {"msub"}), ("√2", {"msqrt"}), ("2.4E-3", {"msup"}),
        ("R1", {"msub"}), ("5 mA", {"mspace"}),
    ],
)  # fmt: skip
def test_structure(text, tags):
    """Fractions have a line, powers are raised, subscripts lowered."""
    root = parsed(read(text, expects="expression", names={"R": None, "C": None, "v_C": None, "R1": None})[0].mathml)
    assert tags <= {element.tag for element in root.iter()}


def test_units_are_upright():
    """A one-letter unit would be slanted otherwise."""
    root = parsed(read("5 V")[0].mathml)
    (unit,) = [element for element in root.iter("mi") if element.text == "V"]
    assert unit.get("mathvariant") == "normal"


def test_what_a_student_typed_is_escaped():
    """A name can hold no markup."""
    assert "<script" not in mathml(read("x_{<script>}=5; x_{<script>}")[0].tree)


def line(waveform: Waveform, dimension: dim.Dimension, start: fmpq | None = None) -> str:
    return tree_text(waveform_tree(waveform, dimension, start))


W = fmpq


@pytest.mark.parametrize(
    "terms, dimension, start, text",
    [
        ([Term(W(24, 10**4)), Term(W(-24, 10**4), rate=W(-500))], dim.CURRENT, None, "2.4 − 2.4e^(−500t) mA"),
        ([Term(W(-24, 10**4), rate=W(-500)), Term(W(24, 10**4))], dim.CURRENT, None, "2.4 − 2.4e^(−500t) mA"),
        ([Term(W(5))], dim.VOLTAGE, None, "5 V"),
        ([], dim.VOLTAGE, None, "0 V"),
        ([Term(W(1), rate=W(-1))], dim.NUMBER, None, "e^(−t)"),
        ([Term(W(-1), rate=W(-2)), Term(W(1), rate=W(-1))], dim.VOLTAGE, None, "e^(−t) − e^(−2t) V"),
        ([Term(W(3), W(-4), rate=W(-50), frequency=W(120))], dim.VOLTAGE, None, "3e^(−50t)·cos(120t) − 4e^(−50t)·sin(120t) V"),
        ([Term(W(2), power=1, rate=W(-5))], dim.VOLTAGE, None, "2t·e^(−5t) V"),
        ([Term(W(1, 3)), Term(W(2, 3), rate=W(-1000, 3))], dim.VOLTAGE, None, "333.3 + 666.7e^(−333.3t) mV"),
        ([Term(W(5), rate=W(-500), offset=W(1))], dim.VOLTAGE, W(2, 1000), "5e^(−500(t − 2 ms)) V"),
        ([Term(W(10)), Term(W(1, 10**15), rate=W(-3))], dim.VOLTAGE, None, "10 V"),
        ([Term(sqrt(W(2)))], dim.CURRENT, None, "1.414 A"),
    ],
)  # fmt: skip
def test_waveforms(terms, dimension, start, text):
    """The constant first, then from the slowest to the fastest, one unit for all, rounded."""
    waveform = Waveform.of(terms)
    assert line(waveform, dimension, start) == text
    for piece in equation_mathml([waveform_tree(waveform, dimension, start)]):
        parsed(piece)


def test_symbols_are_written_exactly():
    """Values with letters are not rounded."""
    names = ("L", "R", "V")
    letter = {name: Symbolic.symbol(name, names) for name in names}
    final = letter["V"] / letter["R"]
    waveform = Waveform.of([Term(final), Term(-final, rate=-letter["R"] / letter["L"])])
    assert line(waveform, dim.CURRENT) == "V/R − (V/R)·e^(−R·t/L)"
    parsed(mathml(waveform_tree(waveform, dim.CURRENT)))
    assert line(constant(sqrt(letter["R"] / letter["L"])), dim.NUMBER) == "√(R/L)"
    assert line(constant(1 / sqrt(letter["R"] * letter["L"])), dim.NUMBER) == "1/√(L·R)"
    assert line(constant(letter["R"] * W(2, 3)), dim.NUMBER) == "2·R/3"
    assert line(constant(letter["R"] * W(69314718055994530941, 10**20)), dim.NUMBER) == "0.6931·R"


@pytest.mark.parametrize(
    "value, text", [(0.0024, "2.4mA"), (0.0, "0A"), (-12.5, "−12.5A"), (1.23456e-9, "1.235nA"), (5e7, "50MA")]
)
def test_values(value, text):
    """A value with the prefix that suits it."""
    assert "".join(parsed(mathml(value_tree(value, dim.CURRENT))).itertext()) == text


def test_an_equation_breaks_before_its_signs():
    """Pieces that together say all of it; brackets do not grow, whatever stands between them."""
    waveform = Waveform.of([Term(W(24, 10)), Term(W(-24, 10), rate=W(-500))])
    pieces = equation_mathml([Name("i_L(t)", None, 0), waveform_tree(waveform, dim.CURRENT)])
    assert ["".join(parsed(piece).itertext()).replace("\u2062", "") for piece in pieces] == [
        "iL(t)",
        "=(2.4",
        "−2.4e−500t)A",
    ]
    assert all(
        element.get("stretchy") == "false"
        for piece in pieces
        for element in parsed(piece).iter("mo")
        if element.text in "()"
    )


def test_what_reads_no_mathematics_reads_it_as_plain_text():
    waveform = waveform_tree(Waveform.of([Term(W(24, 10)), Term(W(-24, 10), rate=W(-500))]), dim.CURRENT)
    assert parsed(mathml(waveform)).get("alttext") == "2.4 − 2.4e^(−500t) A"
    pieces = equation_mathml([Name("i_L(t)", None, 0), waveform])
    assert [parsed(piece).get("alttext") for piece in pieces] == ["i_L(t)", "= (2.4", "− 2.4e^(−500t)) A"]
    assert parsed(mathml(Name('x_{"<&}', None, 0))).get("alttext") == 'x_{"<&}'


def test_a_rate_of_change_is_a_fraction_and_t_is_slanted():
    root = parsed(mathml(Name("di_L1/dt(0+)", None, 0)))
    assert ["".join(part.itertext()) for part in root.find(".//mfrac")] == ["diL1", "dt"]
    assert "".join(root.itertext()) == "diL1dt(0+)"
    assert [one.text for one in parsed(mathml(Name("v(t)", None, 0))).iter("mi")] == ["v", "t"]


def test_integrals_with_and_without_bounds():
    of = Name("i_R1", None, 0)
    bounded = Integral(of, Name("0", None, 0), Name("∞", None, 0), 0)
    assert tree_text(bounded) == "∫[0…∞] i_R1 dt"
    assert [element.tag for element in parsed(mathml(bounded)).iter()].count("msubsup") == 1
    assert tree_text(Integral(of, None, None, 0)) == "∫ i_R1 dt"
    assert "msubsup" not in mathml(Integral(of, None, None, 0))


def test_a_second_derivative_is_a_fraction_of_squares():
    rate = parsed(mathml(Name("d²i_L1/dt²(0+)", None, 0)))
    assert [len(list(rate.iter(tag))) for tag in ("mfrac", "msup")] == [1, 2]


@pytest.mark.parametrize(
    ("value", "symbol", "dimension", "text"),
    [
        (0.09478, "%", None, "9.478 %"),
        (0.5, "%", dim.NUMBER, "50 %"),
        (5, "rad/s", dim.RATE, "5 rad/s"),
        (4e-3, "A", dim.CURRENT, "4 mA"),
    ],
)
def test_an_answer_stands_in_the_unit_that_it_is_asked_in(value, symbol, dimension, text):
    assert tree_text(answer_tree(constant(rational(str(value))), symbol, dimension)) == text


def test_a_power_in_a_unit_is_raised():
    found = parsed(mathml(value_tree(6.0, dim.CURRENT.over(dim.TIME).over(dim.TIME))))
    assert ["".join(one.itertext()) for one in found.iter("msup")] == ["s2"]
    assert "^" not in "".join(found.itertext())


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("s^2 + 200s + 15625 = 0", "s^2 + 200s + 15625"),
        ("λ^2 + 80λ + 2500 = 0", "λ^2 + 80λ + 2500"),
        ("x^2+3x+2", "x^2 + 3x + 2"),
    ],
)
def test_an_equation_keeps_its_letter(text, shown):
    """An equation for roots is shown in the letter it was written in."""
    assert read(text, expects="roots")[0].text == shown
