"""The Thévenin resistance on the board: the circuit's own resistors combined, or a test source that drives 1 A."""

from collections.abc import Callable, Mapping
from itertools import count
from typing import NamedTuple

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import (
    Circuit,
    CurrentSource,
    DependentSource,
    Drive,
    Element,
    IdealTransformer,
    Nodes,
    Resistor,
    Signal,
    Storage,
)
from grader.circuit.equivalent import Combination
from grader.circuit.network import branch, instant_of, positions
from grader.circuit.series_parallel import Reflected, Structure, combination_text, resistance, structure_between
from grader.circuit.statics import as_current, dc, sources_off
from grader.errors import CircuitError, NotDefined
from grader.reading.tree import Parallel
from grader.solution.board import BoardLine, Picture, Prose
from grader.solution.formula import Formula, added, amount, name, number
from grader.solution.node_equations import derived, merged, node_equations
from grader.solution.words import IntervalContext, value_line
from grader.values.dimension import CURRENT, RESISTANCE, VOLTAGE
from grader.values.scalar import ONE, Scalar
from grader.values.waveform import constant

R_TH = name("R_th")

THROUGH: tuple[Prose, ...] = (
    ("Seen through an ideal transformer, a resistance changes by the square of the turns ratio.",),
)


class SeenResistance(NamedTuple):
    """How a resistance is found: the lines that end in R_th, sentences to add, and what is combined, to be drawn."""

    lines: tuple[BoardLine, ...]
    sentences: tuple[Prose, ...] = ()
    picture: Picture | None = None


def thevenin_resistance(interval: IntervalContext, group: Combination, seen: Scalar) -> SeenResistance:
    """How the resistance (Ω) that the storage elements of a group, which act as one, see is found."""
    circuit, when = interval.circuit, instant_of(interval.circuit, interval.index)
    where = positions(circuit, when)
    values = {e.name: e.value for e in circuit.elements if isinstance(e, Resistor)}
    first, *others = group.members
    nodes: Nodes = group.nodes or branch(circuit, circuit.element(first), where)
    if group.nodes is not None or not others:
        structure = structure_between(circuit, where, nodes, group.members)
        if structure is not None and resistance(structure, values) == seen:
            sides = (
                combined(structure, name),
                combined(structure, lambda each: amount(values[each], RESISTANCE)),
            )
            line = value_line(R_TH, *sides, value=seen, dimension=RESISTANCE)
            told = THROUGH if any(isinstance(e, IdealTransformer) for e in circuit.elements) else ()
            return SeenResistance((line,), told, _picture(circuit, group, structure, values))
    driven = None if others else _driven(interval, first, nodes, when, seen)
    if driven is not None:
        return driven
    return SeenResistance((value_line(R_TH, value=seen, dimension=RESISTANCE),))


def _picture(circuit: Circuit, group: Combination, structure: Structure, values: Mapping[str, Scalar]) -> Picture:
    """The storage and the resistors that it looks into, and nothing else."""
    ends: Nodes = ("0", "1")
    fresh = map(str, count(2))
    if len(group.members) == 1:
        storage = circuit.element(group.members[0])
        assert isinstance(storage, Storage)
        elements: list[Element] = [replace(storage, between=ends)]
    else:
        elements = [group.kind(name=" and ".join(group.members), between=ends, value=group.value)]

    def place(part: Structure, first: str, second: str) -> None:
        if isinstance(part, (str, Reflected)):
            ohms = resistance(part, values)
            elements.append(Resistor(name=combination_text(part), between=(first, second), value=ohms))
        elif part.parallel:
            for branch_of in part.parts:
                place(branch_of, first, second)
        else:
            nodes = [first, *(next(fresh) for _ in part.parts[1:]), second]
            for piece, here, there in zip(part.parts, nodes, nodes[1:], strict=False):
                place(piece, here, there)

    place(structure, *ends)
    title = f"Sources off: {' and '.join(group.members)} and {combination_text(structure)}"
    return Picture(Circuit(elements=tuple(elements), ground=ends[1]), title)


def combined(structure: Structure, leaf: Callable[[str], Formula]) -> Formula:
    """``R3 + R1 ∥ R2``, ``R2 + R1/4²``, with a formula for every resistor."""
    if isinstance(structure, str):
        return leaf(structure)
    if isinstance(structure, Reflected):
        part, squared = combined(structure.part, leaf), number(structure.ratio) ** 2
        return part / squared if structure.from_secondary else squared * part
    parts = [combined(part, leaf) for part in structure.parts]
    return Formula(Parallel(tuple(part.tree for part in parts), 0)) if structure.parallel else added(parts)


TEST = "test source"


def _driven(
    interval: IntervalContext, element: str, nodes: Nodes, when: fmpq | None, seen: Scalar
) -> SeenResistance | None:
    """The circuit with 1 A driven in at an element's first node, its node equations, and the voltage that it makes."""
    circuit = interval.circuit
    across = Signal(kind="voltage", of=nodes)
    try:
        static = dc(circuit, when, sources_off(circuit) | {element: as_current(constant(-ONE))})
        voltage = static.value(across)
    except (CircuitError, NotDefined):
        return None
    enters, leaves = nodes
    told = (f"In place of {element}, a test source drives 1 A into node {enters} and takes it out of node {leaves}; ",
            R_TH, " is its voltage over that current.")  # fmt: skip
    driving = amount(ONE, CURRENT)
    v_test = name("v_test")
    lines = (
        *node_equations(static),
        value_line(v_test, *derived(static, across, voltage), value=voltage, dimension=VOLTAGE),
        value_line(R_TH, v_test / driving, amount(voltage, VOLTAGE) / driving, value=seen, dimension=RESISTANCE),
    )
    return SeenResistance(lines, (told,), _with_test_source(merged(static), element))


def _with_test_source(circuit: Circuit, taken: str) -> Picture | None:
    """The circuit with the sources off, 1 A driven in where an element was; None where a control is not left in it."""
    left = {e.name for e in circuit.elements}
    controls = {e.control for e in circuit.elements if isinstance(e, DependentSource) and isinstance(e.control, str)}
    if taken not in left or not controls <= left - {taken}:
        return None
    enters, leaves = circuit.element(taken).terminals()
    source = CurrentSource(name=TEST, between=(leaves, enters), drive=Drive.always(constant(ONE)))
    elements = tuple(source if e.name == taken else e for e in circuit.elements)
    return Picture(
        replace(circuit, elements=elements), f"Sources off, a test source in place of {taken}", grounded=True
    )
