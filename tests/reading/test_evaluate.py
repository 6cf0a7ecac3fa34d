"""What trees are worth: dimensions, names, bounds, and what has no value."""

import pytest
from flint import fmpq

import grader.reading.value.evaluate as rules
from grader.reading.formula import formula_tree
from grader.reading.reader import read
from grader.reading.value.evaluate import EvaluationError, NoResponse, NotFinite, UnknownName, evaluate
from grader.reading.value.roots import evaluate_roots
from grader.values import dimension as dim
from grader.values.dimension import unit_symbol
from grader.values.functions import exp
from grader.values.scalar import sqrt
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME, NotAWaveform, constant

NAMES = {"R": dim.RESISTANCE, "L": dim.INDUCTANCE, "C": dim.CAPACITANCE, "V": dim.VOLTAGE, "tau": dim.TIME}
VALUES = {name: constant(fmpq(value)) for name, value in zip(NAMES, (3, 4, 5, 7, 2), strict=True)}


def worked(text, **options):
    found = read(text, names=NAMES, **options)
    return evaluate(found[0].tree, VALUES)


@pytest.mark.parametrize(
    "text, symbol",
    [
        ("2.4", None), ("2.4k", None), ("2.4 mA", "A"), ("2.4 V", "V"), ("2 + 3", None), ("2 mA + 3 mA", "A"), ("2 mA + 3", "A"),
        ("12 V / 5 Ω", "A"), ("12/(5 Ω)", "S"), ("2*3 mA", "A"), ("V/R", "A"), ("L/R", "s"), ("R*C", "s"), ("√(L*C)", "s"),
        ("1/√(LC)", "1/s"), ("V^2/R", "W"), ("V(1-e^(-t/tau))", "V"), ("V/R(1-e^(-Rt/L)) ", "A"), ("500 t", None),
        ("200 V/s t", "V"), ("4 mA e^(-t/2ms)", "A"), ("5e^(-t/2ms)", None), ("cos(30°)", None), ("45°", ""), ("63 %", ""),
        ("e^-2 V", "V"), ("2 V e^-3t + 1 V", "V"),
    ],
)  # fmt: skip
def test_dimension(text, symbol):
    """Known where a unit was written or names give it; plain numbers say nothing."""
    quantity = worked(text, expects="expression")
    assert (None if quantity.dimension is None else unit_symbol(quantity.dimension)) == symbol
    assert quantity.consistent


@pytest.mark.parametrize("text", ["2 V + 3 A", "e^(2 V)", "cos(5 ms)", "2 V - 3 A e^-t", "R + L", "e^(-t/R)", "√(3 V)"])
def test_inconsistent(text):
    """Terms of different kinds, or a power that is no plain number, are flagged and still worked out."""
    assert not worked(text, expects="expression").consistent


def test_wrong_dimension_prefix_and_missing_unit_differ():
    """The three faults with a unit can be told apart."""
    right, prefix, missing, other = (worked(text) for text in ("2.4 mA", "2.4 A", "2.4", "2.4 mV"))
    assert right.waveform.number == fmpq(24, 10**4)
    assert prefix.dimension == right.dimension
    assert prefix.waveform.number == right.waveform.number * 1000
    assert missing.dimension is None
    assert other.dimension == dim.VOLTAGE


def test_named():
    """It is told that names occur, since no unit is needed then."""
    assert worked("V/R").named
    assert not worked("2.4 V").named


@pytest.mark.parametrize(
    "text, value",
    [
        ("1/3", fmpq(1, 3)), ("2/3+1/6", fmpq(5, 6)), ("0.1+0.2", fmpq(3, 10)), ("2^-3", fmpq(1, 8)), ("4^(1/2)", fmpq(2)), ("√8", sqrt(fmpq(8))),
        ("√2*√8", fmpq(4)), ("ln(e^3)", fmpq(3)), ("abs(-3)", fmpq(3)), ("--3", fmpq(3)), ("1/(1/2+1/3)", fmpq(6, 5)),
    ],
)  # fmt: skip
def test_numbers_are_exact(text, value):
    """Numbers stay rational, or roots."""
    assert worked(text).waveform.number == value


@pytest.mark.parametrize(
    "text, size",
    [("log(1000)", 3), ("tan(45°)", 1), ("2π", 6.283185307179586), ("sin(30°)", 0.5), ("e", 2.718281828459045)],
)
def test_numbers_without_exact_form(text, size):
    """The rest is right to the last digit of a float."""
    assert worked(text, expects="expression").waveform.value() == pytest.approx(size, rel=1e-15)


