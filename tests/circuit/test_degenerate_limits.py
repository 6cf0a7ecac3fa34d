"""Degenerate circuits are the limit of ordinary ones: with a small resistance in line with every capacitor, source and
switch and a large one beside every inductor the (stiff, but regular) float equations come close to the exact response.

Outside reference: scipy's matrix exponential on equations set up by `float_nodal`.
"""

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from scipy.linalg import expm

from grader.circuit.elements import Capacitor, Inductor, Switch, VoltageSource
from grader.circuit.response import solve
from grader.errors import CircuitError
from grader.values.scalar import rational
from tests.circuit.building import C, L, R, V, circuit, closes, coupled, current, opens, voltage
from tests.circuit.float_nodal import FloatCircuit, IllConditioned

SMALL, LARGE = "1/100000", "100000"
VALUES = st.sampled_from(["1/2", "1", "2", "3"])
STARTS = st.sampled_from(["0", "1", "-2", "3"])


def loosened(net):
    """The neighbouring circuit without loops of capacitors or cut-sets of inductors."""
    elements = []
    for e in net.elements:
        if isinstance(e, Capacitor | VoltageSource | Switch):
            a, b = e.between
            elements += [replace(e, between=(a, f"{e.name}~")), R(f"R~{e.name}", f"{e.name}~", b, SMALL)]
        elif isinstance(e, Inductor):
            elements += [e, R(f"R~{e.name}", *e.between, LARGE)]
        else:
            elements.append(e)
    # Every node has some path to ground.
    nodes = {n for e in net.elements if hasattr(e, "between") for n in e.between} - {"g"}
    return circuit(*elements, *(R(f"R~{n}", n, "g", LARGE) for n in sorted(nodes)))


@st.composite
def tight_circuits(draw):
    nodes = ["g", *"abc"[: draw(st.integers(1, 3))]]
    elements = [
        R(f"R{n}", n, draw(st.sampled_from(nodes[: nodes.index(n)])), draw(VALUES))
        for n in nodes[1:]
        if draw(st.booleans())
    ]
    inductors = []
    for k in range(draw(st.integers(2, 6))):
        a, b = draw(st.permutations(nodes))[:2]
        kind = draw(st.sampled_from("CCLLVSR"))
        name = f"{kind}{k}"
        if kind == "C":
            elements.append(C(name, a, b, draw(VALUES), draw(STARTS)))
        elif kind == "L":
            inductors.append(name)
            elements.append(L(name, a, b, draw(VALUES), draw(STARTS)))
        elif kind == "V":
            elements.append(V(name, a, b, 0, ("0", draw(STARTS))))
        elif kind == "S":
            elements.append((closes if draw(st.booleans()) else opens)(name, a, b, "0"))
        else:
            elements.append(R(name, a, b, draw(VALUES)))
    if len(inductors) > 1 and draw(st.booleans()):
        elements.append(coupled("M0", *inductors[:2], "1/2"))
    return circuit(*elements)


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(tight_circuits())
def test_exact_response_is_the_limit(net):
    """States a little after the action and later; states that jumped jumped alike."""
    try:
        solved = solve(net)
    except CircuitError:
        assume(False)  # truly contradictory or undetermined: no limit to compare
    assume(solved.intervals[1].start == 0)
    near = loosened(net)
    try:
        stage = FloatCircuit(near, 0.0, conditioned=1e14)
    except IllConditioned:
        assume(False)
    x = np.array([float(e.initial.p) / float(e.initial.q) for e in stage.states])
    assume(len(x))
    drive = stage.drive(0.0)
    whole = np.zeros((len(x) + 1, len(x) + 1))
    whole[:-1, :-1], whole[:-1, -1] = stage.A, stage.B @ drive
    for t in (0.01, 0.5, 2.0):
        expected = (expm(whole * t) @ np.append(x, 1.0))[:-1]
        for state, value in zip(stage.states, expected, strict=True):
            asked = (voltage if isinstance(state, Capacitor) else current)(state.name)
            found = solved.waveform(asked).value(t)
            assert found == pytest.approx(value, abs=2e-3 * max(1.0, np.abs(expected).max())), (state.name, t)


def test_the_checker_is_sharp():
    """The neighbouring circuit differs by more than the tolerance where the answer is wrong by one per cent."""
    net = circuit(C("C1", "a", "g", 2, 3), C("C2", "a", "g", 1, 0), R("R1", "a", "g", 1))
    found = solve(net).waveform(voltage("C1")).value(0.01)
    assert found == pytest.approx(2 * np.exp(-0.01 / 3))
    assert rational(SMALL) < rational("1e-4")
