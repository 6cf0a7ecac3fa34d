"""Drawings are read back from their lines and compared with the circuit; nothing may lie on anything else."""

import itertools

from flint import fmpq
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.circuit.elements import (
    Capacitor,
    ChangeoverSwitch,
    Circuit,
    Drive,
    IdealOpAmp,
    Inductor,
    Resistor,
    Signal,
    Switch,
    VoltageSource,
)
from grader.reports.drawing.canvas import crossings
from grader.reports.schematic import draw
from grader.values.waveform import constant
from tests.reports.drawing.drawing_geometry import check


def element(kind: str, name: str, between: tuple[str, str]):
    if kind == "source":
        return VoltageSource(name=name, between=between, drive=Drive(pieces=((None, constant(fmpq(12))),)))
    if kind == "switch":
        return Switch(name=name, between=between, before=False, actions=((fmpq(0), True),))
    if kind == "capacitor":
        return Capacitor(name=name, between=between, value=fmpq(47, 10**7), initial=fmpq(3))
    if kind == "inductor":
        return Inductor(name=name, between=between, value=fmpq(1, 50))
    return Resistor(name=name, between=between, value=fmpq(6800))


KINDS = st.sampled_from(["resistor", "resistor", "capacitor", "inductor", "switch", "source"])
SIGNALS = st.sampled_from(["", "voltage", "current"])


@st.composite
def ladders(draw):
    """Series branches along a rail and shunt branches to ground, each of one to three elements, some in parallel."""
    elements, signals, count = [], [], 0

    def branch(start: str, end: str) -> None:
        nonlocal count
        nodes = [start, *(f"m{count}_{k}" for k in range(draw(st.integers(0, 2)))), end]
        for pair in itertools.pairwise(nodes):
            count += 1
            kind = draw(KINDS)
            between = pair if draw(st.booleans()) else pair[::-1]
            elements.append(element(kind, f"E{count}", between))
            signal = draw(SIGNALS)
            if signal:
                signals.append(Signal(kind=signal, of=f"E{count}"))

    sections = draw(st.integers(1, 5))
    rail = [f"n{k}" for k in range(sections + 1)]
    branch("n0", "g")
    for left, right in itertools.pairwise(rail):
        for _ in range(draw(st.integers(1, 2))):
            branch(left, right)
        for _ in range(draw(st.integers(0, 2))):
            branch(right, "g")
    branch(rail[-1], "g")
    shuffled = draw(st.permutations(elements)) if draw(st.booleans()) else elements
    return Circuit(elements=tuple(shuffled), ground="g"), signals


@settings(max_examples=150)
@given(ladders())
def test_a_ladder_is_drawn_as_stated_without_crossings(case):
    circuit, signals = case
    canvas = draw(circuit, {}, signals)
    check(canvas, circuit)
    assert crossings(canvas.wires) == []


@st.composite
def any_circuits(draw):
    """Any connected graph of a few nodes: bridges, stars, complete graphs."""
    count = draw(st.integers(2, 6))
    nodes = ["g", *(f"n{k}" for k in range(1, count))]
    pairs = [(nodes[draw(st.integers(0, k - 1))], nodes[k]) for k in range(1, count)]
    more = st.tuples(st.sampled_from(nodes), st.sampled_from(nodes)).filter(lambda pair: pair[0] != pair[1])
    pairs += draw(st.lists(more, max_size=6))
    elements = [element(draw(KINDS), f"E{k}", pair) for k, pair in enumerate(pairs)]
    signals = [Signal(kind=kind, of=e.name) for e in elements if (kind := draw(SIGNALS))]
    return Circuit(elements=tuple(elements), ground="g"), signals


@settings(max_examples=150)
@given(any_circuits())
def test_any_circuit_is_drawn_as_stated(case):
    circuit, signals = case
    check(draw(circuit, {}, signals), circuit)


@st.composite
def circuits_with_blocks(draw):
    """Changeover switches and op amps anywhere in a circuit."""
    circuit, signals = draw(any_circuits())
    nodes = sorted({node for e in circuit.elements for node in e.between} | {"x"})
    elements = list(circuit.elements)
    for k in range(draw(st.integers(1, 2))):
        three = draw(st.lists(st.sampled_from(nodes), min_size=3, max_size=3, unique=True))
        if draw(st.booleans()):
            moves = ((fmpq(0), three[2]), (fmpq(1, 100), three[1])) if draw(st.booleans()) else ((fmpq(0), three[2]),)
            elements.append(ChangeoverSwitch(name=f"B{k}", common=three[0], before=three[1], actions=moves))
        else:
            inverting = three[2] if draw(st.booleans()) else three[1]
            elements.append(IdealOpAmp(name=f"B{k}", non_inverting=three[0], inverting=inverting, output=three[2]))
    return Circuit(elements=tuple(elements), ground="g"), signals


@settings(max_examples=150)
@given(circuits_with_blocks())
def test_blocks_are_drawn_as_stated(case):
    circuit, signals = case
    check(draw(circuit, {}, signals), circuit)
