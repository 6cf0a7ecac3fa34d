"""Random switched circuits of every element kind against floating-point integration of independent equations.

Outside reference: scipy's DOP853 integrator on state equations set up by `float_nodal`.
"""

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from grader.circuit.elements import Switch
from grader.circuit.response import solve
from grader.values.functions import cos, exp, sin
from grader.values.scalar import rational
from grader.values.waveform import TIME, constant
from tests.circuit.building import (
    C,
    I,
    L,
    R,
    V,
    changeover,
    circuit,
    coupled,
    current,
    dependent,
    op_amp,
    transformer,
    voltage,
)
from tests.circuit.float_nodal import FloatCircuit, IllConditioned

VALUES = st.sampled_from(["1/2", "1", "2", "3", "5/3", "1/5"])
GAINS = st.sampled_from(["1/2", "-1", "2", "1/4", "-1/3"])
STARTS = st.sampled_from(["0", "1", "-2", "3/2"])
TIMES = ("0", "1/2", "1")


def number(text):
    return constant(rational(text))


WAVES = st.sampled_from(
    [
        number("0"),
        number("2"),
        number("-3"),
        TIME.scaled(rational("2")),
        exp(TIME.scaled(rational("-1"))),
        exp(TIME.scaled(rational("-2"))) * TIME,
        cos(TIME.scaled(rational("3"))),
        sin(TIME.scaled(rational("2"))) + number("1"),
        sin(TIME.scaled(rational("2")) + number("1/3")),
        exp(TIME.scaled(rational("-1/2"))) * cos(TIME.scaled(rational("5"))),
    ]
)


@st.composite
def circuits(draw, storage=4):
    nodes = ["g", *"abcd"[: draw(st.integers(2, 4))]]
    elements = []
    for k, node in enumerate(nodes[1:], start=1):
        elements.append(R(f"R{k}", node, draw(st.sampled_from(nodes[:k])), draw(VALUES)))
    stored = 0
    inductors = []
    for k in range(draw(st.integers(3, 9))):
        a, b = draw(st.permutations(nodes))[:2]
        kind = draw(st.sampled_from("RCCCLLLVISTDOKN"))
        name = f"{kind}x{k}"
        if kind == "R":
            elements.append(R(name, a, b, draw(VALUES)))
        elif kind == "C" and stored < storage:
            elements.append(C(name, a, b, draw(VALUES), draw(STARTS)))
            stored += 1
        elif kind == "L" and stored < storage:
            elements.append(L(name, a, b, draw(VALUES), draw(STARTS)))
            inductors.append(elements[-1])
            stored += 1
        elif kind in "VI":
            pieces = [draw(WAVES), *((t, draw(WAVES)) for t in TIMES if draw(st.booleans()))]
            elements.append((V if kind == "V" else I)(name, a, b, *pieces))
        elif kind == "S":
            actions = tuple((rational(t), draw(st.booleans())) for t in TIMES)
            elements.append(Switch(name=name, between=(a, b), before=False, actions=actions))
        elif kind == "T" and len(nodes) > 3:
            common, *throws = draw(st.permutations(nodes))
            middle = f"m{k}"
            elements.append(R(f"R{name}", common, middle, draw(VALUES)))
            elements.append(changeover(name, middle, throws[0], *((t, draw(st.sampled_from(throws))) for t in TIMES)))
        elif kind == "D":
            delivers, by = draw(st.sampled_from(["voltage", "current"])), draw(st.sampled_from(["voltage", "current"]))
            control = (
                draw(st.sampled_from([e.name for e in elements if e.name[0] != "K"]))
                if by == "current" or draw(st.booleans())
                else None
            )
            pair = tuple(draw(st.permutations(nodes))[:2])
            elements.append(dependent(name, a, b, delivers, by, draw(GAINS), control or pair))
        elif kind == "O" and len(nodes) > 3:
            elements.append(op_amp(name, a, b, draw(st.sampled_from([n for n in nodes if n != "g"]))))
        elif kind == "K" and len(inductors) >= 2 and not any(e.name.startswith("K") for e in elements):
            first, second = inductors[:2]
            elements.append(coupled(name, first.name, second.name, draw(st.sampled_from(["1/10", "-1/8"]))))
        elif kind == "N" and len(nodes) > 3:
            primary, secondary = (tuple(draw(st.permutations(nodes))[:2]) for _ in range(2))
            elements.append(transformer(name, primary, secondary, draw(GAINS)))
    return circuit(*elements)


@settings(max_examples=100, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
@given(circuits())
def test_random_circuits_follow_the_integrated_equations(net):
    """Every node voltage and element current, in every interval."""
    try:
        stages = [FloatCircuit(net, t) for t in (-1.0, 0.0, 0.5, 1.0)]
    except IllConditioned:
        assume(False)
    assume(all(np.abs(np.linalg.eigvals(s.A)).max(initial=0) < 30 for s in stages))
    solved = solve(net)
    x = np.array([float(e.initial.p) / float(e.initial.q) for e in stages[0].states])
    for index, interval in enumerate(solved.intervals[1:], start=1):
        start = float(interval.start.p) / float(interval.start.q)
        end = start + 0.7 if interval.end is None else float(interval.end.p) / float(interval.end.q)
        stage = FloatCircuit(net, start)
        times = [start, (start + end) / 2, end]
        for t, state in zip(times, stage.run(x, start, times), strict=True):
            voltages, currents = stage.outputs(t, state)
            size = max(1.0, *(abs(v) for v in (*voltages.values(), *currents.values())))
            for node, expected in voltages.items():
                found = solved.waveform(voltage(node, "g"), index).value(t)
                assert found == pytest.approx(expected, abs=1e-6 * size), (node, index, t)
            for name, expected in currents.items():
                found = solved.waveform(current(name), index).value(t)
                assert found == pytest.approx(expected, abs=1e-6 * size), (name, index, t)
            x = state
