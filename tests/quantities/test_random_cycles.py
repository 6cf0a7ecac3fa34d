"""Circuits that repeat, at random, against integration with an event at each level.

Outside reference: scipy's DOP853 integrator on state equations set up by `float_nodal`.
"""

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from grader.circuit.elements import Signal
from grader.circuit.response import solve
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities import asked
from grader.quantities.catalogue import question_of
from grader.values.scalar import rational, to_float
from grader.values.waveform import number_of
from tests.circuit.building import C, I, L, R, V, changeover, circuit, closes, dependent, op_amp, opens, transformer
from tests.circuit.float_nodal import FloatCircuit, IllConditioned

VALUES = st.sampled_from(["1/2", "1", "2", "3", "5/3", "1/5"])
SOURCES = st.sampled_from(["2", "-3", "5", "-1/2"])
GAINS = st.sampled_from(["1/2", "-1", "2", "1/4", "-1/3"])


@st.composite
def repeating(draw):
    """One storage element X among resistors, dc sources and couplings of every kind, and a switch S that acts at t = 0."""
    nodes = ["g", "a", "b", "c"]
    elements = [R(f"R{k}", node, draw(st.sampled_from(nodes[:k])), draw(VALUES)) for k, node in enumerate(nodes[1:], 1)]
    a, b = draw(st.permutations(nodes))[:2]
    stored = draw(st.booleans())
    elements.append((C if stored else L)("X", a, b, draw(VALUES), "0"))
    elements.append(draw(st.sampled_from([V, I]))("U", *draw(st.permutations(nodes))[:2], draw(SOURCES)))
    for k in range(draw(st.integers(0, 3))):
        a, b, c, d = draw(st.permutations(nodes))
        name = f"E{k}"
        kind = draw(st.sampled_from("RVIDNO"))
        if kind in "VI":
            elements.append({"V": V, "I": I}[kind](name, a, b, draw(SOURCES)))
        elif kind == "R":
            elements.append(R(name, a, b, draw(VALUES)))
        elif kind == "D":
            elements.append(
                dependent(name, a, b, draw(st.sampled_from(["voltage", "current"])), "voltage", draw(GAINS), (c, d))
            )
        elif kind == "N":
            elements.append(transformer(name, (a, b), (c, d), draw(GAINS)))
        else:
            elements.append(op_amp(name, a, b, draw(st.sampled_from([n for n in (c, d, a) if n != "g"]))))
    common, first, second = draw(st.permutations(nodes))[:3]
    elements.append(R("RS", common, "m", draw(VALUES)))
    switch = draw(st.sampled_from([closes, opens, changeover]))
    elements.append(changeover("S", "m", first, ("0", second)) if switch is changeover else switch("S", "m", first))
    return circuit(*elements), Signal(kind="voltage" if stored else "current", of="X")


def passage(stage, start, end):
    """How long the stored quantity takes from one level to another in one position; None where it never comes there."""
    rate = abs(stage.A[0, 0]) + 1e-3

    def reached(_, x):
        return x[0] - end

    reached.terminal = True
    run = solve_ivp(
        lambda t, x: stage.A @ x + stage.B @ stage.drive(t), (0, 60 / rate), [start], method="DOP853", events=reached,
        rtol=1e-10, atol=1e-12,
    )  # fmt: skip
    return run.t_events[0][0] if len(run.t_events[0]) else None


def check(net, signal, shares):
    """Period and duty cycle, or one sentence that nothing repeats where integration finds so."""
    try:
        stages = [FloatCircuit(net, time) for time in (-1.0, 0.0)]
    except IllConditioned:
        assume(False)
    assume(all(1e-3 < abs(stage.A[0, 0]) < 1e3 for stage in stages))
    first, last = sorted(float(-(stage.B @ stage.drive(0))[0] / stage.A[0, 0]) for stage in stages)
    assume(0.05 < last - first < 1e4)
    low, high = (rational(repr(round(first + share * (last - first), 6))) for share in shares)
    ends = to_float(low), to_float(high)
    risen, fallen = ([passage(stage, *way) for stage in stages] for way in (ends, ends[::-1]))
    chosen = [rise if rise is not None else fall for rise, fall in zip(risen, fallen, strict=True)]
    repeats = None not in chosen and (risen[0] is None) != (risen[1] is None)
    keys = {"signal": signal, "by": "S", "settings": (("low", str(low)), ("high", str(high)))}
    problem = Problem(id="p", title="", text="", circuit=net, items=())

    def answer(find):
        question = question_of(problem, Item(id="x", find=find, points=1, **keys), solve(net))
        return to_float(number_of(asked(find).reference(question)))

    if repeats:
        assert answer("period") == pytest.approx(sum(chosen), rel=1e-6)
        assert answer("duty cycle") == pytest.approx(chosen[1] / sum(chosen), rel=1e-6)
    else:
        with pytest.raises(NotDefined, match=r"goes to neither level|runs the same way"):
            answer("period")
    return repeats


SHARES = st.sampled_from([(0.2, 0.7), (0.4, 0.5), (0.05, 0.9), (0.3, 1.2), (-0.5, 0.5)])
FEW = settings(
    max_examples=30, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow]
)


@FEW
@given(repeating(), SHARES)
def test_circuits_that_repeat_agree_with_integration(built, shares):
    check(*built, shares)


@pytest.mark.nightly
@settings(FEW, max_examples=2000)
@given(repeating(), SHARES)
def test_many_circuits_that_repeat_agree_with_integration(built, shares):
    check(*built, shares)
