"""Which parts of a circuit act on which, so that what has nothing to do with a signal can be left out.

Ideal sources separate: a voltage source holds its voltage whatever hangs on it, a current source its current.  With every
voltage source a wire and every current source taken out, elements on no common loop do not act on each other.  What
depends on something is driven by it, and not the other way round: an amplifier's second stage does not act on the first.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elements import (
    ChangeoverSwitch,
    Circuit,
    CoupledInductors,
    DependentSource,
    Element,
    IdealOpAmp,
    Nodes,
    Resistor,
    Source,
    Storage,
)
from grader.values.scalar import ZERO

Wanted: TypeAlias = str | Nodes
"""An element's name, or two nodes for the voltage between them."""

Branches: TypeAlias = Sequence[tuple[str, Nodes]]
"""Elements' names, each with two nodes that it joins."""


class Parts(Struct, frozen=True, kw_only=True):
    """The parts of a circuit, by number; build with ``Parts.of``."""

    circuit: Circuit
    part: Mapping[str, int]
    """Of every element that is no source."""
    drives: Mapping[str, frozenset[int]]
    """The parts on which a source acts, dependent ones and op amps included."""
    held: Branches
    """What fixes a voltage, ahead of all else."""
    control: Mapping[str, Wanted]
    """What controls each dependent source and op amp."""

    @staticmethod
    def of(circuit: Circuit) -> "Parts":
        """The parts of a circuit."""
        plain: list[tuple[str, Nodes]] = []
        held: list[tuple[str, Nodes]] = []
        fed: list[tuple[str, Nodes]] = []
        control: dict[str, Wanted] = {}
        for element in circuit.elements:
            ends = [(element.name, nodes) for nodes in _joins(element, circuit.ground)]
            if isinstance(element, DependentSource):
                control[element.name] = element.control
            elif isinstance(element, IdealOpAmp):
                control[element.name] = (element.non_inverting, element.inverting)
            if isinstance(element, (Source, DependentSource)):
                (held if element.delivers == "voltage" else fed).extend(ends)
            else:
                (held if isinstance(element, IdealOpAmp) else plain).extend(ends)
        part = _merged(circuit, plain, _loops(plain, held))
        drives = {}
        for name, nodes in (*held, *fed):
            *loops, own = _loops([*plain, (name, nodes)], [one for one in held if one[0] != name])
            drives[name] = frozenset(part[of] for (of, _), loop in zip(plain, loops, strict=True) if loop == own)
        return Parts(circuit=circuit, part=part, drives=drives, held=[*held, *plain], control=control)

    def behind(self, wanted: Iterable[Wanted]) -> frozenset[int]:
        """The parts that act on elements or voltages."""
        return self._reached([one for each in wanted for one in self._within(each)])

    def _reached(self, left: list[int | str]) -> frozenset[int]:
        """The parts among some parts and dependent sources, and those that act on them."""
        found: set[int | str] = set()
        while left:
            one = left.pop()
            if one in found:
                continue
            found.add(one)
            if isinstance(one, str):
                left += self._within(self.control[one])
            else:
                left += [name for name in self.control if one in self.drives[name]]
        return frozenset(one for one in found if isinstance(one, int))

    def _within(self, wanted: Wanted) -> list[int | str]:
        """The parts and dependent sources that a quantity belongs to; a voltage, those along one way between its nodes."""
        if isinstance(wanted, str):
            own: list[int | str] = [wanted] if wanted in self.control else []
            return [self.part[wanted]] if wanted in self.part else [*own, *self.drives.get(wanted, ())]
        tree: dict[str, list[tuple[str, int]]] = defaultdict(list)
        for number, (_, (one, other)) in enumerate(self.held):
            _grown(tree, number, one, other)
        way = [self.held[number][0] for number in _way(tree, *wanted) or ()]
        return [self.part.get(name, name) for name in way if name in self.part or name in self.control]

    def foreign_to(self, wanted: Iterable[Wanted]) -> frozenset[int]:
        """The parts with a response of their own, or driven by one, that does not act on elements or voltages."""
        acting = self.behind(wanted)
        storing = {self.part[one.name] for one in self.circuit.elements if isinstance(one, Storage)} - acting
        others = set(self.part.values()) - acting if storing else set()
        return frozenset(number for number in others if storing & self._reached([number]))

    def without(self, foreign: frozenset[int]) -> Circuit:
        """The circuit without some parts, and without the sources that drive them alone.

        What only current sources drive leaves a wire behind.
        """
        kept = tuple(one for one in self.circuit.elements if self._stays(one, foreign))
        names = {one.name for one in kept}
        left = {node for one in kept for node in one.terminals()}
        held = frozenset[int]().union(*(self.drives[name] for name, _ in self.held if name in self.drives))
        ends: dict[int, list[str]] = defaultdict(list)
        tree: dict[str, list[tuple[str, int]]] = defaultdict(list)
        for name, (one, other) in self.held:
            if self.part.get(name) in foreign:
                ends[self.part[name]] += [one, other]
            elif name in names:
                _grown(tree, 0, one, other)
        wires: list[Nodes] = []
        for number, touched in ends.items():
            nodes = [node for node in dict.fromkeys(touched) if node in left]
            to = nodes[:1] if number not in held else [self.circuit.ground]
            for node in nodes:
                if to and _way(tree, to[0], node) is None and node != to[0]:
                    _grown(tree, 0, to[0], node)
                    wires.append((to[0], node))
        cut = replace(self.circuit, elements=kept)
        for wire in wires:
            stand_in = Resistor(name=cut.unused("wire"), between=wire, value=ZERO)
            cut = replace(cut, elements=(*cut.elements, stand_in))
        return cut

    def _stays(self, element: Element, foreign: frozenset[int]) -> bool:
        if isinstance(element, CoupledInductors):
            return self.part[element.inductors[0]] not in foreign
        if element.name in self.part:
            return self.part[element.name] not in foreign
        driven = self.drives.get(element.name, frozenset())
        return not driven or not driven <= foreign


