"""What a finished drawing says, read back from its lines alone: an independent check of the layout."""

import itertools

from grader.circuit.elements import ChangeoverSwitch, Circuit, IdealOpAmp
from grader.reports.drawing.canvas import Box, Canvas, Wire

NEAR = 1e-6


def wire_box(wire: Wire) -> Box:
    return Box(min(wire.x1, wire.x2), min(wire.y1, wire.y2), max(wire.x1, wire.x2), max(wire.y1, wire.y2))


def on(point: tuple[float, float], wire: Wire) -> bool:
    x, y = point
    box = wire_box(wire)
    return box.left - NEAR <= x <= box.right + NEAR and box.top - NEAR <= y <= box.bottom + NEAR


def nets(canvas: Canvas) -> list[list[Wire]]:
    """Wires that are joined: an end of one lies on the other.  Wires that merely cross are not joined."""
    groups: list[list[Wire]] = []
    for wire in canvas.wires:
        ends = [(wire.x1, wire.y1), (wire.x2, wire.y2)]
        touching = [
            group
            for group in groups
            if any(
                any(on(end, other) for end in ends) or on((other.x1, other.y1), wire) or on((other.x2, other.y2), wire)
                for other in group
            )
        ]
        merged = [wire, *itertools.chain.from_iterable(touching)]
        groups = [group for group in groups if group not in touching] + [merged]
    return groups


def terminals(canvas: Canvas, circuit: Circuit) -> dict[str, list[tuple[float, float]]]:
    """Where the symbols of two-terminal elements end."""
    found = {}
    for symbol in canvas.symbols:
        if isinstance(circuit.element(symbol.owner), (ChangeoverSwitch, IdealOpAmp)):
            continue
        box = symbol.box
        ends = (
            [(symbol.x, box.top), (symbol.x, box.bottom)]
            if symbol.turn
            else [(box.left, symbol.y), (box.right, symbol.y)]
        )
        found[symbol.owner] = ends
    return found


def drawn_connections(canvas: Canvas, circuit: Circuit) -> dict[str, tuple[int, int]]:
    """The net at each end of each two-terminal element."""
    groups = nets(canvas)

    def net(point: tuple[float, float]) -> int:
        at = [index for index, group in enumerate(groups) if any(on(point, wire) for wire in group)]
        assert len(at) == 1, f"a terminal at {point} touches {len(at)} nets"
        return at[0]

    return {name: (net(ends[0]), net(ends[1])) for name, ends in terminals(canvas, circuit).items()}


def inner(box: Box, by: float = 0.5) -> Box:
    return Box(box.left + by, box.top + by, box.right - by, box.bottom - by)


def collisions(canvas: Canvas) -> list[str]:
    """Labels and symbols that share an area, and wires that run through them."""
    found = []
    things = [(f"symbol {s.owner}", inner(s.box)) for s in canvas.symbols]
    things += [(f"text {''.join(r.text for r in t.runs)!r} of {t.owner}", inner(t.box)) for t in canvas.texts]
    for (one, a), (other, b) in itertools.combinations(things, 2):
        if a.overlaps(b):
            found.append(f"{one} overlaps {other}")
    for wire in canvas.wires:
        box = wire_box(wire)
        line = Box(box.left - 0.1, box.top - 0.1, box.right + 0.1, box.bottom + 0.1)
        found += [f"{name} is crossed by {wire}" for name, area in things if area.overlaps(line)]
    return found


def check(canvas: Canvas, circuit: Circuit) -> None:
    """Every element once, connected as stated, nothing on top of anything."""
    two_ended = [e for e in circuit.elements if hasattr(e, "between")]
    blocks = [e for e in circuit.elements if isinstance(e, (ChangeoverSwitch, IdealOpAmp))]
    assert sorted(s.owner for s in canvas.symbols) == sorted(e.name for e in (*two_ended, *blocks))
    drawn = drawn_connections(canvas, circuit)
    for name, pair in drawn.items():
        assert pair[0] != pair[1], f"{name} is drawn shorted"
    assert nodes_of_nets(drawn, {e.name: e.between for e in two_ended}, block_nets(canvas, blocks)), (
        "connected otherwise"
    )
    found = collisions(canvas)
    assert not found, found


def block_nodes(block: ChangeoverSwitch | IdealOpAmp) -> tuple[list[str], list[str]]:
    """Nodes at the input side and at the other side."""
    if isinstance(block, IdealOpAmp):
        return [block.non_inverting, block.inverting], [block.output]
    return list(dict.fromkeys((block.before, *(throw for _, throw in block.actions)))), [block.common]


def block_nets(canvas: Canvas, blocks: list) -> list[tuple[list[int], list[int], list[str], list[str]]]:
    """Per block: the nets that touch its two sides, and the nodes that should."""
    groups, found = nets(canvas), []
    for block in blocks:
        box = next(s.box for s in canvas.symbols if s.owner == block.name)
        sides: tuple[list[int], list[int]] = ([], [])
        for index, group in enumerate(groups):
            for wire in group:
                for x, y in ((wire.x1, wire.y1), (wire.x2, wire.y2)):
                    if box.top - 3 <= y <= box.bottom + 3:
                        sides[0].extend([index] * (abs(x - box.left) < 3))
                        sides[1].extend([index] * (abs(x - box.right) < 3))
        inputs, output = block_nodes(block)
        if len(sides[0]) != len(inputs):
            sides = sides[::-1]
        assert (len(sides[0]), len(sides[1])) == (len(inputs), len(output)), f"{block.name} has other terminals"
        found.append((*sides, inputs, output))
    return found


def nodes_of_nets(drawn: dict, stated: dict, blocks: list) -> bool:
    """Whether nets can be given the names of nodes, one each, so that everything joins the nodes stated."""
    choices = [
        [list(zip(nets_here, order, strict=True)) for order in (stated[name], stated[name][::-1])]
        for name, nets_here in sorted(drawn.items())
    ]
    for inputs, output, input_nodes, output_nodes in blocks:
        choices.append(
            [
                [*zip(inputs, order, strict=True), *zip(output, output_nodes, strict=True)]
                for order in itertools.permutations(input_nodes)
            ]
        )

    def place(index: int, net_node: dict[int, str], node_net: dict[str, int]) -> bool:
        if index == len(choices):
            return True
        for choice in choices[index]:
            ahead, back = dict(net_node), dict(node_net)
            fits = all(
                ahead.setdefault(net, node) == node and back.setdefault(node, net) == net for net, node in choice
            )
            if fits and place(index + 1, ahead, back):
                return True
        return False

    return place(0, {}, {})
