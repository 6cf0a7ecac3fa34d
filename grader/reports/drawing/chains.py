"""From a circuit to what a drawing is put together from: branches in series, and blocks with more than two terminals.

A ladder is drawn with its ground as a rail at the bottom and its other nodes along a rail at the top.  A node that
only joins two elements needs no place of its own there: its elements form one branch, drawn in one stroke.
"""

from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from msgspec import Struct

from grader.circuit.elements import (
    ChangeoverSwitch,
    Circuit,
    CurrentSource,
    DependentSource,
    Element,
    IdealOpAmp,
    VoltageSource,
)
from grader.circuit.network import grouped


class Part(NamedTuple):
    """An element in a branch; ``forward``: its first node comes first along the branch."""

    name: str
    forward: bool


class Branch(NamedTuple):
    """Elements in series: one more node than parts.  No parts: a plain wire."""

    nodes: tuple[str, ...]
    parts: tuple[Part, ...]

    @property
    def start(self) -> str:
        """The node it begins at."""
        return self.nodes[0]

    @property
    def end(self) -> str:
        """The node it ends at."""
        return self.nodes[-1]

    def turned(self) -> "Branch":
        """The same branch walked the other way."""
        return Branch(self.nodes[::-1], tuple(Part(p.name, not p.forward) for p in self.parts[::-1]))

    def cut(self, at: int) -> tuple["Branch", "Branch"]:
        """Its first `at` parts, and the rest."""
        return Branch(self.nodes[: at + 1], self.parts[:at]), Branch(self.nodes[at:], self.parts[at:])


class Terminal(NamedTuple):
    """A terminal of a block: its role (``"throw 1"``, ``"inverting"``, ``"output"`` …) and its node."""

    role: str
    node: str


class Block(Struct, frozen=True, kw_only=True):
    """An element of more than two terminals: ``inputs`` on one side of it, ``output`` on the other.

    ``lower`` is the input that goes straight down to ground, alone or through ``below``.
    """

    name: str
    inputs: tuple[Terminal, ...]
    output: Terminal
    lower: str = ""
    below: Branch | None = None


class Parts(Struct, frozen=True, kw_only=True):
    """A connected part of a circuit, taken apart.

    ``shunts`` end at ``ground``; ``series`` run between other nodes.  ``earthed`` is False for a part that is not
    connected to the circuit's ground: its bottom rail is then a node like any other.
    """

    ground: str
    earthed: bool
    shunts: tuple[Branch, ...]
    series: tuple[Branch, ...]
    blocks: tuple[Block, ...]


class _Edge(NamedTuple):
    name: str
    first: str
    second: str


def take_apart(circuit: Circuit, named: frozenset[str] = frozenset()) -> tuple[Parts, ...]:
    """Split a circuit into connected parts, and each part into branches and blocks; nodes that must be ``named`` get a place of their own."""
    edges = [_Edge(e.name, *e.between) for e in circuit.elements if hasattr(e, "between")]
    blocks = [block for block in map(_block, circuit.elements) if block is not None]
    sources = {e.name for e in circuit.elements if isinstance(e, (VoltageSource, CurrentSource, DependentSource))}
    parts = []
    for nodes in _connected(edges, blocks, circuit.ground):
        here = [edge for edge in edges if edge.first in nodes]
        ours = [block for block in blocks if block.output.node in nodes]
        earthed = circuit.ground in nodes
        ground = circuit.ground if earthed else _busiest(here, ours)
        parts.append(_parts(here, ours, ground, earthed, named, sources))
    return tuple(parts)


def _block(element: Element) -> Block | None:
    if isinstance(element, IdealOpAmp):
        inputs: tuple[Terminal, ...] = (
            Terminal("inverting", element.inverting),
            Terminal("non-inverting", element.non_inverting),
        )
        return Block(name=element.name, inputs=inputs, output=Terminal("output", element.output))
    if isinstance(element, ChangeoverSwitch):
        inputs = tuple(Terminal(f"throw {node}", node) for node in element.throws)
        return Block(name=element.name, inputs=inputs, output=Terminal("common", element.common))
    return None


def _terminals(block: Block) -> tuple[Terminal, ...]:
    return (*block.inputs, block.output)


def _connected(edges: Iterable[_Edge], blocks: Iterable[Block], ground: str) -> list[set[str]]:
    """Node sets of the connected parts; the one with the ground first, the others as stated."""
    links = [(edge.first, edge.second) for edge in edges]
    for block in blocks:
        # An ideal op amp's output is referred to ground inside, so ground belongs to the same part.
        also = [ground] if block.output.role == "output" else []
        links += [(block.output.node, node) for node in (*(t.node for t in block.inputs), *also)]
    found: dict[str, set[str]] = {}
    for node, group in grouped(dict.fromkeys(node for link in links for node in link), links, ground).items():
        found.setdefault(group, set()).add(node)
    return sorted((nodes for nodes in found.values() if len(nodes) > 1), key=lambda nodes: ground not in nodes)


