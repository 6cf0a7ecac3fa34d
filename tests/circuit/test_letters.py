"""Values given as letters: the answers, with numbers put in, are those of the numeric circuit."""

import cmath
from functools import cache

import pytest
import sympy
from flint import fmpq
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from grader.circuit.modal import certainly_decays
from grader.circuit.resistance import resistance_seen, time_constant
from grader.circuit.response import solve
from grader.errors import NotDefined
from grader.values.functions import cos
from grader.values.scalar import scalar_text
from grader.values.symbolic import Symbolic
from grader.values.text import waveform_text
from grader.values.waveform import TIME, constant
from tests.circuit.building import C, I, L, R, V, circuit, closes, current, dependent, op_amp, opens, q, voltage

NAMES = ("Vs", "R1", "R2", "L", "C", "w")
SYMBOL = {name: Symbolic.symbol(name, NAMES) for name in NAMES}
NUMBER = st.fractions(min_value="1/4", max_value=6, max_denominator=8)


def divider(v):
    return circuit(
        V("V1", "a", "g", constant(v["Vs"])),
        closes("S1", "a", "b"),
        R("R1", "b", "c", v["R1"]),
        R("R2", "c", "g", v["R2"]),
        C("C1", "c", "g", v["C"]),
    )


def fed_coil(v):
    wave = cos(TIME * constant(v["w"])) * constant(v["Vs"])
    return circuit(
        V("V1", "a", "g", wave),
        opens("S1", "a", "b"),
        R("R1", "b", "c", v["R1"]),
        L("L1", "c", "g", v["L"]),
        R("R2", "b", "g", v["R2"]),
    )


def series(v):
    return circuit(
        V("V1", "a", "g", constant(v["Vs"])),
        closes("S1", "a", "b"),
        R("R1", "b", "c", v["R1"]),
        L("L1", "c", "d", v["L"]),
        C("C1", "d", "g", v["C"]),
    )


def parallel(v):
    return circuit(
        I("I1", "g", "a", 0, ("0", constant(v["Vs"]))),
        R("R1", "a", "g", v["R1"]),
        L("L1", "a", "g", v["L"]),
        C("C1", "a", "g", v["C"]),
    )


def controlled(v):
    return circuit(
        V("V1", "a", "g", constant(v["Vs"])),
        R("R1", "a", "b", v["R1"]),
        dependent(
            "D1", "b", "g", "current", "voltage", Symbolic.symbol("w", NAMES) if v is SYMBOL else v["w"], ("b", "g")
        ),
        closes("S1", "b", "c"),
        L("L1", "c", "g", v["L"]),
    )


def lossless(v):
    return circuit(
        V("V1", "a", "g", constant(v["Vs"])),
        closes("S1", "a", "b"),
        L("L1", "b", "c", v["L"]),
        C("C1", "c", "g", v["C"]),
    )


def amplifier(v):
    return circuit(
        V("V1", "a", "g", 0, ("0", constant(v["Vs"]))),
        R("R1", "a", "n", v["R1"]),
        op_amp("A1", "g", "n", "o"),
        R("R2", "n", "o", v["R2"]),
        C("C1", "n", "o", v["C"]),
    )


CASES = [
    (divider, current("R1")),
    (divider, voltage("C1")),
    (fed_coil, current("L1")),
    (fed_coil, voltage("R2")),
    (series, voltage("C1")),
    (series, voltage("L1")),
    (parallel, current("L1")),
    (parallel, current("R1")),
    (controlled, current("L1")),
    (lossless, voltage("C1")),
    (amplifier, voltage("o", "g")),
]
SOLVED = {build: solve(build(SYMBOL)) for build, _ in CASES}


@cache
def function_of(build, asked):
    """The symbolic answer as a function of the values and t."""
    symbols = {name: sympy.Symbol(name) for name in (*NAMES, "t")}
    formula = sympy.sympify(waveform_text(SOLVED[build].waveform(asked)), locals=symbols)
    functions = {name: getattr(cmath, name) for name in ("sqrt", "exp", "cos", "sin")}
    return sympy.lambdify([symbols[name] for name in (*NAMES, "t")], formula, [functions])


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case[0].__name__}-{case[1].of}")
@settings(max_examples=12)
@given(data=st.data())
def test_numbers_put_in_give_the_numeric_answer(case, data):
    """At three times, through the text that sympy's parser reads (complex roots meet where a radicand turns negative)."""
    build, asked = case
    numbers = {name: data.draw(NUMBER, label=name) for name in NAMES}
    values = {name: q(str(number)) for name, number in numbers.items()}
    if build in (series, parallel):
        characteristic = solve(build(values)).characteristic()
        assume(characteristic.damping != "critically damped")  # the symbolic answer divides by the root's difference
    expected = solve(build(values)).waveform(asked)
    evaluate = function_of(build, asked)
    for time in (0.0, 0.3, 1.7):
        found = evaluate(*(float(n) for n in numbers.values()), time)
        size = max(1.0, abs(expected.value(time)))
        assert abs(found - expected.value(time)) < 1e-8 * size


def test_letters_in_closed_form():
    """What stands on the board for the plainest circuits."""
    net = divider(SYMBOL)
    assert scalar_text(resistance_seen(net)) == "(R1*R2)/(R1 + R2)"
    assert scalar_text(time_constant(net)) == "(R1*R2*C)/(R1 + R2)"
    coil = SOLVED[fed_coil].characteristic()
    assert scalar_text(coil.time_constant) == "(L)/(R1 + R2)"
    assert waveform_text(SOLVED[divider].final(voltage("C1"))) == "((Vs*R2)/(R1 + R2))"


