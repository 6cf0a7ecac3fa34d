"""The order of nodes along the top rail, and which connections must pass above it.

Nodes stand on a line; two neighbours are joined along the line, all others by an arc above it; ground lies below.
Arcs do not cross exactly when the order is a one-page book embedding, which exists for every outerplanar graph.
The order sought has the fewest crossings, then the shortest arcs, then sources to the left and storage to the right.

References
----------
F. Bernhart, P. C. Kainen, The book thickness of a graph, J. Combin. Theory B 27 (1979) 320-331: one page suffices
exactly for outerplanar graphs (from memory).
"""

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple, TypeAlias

from grader.reports.drawing.chains import Block, Branch, Parts


class RailPlace(NamedTuple):
    """Something that stands on the line: a node (``block`` empty), or a terminal of a block."""

    node: str
    block: str = ""
    role: str = ""


class Link(NamedTuple):
    """A connection of two places; no branch: a plain wire."""

    one: RailPlace
    other: RailPlace
    branch: Branch | None


class Arc(NamedTuple):
    """A link in its place: level 0 along the rail, 1, 2 … above it."""

    left: int
    right: int
    level: int
    branch: Branch | None


class Order(NamedTuple):
    """The places from left to right, the arcs between them, and what hangs from each place to ground."""

    places: tuple[RailPlace, ...]
    arcs: tuple[Arc, ...]
    shunts: Mapping[RailPlace, tuple[Branch, ...]]


Unit: TypeAlias = tuple[tuple[RailPlace, ...], ...]
"""Places that stay side by side, in each order allowed."""

EXHAUSTIVE = 3000
"""Orders tried one by one, some 0.1 s; beyond, places are moved as long as that helps."""


def arrange(parts: Parts, left: frozenset[str], right: frozenset[str]) -> Order:
    """Find the order of a connected part: these elements rather at the left (sources), those at the right (storage)."""
    shunts: dict[RailPlace, list[Branch]] = {}
    for branch in parts.shunts:
        shunts.setdefault(RailPlace(branch.start), []).append(branch)
    links = [Link(RailPlace(b.start), RailPlace(b.end), b) for b in parts.series]
    for block in parts.blocks:
        links += _block_links(block, parts.ground, shunts)
    nodes = dict.fromkeys((*shunts, *(place for link in links for place in link[:2] if not place.block)))
    units: list[Unit] = [((place,),) for place in nodes]
    units += [_variants(block) for block in parts.blocks]
    search = _Search(units, links, shunts, left, right)
    places = search.best()
    hanging = {place: tuple(sorted(own, key=_shunt_order(left, right))) for place, own in shunts.items()}
    links, places, hanging = _unrolled(links, places, hanging, left)
    return Order(places, _levels(links, places), hanging)


def _block_links(block: Block, ground: str, shunts: dict[RailPlace, list[Branch]]) -> list[Link]:
    links = []
    for terminal in (*block.inputs, block.output):
        if terminal.role == block.lower:
            continue
        end = RailPlace(terminal.node)
        if terminal.node == ground:
            # A terminal at ground that cannot go straight down gets a bare connection of its own.
            end = RailPlace(f"{ground} {block.name} {terminal.role}")
            shunts[end] = [Branch((end.node, ground), ())]
        links.append(Link(RailPlace(terminal.node, block.name, terminal.role), end, None))
    return links


def _variants(block: Block) -> Unit:
    """Ways to place a block: which input lies on the rail (the first, or last when mirrored), which are raised."""
    inputs = [RailPlace(t.node, block.name, t.role) for t in block.inputs if t.role != block.lower]
    output = RailPlace(block.output.node, block.name, block.output.role)
    orders = [(main, *(i for i in inputs if i != main), output) for main in inputs]
    if block.output.role == "common":  # a switch may face either way, an amplifier points to the right
        orders += [order[::-1] for order in orders]
    return tuple(orders)