@pytest.mark.parametrize(
    "text, error",
    [
        ("1/0", ZeroDivisionError), ("0^-1", ZeroDivisionError), ("1/(2-2)", ZeroDivisionError), ("X/2", UnknownName), ("√(-2)", NotAWaveform),
        ("ln(0)", NotAWaveform), ("1/(1+t)", NotAWaveform), ("e^(t^2)", NotAWaveform), ("cos(e^t)", NotAWaveform), ("t^0.5", NotAWaveform),
        ("t^t", NotAWaveform), ("2^1000", EvaluationError), ("e^1000", EvaluationError), ("(1e60^30)^30", EvaluationError),
        ("infinity", NotFinite), ("2 ± 3 t ± 1 + 2", EvaluationError), ("(cos t + t + e^t + 1)^20", EvaluationError),
    ],
)  # fmt: skip
def test_what_has_no_value(text, error):
    """Each says in a sentence why."""
    with pytest.raises(error, match=r"\w"):
        worked(text)


@pytest.mark.parametrize(
    "text", ["e^(t^2)", "e^(-2/t)", "e^(e^(-2t))", "cos(e^t)", "5 sin(2t^2)", "e^(-2 cos t)", "2 + j3", "√(-2)"]
)
def test_what_no_algebra_helps(text):
    """A power or an angle that is not linear in t is refused before any algebra is asked."""
    with pytest.raises(NoResponse, match=r"\w"):
        worked(text, expects="expression")


def test_formulas_of_our_own():
    """Rules of the theory are written in the same notation."""
    values = {"xf": constant(fmpq(2)), "x0": constant(fmpq(5)), "tau": constant(fmpq(1, 2))}
    quantity = evaluate(formula_tree("xf+(x0-xf)*e^(-t/tau)", frozenset(values)), values)
    assert quantity.waveform.at(fmpq(0)).number == 5
    assert quantity.waveform.limit().number == 2
    with pytest.raises(ValueError, match="cannot be read"):
        formula_tree("2 +")


def test_letters_as_values():
    """Where the circuit's values are letters, answers stay exact in them."""
    names = ("C", "L", "R", "V")
    values = {name: constant(Symbolic.symbol(name, names)) for name in names}
    final = values["V"] / values["R"]
    expected = final - final * exp(TIME * constant(fmpq(-1)) * values["R"] / values["L"])
    for text in ("V/R(1-e^(-Rt/L))", "V/R - V/R e^-Rt/L", "(V/R)*(1 - 1/e^(t/(L/R)))", "V(1-e^-tR/L)/R"):
        found = read(text, expects="expression", names=NAMES)
        assert evaluate(found[0].tree, values).waveform == expected, text
    assert evaluate(read("1/√(LC)", names=NAMES)[0].tree, values).waveform.number == 1 / sqrt(
        values["L"].number * values["C"].number
    )


@pytest.mark.parametrize("text", ["ln(R)", "u(t-R)", "abs(R)", "log(L)", "R^R", "R^0.3", "2 for t<R; 3 for t>R"])
def test_letters_where_numbers_are_needed(text):
    """It is said, not raised as a fault of the program."""
    values = {name: constant(Symbolic.symbol(name, tuple(NAMES))) for name in NAMES}
    with pytest.raises(ValueError, match=r"\w"):
        evaluate(read(text, expects="expression", names=NAMES)[0].tree, values)


def test_roots_in_letters():
    """A characteristic equation's roots, with a root of letters."""
    values = {name: constant(Symbolic.symbol(name, tuple(NAMES))) for name in NAMES}
    found = read("-R/(2L) ± √((R/(2L))^2 - 1/(LC))", expects="roots", names=NAMES)
    (first, _), (second, _) = evaluate_roots(found[0].tree, values).roots
    assert (first + second).number == -values["R"].number / values["L"].number
    assert (first * second).number == 1 / (values["L"].number * values["C"].number)


def test_a_time_of_its_own():
    """t' that the answer does not explain counts from the instant asked; t' = t - 20 ms is taken at its word."""
    (first, *_) = read("2e^(-200t')", expects="expression")
    shifted = evaluate(first.tree, start=fmpq(1, 50)).waveform
    (told, *_) = read("2e^(-200t'), t' = t - 20 ms", expects="expression")
    assert shifted == evaluate(told.tree, start=fmpq(1, 4)).waveform
    assert shifted.value(0.02) == pytest.approx(2)
    assert first.notes


def test_the_work_of_products_is_bounded():
    """A product of two dozen sums is refused before it is worked out."""
    tree = read("*".join(f"({n}+t)" for n in range(1, 25)), expects="expression")[0].tree
    with pytest.raises(EvaluationError, match="multiplies out"):
        evaluate(tree)


@pytest.mark.parametrize("text", ["V/R" + "*2 A" * 16, "(" * 16 + "V" + "*2 A + 1 A)" * 16])
def test_a_product_of_many_units_is_worked_out_once(text, monkeypatch):
    """A unit behind a product asks for its factors; none is worked out anew on every level."""
    (found, *_) = read(text, names=NAMES)
    product, times = rules.nodes.Product, []
    rule = rules._RULES[product]
    monkeypatch.setitem(rules._RULES, product, lambda work, node: times.append(node) or rule(work, node))
    evaluate(found.tree, VALUES)
    assert 16 <= len(times) == len({id(node) for node in times})