def _degrees(edges: Iterable[_Edge], blocks: Iterable[Block]) -> dict[str, int]:
    ends = (node for edge in edges for node in (edge.first, edge.second))
    return Counter((*ends, *(terminal.node for block in blocks for terminal in _terminals(block))))


def _busiest(edges: list[_Edge], blocks: list[Block]) -> str:
    """The node with most connections; of several, one at a second end: most sources are stated plus first."""
    count = _degrees(edges, blocks)
    second = {edge.second for edge in edges}
    return max(count, key=lambda node: (count[node], node in second))


def _parts(
    edges: list[_Edge], blocks: list[Block], ground: str, earthed: bool, named: frozenset[str], sources: set[str]
) -> Parts:
    count = _degrees(edges, blocks)
    ports = {terminal.node for block in blocks for terminal in _terminals(block)}
    proper = {ground, *ports, *(named & count.keys()), *(n for n, degree in count.items() if degree != 2)}
    branches = _branches(edges, proper)
    shunts: list[Branch] = []
    series: list[Branch] = []
    for branch in branches:
        for piece in _placed(branch, ground, sources):
            (shunts if piece.end == ground else series).append(piece)
    hung = tuple(_hang(block, shunts, series, blocks, ground, sources) for block in blocks)
    taken = [block.below for block in hung if block.below is not None]
    return Parts(
        ground=ground,
        earthed=earthed,
        shunts=tuple(s for s in shunts if s not in taken),
        series=tuple(series),
        blocks=hung,
    )


def _branches(edges: list[_Edge], proper: set[str]) -> list[Branch]:
    """Walk from each proper node through nodes that join just two elements, until the next proper node."""
    at: dict[str, list[_Edge]] = {}
    for edge in edges:
        at.setdefault(edge.first, []).append(edge)
        at.setdefault(edge.second, []).append(edge)
    used: set[str] = set()
    found: list[Branch] = []
    for edge in edges:
        for start in (edge.first, edge.second):
            if edge.name in used or start not in proper:
                continue
            nodes, parts, current = [start], [], edge
            while True:
                used.add(current.name)
                forward = current.first == nodes[-1]
                parts.append(Part(current.name, forward))
                nodes.append(current.second if forward else current.first)
                if nodes[-1] in proper:
                    break
                current = next(e for e in at[nodes[-1]] if e.name not in used)
            found.append(Branch(tuple(nodes), tuple(parts)))
    return found


def _placed(branch: Branch, ground: str, sources: set[str]) -> list[Branch]:
    """Cut a branch where part of it should stand upright and the rest lie along the rail."""
    if branch.start == ground and branch.end != ground:
        branch = branch.turned()
    size = len(branch.parts)
    if branch.start == branch.end == ground:
        first, rest = branch.cut(1)
        if size == 2:
            return [first.turned(), rest]
        middle, last = rest.cut(size - 2)
        return [first.turned(), middle, last]
    if branch.start == branch.end:  # a loop hung on one node: its far node gets a place beside it
        return list(branch.cut(1))
    if branch.end == ground and size > 1:
        upright_source = branch.parts[-1].name in sources
        if upright_source or (size > 2 and any(part.name in sources for part in branch.parts)):
            return list(branch.cut(size - 1))
    return [branch]


def _hang(
    block: Block, shunts: list[Branch], series: list[Branch], blocks: list[Block], ground: str, sources: set[str]
) -> Block:
    """Choose the input that goes straight down: one at ground, or with nothing but a short branch to ground."""

    def below(terminal: Terminal) -> Branch | None:
        if terminal.node == ground:
            return Branch((ground, ground), ())
        if any(terminal.node in (s.start, s.end) for s in series):
            return None
        others = sum(t.node == terminal.node for b in blocks for t in _terminals(b))
        own = [s for s in shunts if s.start == terminal.node]
        if others > 1 or len(own) != 1 or len(own[0].parts) > 2:
            return None
        return own[0]

    def cost(pair: tuple[Terminal, Branch]) -> tuple[bool, bool]:
        parts = pair[1].parts
        return any(part.name in sources for part in parts), len(parts) > 0

    # The last throw and the non-inverting input are the ones usually drawn lower; sources rather stand by the rail.
    candidates = [(terminal, below(terminal)) for terminal in reversed(block.inputs)]
    usable = [(terminal, branch) for terminal, branch in candidates if branch is not None]
    if not usable:
        return block
    terminal, branch = min(usable, key=cost)
    return Block(name=block.name, inputs=block.inputs, output=block.output, lower=terminal.role, below=branch)