def _joins(element: Element, ground: str) -> tuple[Nodes, ...]:
    """The pairs of nodes between which an element lets a current pass, wherever a switch stands."""
    if isinstance(element, ChangeoverSwitch):
        return tuple((element.common, throw) for throw in element.throws)
    return tuple(element.branches(ground, {}).values())


def _merged(circuit: Circuit, plain: Branches, loops: Sequence[int]) -> dict[str, int]:
    """The part of every element, those as one that a single element or a coupling joins."""
    together = [(name, loop) for (name, _), loop in zip(plain, loops, strict=True)]
    part: dict[str, int] = dict(together)
    pairs = [(part[name], loop) for name, loop in together]
    pairs += [
        (part[a], part[b]) for one in circuit.elements if isinstance(one, CoupledInductors) for a, b in [one.inductors]
    ]
    same = {number: number for number in loops}
    for one, other in pairs:
        old, new = same[one], same[other]
        same = {number: new if root == old else root for number, root in same.items()}
    return {name: same[number] for name, number in part.items()}


def _loops(branches: Branches, wires: Branches) -> list[int]:
    """A number for every branch, equal where branches lie on a common loop once the wires are drawn together."""
    name: dict[str, str] = {}
    for _, (one, other) in wires:
        kept, gone = name.get(one, one), name.get(other, other)
        name = {node: kept if at == gone else at for node, at in name.items()} | {one: kept, other: kept, gone: kept}
    found = list(range(len(branches)))
    tree: dict[str, list[tuple[str, int]]] = defaultdict(list)
    for number, (_, (one, other)) in enumerate(branches):
        way = _grown(tree, number, name.get(one, one), name.get(other, other))
        joined = {found[each] for each in (*way, number)}
        found = [min(joined) if each in joined else each for each in found]
    return found


def _grown(tree: dict[str, list[tuple[str, int]]], number: int, one: str, other: str) -> list[int]:
    """Add a branch to a tree unless it closes a loop; the others of that loop."""
    way = _way(tree, one, other)
    if way is None:
        tree[one].append((other, number))
        tree[other].append((one, number))
    return way or []


def _way(tree: Mapping[str, list[tuple[str, int]]], one: str, other: str) -> list[int] | None:
    """The branches on the way from a node to another; None where there is none."""
    left: list[tuple[str, list[int]]] = [(one, [])]
    seen = {one}
    for node, way in left:
        if node == other:
            return way
        for following, number in tree.get(node, ()):
            if following not in seen:
                seen.add(following)
                left.append((following, [*way, number]))
    return None