def test_second_order_letters():
    """Series RLC: α = R/(2L), ω0 = 1/√(LC); which damping stays open; the final value does not."""
    found = SOLVED[series].characteristic()
    assert scalar_text(found.alpha) == "(1/2*R1)/(L)"
    assert found.omega0 * found.omega0 * SYMBOL["L"] * SYMBOL["C"] == 1
    assert found.damping is None
    assert SOLVED[series].final(voltage("C1")) == constant(SYMBOL["Vs"])
    assert SOLVED[lossless].characteristic().damping == "undamped"


def test_third_order_letters_have_no_closed_form():
    """Said in one sentence."""
    net = circuit(
        V("V1", "a", "g", 0, ("0", constant(SYMBOL["Vs"]))),
        R("R1", "a", "b", SYMBOL["R1"]),
        C("C1", "b", "g", SYMBOL["C"]),
        L("L1", "b", "c", SYMBOL["L"]),
        R("R2", "c", "d", SYMBOL["R2"]),
        C("C2", "d", "g", SYMBOL["C"]),
    )
    solved = solve(net)
    assert solved.characteristic is not None
    with pytest.raises(NotDefined, match="no closed form with symbols"):
        solved.waveform(voltage("C2"))
    # What it tends to needs no root: at dc no current flows.
    assert solved.final(voltage("C2")) == constant(SYMBOL["Vs"])
    assert not solved.final(current("L1")).terms


def test_slopes_of_three_sections_in_letters_need_no_root():
    """v1' = Vs/(RC) from rest, i = (Vs - v1)/R, and v2'' = (v1' - 2 v2' + v3')/(RC)."""
    vs, r, c = SYMBOL["Vs"], SYMBOL["R1"], SYMBOL["C"]
    net = circuit(
        V("V1", "a", "g", 0, ("0", constant(vs))),
        R("R1", "a", "b", r),
        C("C1", "b", "g", c),
        R("R2", "b", "d", r),
        C("C2", "d", "g", c),
        R("R3", "d", "e", r),
        C("C3", "e", "g", c),
    )
    solved = solve(net)
    assert solved.derivative(voltage("C1")) == constant(vs / (r * c))
    assert solved.derivative(current("R1")) == constant(-vs / (r * r * c))
    assert not solved.derivative(voltage("C2")).terms
    assert solved.derivative(voltage("C2"), order=2) == constant(vs / (r * c) / (r * c))


def test_slopes_of_the_power_series_are_those_of_the_response():
    """At the second switching, constants like e^-5 carried over."""
    net = circuit(
        V("V1", "a", "g", 6),
        closes("S1", "a", "b", "1/2"),
        R("R1", "b", "c", 1),
        C("C1", "c", "g", 1, 2),
        R("R2", "c", "d", 2),
        C("C2", "d", "g", 1, 1),
        R("R3", "d", "e", 1),
        C("C3", "e", "g", 2, 0),
        closes("S2", "e", "f", "2"),
        R("R4", "f", "g", 3),
    )
    solved = solve(net)
    for index in (1, 2):
        opened = solved.intervals[index].start
        for signal in (voltage("C1"), current("C2"), current("R3")):
            whole = solved.waveform(signal, index).derivative()
            assert solved.derivative(signal, index).value() == pytest.approx(whole.at(opened).value())
            second = solved.derivative(signal, index, order=2)
            assert second.value() == pytest.approx(whole.derivative().at(opened).value())


def test_a_lossless_ladder_of_letters_tends_to_nothing():
    """Its roots lie on the imaginary axis, so no limit is claimed."""
    net = circuit(
        V("V1", "a", "g", 0, ("0", constant(SYMBOL["Vs"]))),
        L("L1", "a", "b", SYMBOL["L"]),
        C("C1", "b", "g", SYMBOL["C"]),
        L("L2", "b", "c", SYMBOL["L"]),
        C("C2", "c", "g", SYMBOL["C"]),
    )
    with pytest.raises(NotDefined):
        solve(net).final(voltage("C2"))


@pytest.mark.parametrize(
    ("factor", "decays"),
    [
        ((6, 11, 6, 1), True),  # (s+1)(s+2)(s+3)
        ((8, 2, 3, 1), False),  # 3·2 < 8
        ((6, 2, 3, 1), False),  # 3·2 = 6: (s+3)(s^2+2)
        ((4, 0, 5, 0, 1), False),  # (s^2+1)(s^2+4)
        ((24, 50, 35, 10, 1), True),  # (s+1)(s+2)(s+3)(s+4)
        ((6, 7, 0, -1), False),
        ((-6, 1, 4, 1), False),  # (s-1)(s+2)(s+3)
        ((SYMBOL["R1"], SYMBOL["R1"] + SYMBOL["R2"], fmpq(1), fmpq(1)), True),
        ((SYMBOL["R1"], SYMBOL["R2"], fmpq(1), fmpq(1)), False),  # it depends: R2 > R1
    ],
)
def test_what_surely_decays(factor, decays):
    """Lowest power first, the roots beside."""
    assert certainly_decays(tuple(fmpq(x) if isinstance(x, int) else x for x in factor)) is decays
