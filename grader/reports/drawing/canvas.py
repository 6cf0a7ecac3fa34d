"""What a finished drawing holds, in coordinates: symbols, texts, wires, dots, marks.  No SVG yet, so that it can be tested."""

import itertools
from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from msgspec import Struct, field

from grader.reports.drawing.measure import LEAD, LINE, SIZE, Note, Run, Runs, Slot, runs_width


class Box(NamedTuple):
    """A rectangle, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: "Box") -> bool:
        """Whether the two share an area."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )


class Symbol(NamedTuple):
    """An element's symbol: its strokes, moved to (x, y) and turned; ``owner`` is the element's name."""

    owner: str
    strokes: str
    x: float
    y: float
    turn: int
    box: Box


class Text(NamedTuple):
    """A line of text with its baseline at (x, y); ``anchor``: start, middle or end."""

    owner: str
    runs: Runs
    x: float
    y: float
    anchor: str
    strong: bool = False

    @property
    def box(self) -> Box:
        """The room it takes, estimated generously."""
        width = runs_width(self.runs)
        left = self.x - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        return Box(left, self.y - SIZE * 0.8, left + width, self.y + SIZE * 0.25)


class Wire(NamedTuple):
    """A straight piece of wire, lying or upright."""

    x1: float
    y1: float
    x2: float
    y2: float


class CanvasMark(NamedTuple):
    """A small mark: ``"+"``, ``"−"``, ``"dot"`` (of a winding), or an arrow ``"→" "←" "↓" "↑"`` on a wire."""

    kind: str
    x: float
    y: float


class Canvas(Struct):
    """A drawing under way."""

    symbols: list[Symbol] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    wires: list[Wire] = field(default_factory=list)
    marks: list[CanvasMark] = field(default_factory=list)
    grounds: list[tuple[float, float]] = field(default_factory=list)
    rings: list[tuple[float, float]] = field(default_factory=list)
    """Small open circles: terminals that the text names."""

    def wire(self, *points: tuple[float, float]) -> None:
        """A wire through several points; each piece lies or stands upright."""
        for (x1, y1), (x2, y2) in itertools.pairwise(points):
            if (x1, y1) != (x2, y2):
                self.wires.append(Wire(x1, y1, x2, y2))

    def text(self, owner: str, runs: Runs, x: float, y: float, anchor: str, strong: bool = False) -> None:
        """A line of text."""
        self.texts.append(Text(owner, runs, x, y, anchor, strong))

    def add(self, other: "Canvas", dx: float) -> None:
        """Put another drawing into this one, moved to the right."""
        for symbol in other.symbols:
            moved = symbol.box._replace(left=symbol.box.left + dx, right=symbol.box.right + dx)
            self.symbols.append(symbol._replace(x=symbol.x + dx, box=moved))
        self.texts += [text._replace(x=text.x + dx) for text in other.texts]
        self.wires += [wire._replace(x1=wire.x1 + dx, x2=wire.x2 + dx) for wire in other.wires]
        self.marks += [mark._replace(x=mark.x + dx) for mark in other.marks]
        self.grounds += [(x + dx, y) for x, y in other.grounds]
        self.rings += [(x + dx, y) for x, y in other.rings]

    def bounds(self) -> Box:
        """The rectangle around everything."""
        boxes = [s.box for s in self.symbols] + [t.box for t in self.texts]
        boxes += [Box(min(w.x1, w.x2), min(w.y1, w.y2), max(w.x1, w.x2), max(w.y1, w.y2)) for w in self.wires]
        boxes += [Box(m.x - 6, m.y - 6, m.x + 6, m.y + 6) for m in self.marks]
        boxes += [Box(x - 12, y, x + 12, y + 18) for x, y in self.grounds]
        return Box(
            min(b.left for b in boxes),
            min(b.top for b in boxes),
            max(b.right for b in boxes),
            max(b.bottom for b in boxes),
        )