class _Search:
    """Counts what is bad in an order, and looks for the order with the least of it."""

    def __init__(
        self,
        units: list[Unit],
        links: list[Link],
        shunts: Mapping[RailPlace, Sequence[Branch]],
        left: frozenset[str],
        right: frozenset[str],
    ) -> None:
        self.units = units
        self.pairs = list(dict.fromkeys((link.one, link.other) for link in links))
        self.pull = {
            place: sum((name in left) - (name in right) for branch in own for name, _ in branch.parts)
            for place, own in shunts.items()
        }

    def best(self) -> tuple[RailPlace, ...]:
        count = math.factorial(len(self.units)) * math.prod(len(unit) for unit in self.units)
        if count <= EXHAUSTIVE:
            return min((_flat(order) for order in self._all()), key=self.cost)
        starts = [self._walk(first) for first in range(len(self.units))]
        return _flat(min(map(self._improved, starts), key=lambda order: self.cost(_flat(order))))

    def _all(self) -> Iterator[tuple[tuple[RailPlace, ...], ...]]:
        for permuted in itertools.permutations(self.units):
            yield from itertools.product(*permuted)

    def cost(self, places: tuple[RailPlace, ...]) -> tuple[int, int, int, int]:
        at = {place: index for index, place in enumerate(places)}
        spans = [(min(at[a], at[b]), max(at[a], at[b])) for a, b in self.pairs]
        crossings = sum(a < c < b < d or c < a < d < b for (a, b), (c, d) in itertools.combinations(spans, 2))
        raised = sum(b - a for a, b in spans if b - a > 1 or not (on_rail(a, places) and on_rail(b, places)))
        pull = sum(weight * at[place] for place, weight in self.pull.items())
        stated = [at[variant[0]] for unit in self.units for variant in unit[:1]]
        disorder = sum(a > b for a, b in itertools.pairwise(stated))
        return crossings, raised, pull, disorder

    def _walk(self, first: int) -> list[tuple[RailPlace, ...]]:
        """The units in the order met on a walk from one of them: for a plain ladder's end, the right order."""
        chosen = [unit[0] for unit in self.units]
        unit_of = {place: number for number, places in enumerate(chosen) for place in places}
        near: dict[int, list[int]] = {number: [] for number in range(len(chosen))}
        for a, b in self.pairs:
            near[unit_of[a]].append(unit_of[b])
            near[unit_of[b]].append(unit_of[a])
        seen: list[int] = []
        waiting = [*range(len(chosen)), first]
        while waiting:
            number = waiting.pop()
            if number not in seen:
                seen.append(number)
                waiting += reversed(near[number])
        return [chosen[number] for number in seen]

    def _improved(self, order: list[tuple[RailPlace, ...]]) -> list[tuple[RailPlace, ...]]:
        """Move one unit at a time to where it does most good, until nothing helps."""
        best, best_cost = order, self.cost(_flat(order))
        better = True
        while better:
            better = False
            for candidate in self._moves(best):
                cost = self.cost(_flat(candidate))
                if cost < best_cost:
                    best, best_cost, better = candidate, cost, True
                    break
        return best

    def _moves(self, order: list[tuple[RailPlace, ...]]) -> Iterator[list[tuple[RailPlace, ...]]]:
        variants = {frozenset(unit[0]): unit for unit in self.units}
        for index, places in enumerate(order):
            rest = order[:index] + order[index + 1 :]
            for variant in variants[frozenset(places)]:
                for target in range(len(order)):
                    if target != index or variant != places:
                        yield [*rest[:target], variant, *rest[target:]]


def on_rail(index: int, places: Sequence[RailPlace]) -> bool:
    """Whether a place lies on the rail: all but the inputs in the middle of a block."""
    block = places[index].block
    return (
        not block or not 0 < index < len(places) - 1 or not places[index - 1].block == block == places[index + 1].block
    )


def _flat(order: Iterable[tuple[RailPlace, ...]]) -> tuple[RailPlace, ...]:
    return tuple(itertools.chain.from_iterable(order))


def _shunt_order(left: frozenset[str], right: frozenset[str]) -> Callable[[Branch], int]:
    def key(branch: Branch) -> int:
        names = [part.name for part in branch.parts]
        return any(name in right for name in names) - 2 * any(name in left for name in names)

    return key


def _unrolled(
    links: list[Link],
    places: tuple[RailPlace, ...],
    shunts: dict[RailPlace, tuple[Branch, ...]],
    left: frozenset[str],
) -> tuple[list[Link], tuple[RailPlace, ...], dict[RailPlace, tuple[Branch, ...]]]:
    """Lay the last branch at the right end along the rail, all but its last element."""
    end = places[-1]
    own = shunts.get(end, ())
    long = [b for b in own if len(b.parts) > 1 and not any(part.name in left for part in b.parts)]
    if not long:
        return links, places, shunts
    flat, upright = long[-1].cut(len(long[-1].parts) - 1)
    corner = RailPlace(upright.start)
    kept = {**shunts, end: tuple(b for b in own if b is not long[-1]), corner: (upright,)}
    return [*links, Link(end, corner, flat)], (*places, corner), kept


def _levels(links: list[Link], places: tuple[RailPlace, ...]) -> tuple[Arc, ...]:
    at = {place: index for index, place in enumerate(places)}
    spans = []
    for link in links:
        a, b = at[link.one], at[link.other]
        branch = link.branch if a < b or link.branch is None else link.branch.turned()
        a, b = min(a, b), max(a, b)
        spans.append((a, b, b - a > 1 or not (on_rail(a, places) and on_rail(b, places)), branch))
    spans.sort(key=lambda span: (span[1] - span[0], span[2], span[0]))
    arcs: list[Arc] = []
    for a, b, raised, branch in spans:
        over = [arc.level for arc in arcs if max(a, arc.left) < min(b, arc.right)]
        arcs.append(Arc(a, b, 1 + max(over, default=0 if raised else -1), branch))
    return tuple(arcs)