def junctions(wires: Iterable[Wire]) -> list[tuple[float, float]]:
    """Points where three or more ends of wire meet, or one ends on another: these get a dot."""
    wires = list(wires)
    ends = Counter(point for w in wires for point in ((w.x1, w.y1), (w.x2, w.y2)))
    return [point for point, count in ends.items() if count + 2 * sum(_inside(point, w) for w in wires) > 2]


def crossings(wires: Iterable[Wire]) -> list[tuple[float, float]]:
    """Points where a lying and an upright wire pass each other without joining."""
    wires = list(wires)
    lying = [w for w in wires if w.y1 == w.y2]
    upright = [w for w in wires if w.x1 == w.x2]
    return [
        (v.x1, h.y1)
        for h in lying
        for v in upright
        if min(h.x1, h.x2) < v.x1 < max(h.x1, h.x2) and min(v.y1, v.y2) < h.y1 < max(v.y1, v.y2)
    ]


def _inside(point: tuple[float, float], w: Wire) -> bool:
    x, y = point
    if w.y1 == w.y2:
        return y == w.y1 and min(w.x1, w.x2) < x < max(w.x1, w.x2)
    return x == w.x1 and min(w.y1, w.y2) < y < max(w.y1, w.y2)


ARROWS = {(1, 0): "→", (-1, 0): "←", (0, 1): "↓", (0, -1): "↑"}


def place_element(
    canvas: Canvas, name: str, note: Note, slot: Slot, x: float, y: float, down: bool, forward: bool
) -> None:
    """Draw one element around its centre (x, y), its labels and marks; wires are the caller's.

    Parameters
    ----------
    slot : Slot
        The room it was given; only ``length`` is used.
    down : bool
        Upright (travelling downwards) or lying (travelling to the right).
    forward : bool
        Whether travel goes from its first node to its second.
    """
    shape, half = note.shape, slot.length / 2
    if down:
        box = Box(x - shape.below, y - half, x + shape.above, y + half)
        top = y - LINE * len(note.lines) / 2
        for index, line in enumerate(note.lines):
            canvas.text(name, (Run(line),), x + shape.above + 6, top + LINE * index + 11, "start", index == 0)
    else:
        box = Box(x - half, y - shape.above, x + half, y + shape.below)
        bottom = y - shape.above - 5
        for index, line in enumerate(reversed(note.lines)):
            last = index == len(note.lines) - 1
            canvas.text(name, (Run(line),), x, bottom - LINE * index - 3, "middle", last)
    canvas.symbols.append(Symbol(name, shape.strokes, x, y, 90 if down else 0, box))
    _marks(canvas, name, note, x, y, down, forward)


def _marks(canvas: Canvas, name: str, note: Note, x: float, y: float, down: bool, forward: bool) -> None:
    half = note.shape.length / 2
    first, second = (-1, 1) if forward else (1, -1)
    if note.polarity:
        for side, kind in ((first, "+"), (second, "−")):
            place = (x - 9, y + side * (half + 8)) if down else (x + side * (half + 8), y + 9)
            canvas.marks.append(CanvasMark(kind, *place))
    if note.voltage:
        if down:
            canvas.text(name, note.voltage, x - note.shape.below - 6, y + 4, "end")
        else:
            canvas.text(name, note.voltage, x, y + max(note.shape.below, 6) + 13, "middle")
    if note.dot:
        place = (x - 7, y + first * (half - 4)) if down else (x + first * (half - 4), y + 7)
        canvas.marks.append(CanvasMark("dot", *place))
    if note.arrow:
        room = 20 if down or not note.current else max(20, runs_width(note.current) + 8)
        away = half + LEAD + room / 2
        kind = ARROWS[(0, -first) if down else (-first, 0)]
        at = (x, y - away) if down else (x - away, y)
        canvas.marks.append(CanvasMark(kind, *at))
        if note.current and down:
            canvas.text(name, note.current, x - 9, y - away + 4, "end")
        elif note.current:
            canvas.text(name, note.current, x - away, y + 18, "middle")
