"""How much room elements and their labels take, before anything is placed."""

from typing import NamedTuple

from msgspec import Struct

from grader.reports.drawing.symbols import Shape

SIZE, SMALL, LINE = 13, 10, 15
"""Font sizes of labels and of their subscripts, and the distance of lines, in pixels."""

LEAD = 18
"""Wire shown at each end of a symbol; the marks + and − stand beside it."""


class Run(NamedTuple):
    """A piece of a label in one style: ``""``, ``"sub"`` or ``"italic"``."""

    text: str
    style: str = ""


Runs = tuple[Run, ...]


class Note(Struct, frozen=True, kw_only=True):
    """What is drawn for a two-terminal element.

    ``polarity``: + and − beside its ends, + at its first node; ``voltage`` the label between them.
    ``arrow``: the direction of its current, first node to second; ``current`` the label beside it.
    ``dot``: the winding's dot at its first node.
    """

    shape: Shape
    lines: tuple[str, ...]
    polarity: bool = False
    voltage: Runs = ()
    arrow: bool = False
    current: Runs = ()
    dot: bool = False


_NARROW = frozenset("ijltfI.,:;'|()[]/ ·")
_WIDE = frozenset("mwMWΩ∞@%—")


def text_width(text: str, size: float = SIZE) -> float:
    """A generous estimate for the sans-serif fonts of browsers and printers (no font is embedded)."""
    ems = 0.0
    for letter in text:
        if letter in _NARROW:
            ems += 0.36
        elif letter in _WIDE:
            ems += 0.92
        else:
            ems += 0.76 if letter.isupper() else 0.64
    return ems * size


def runs_width(runs: Runs) -> float:
    """The width of a label in several styles."""
    return sum(text_width(run.text, SMALL if run.style == "sub" else SIZE) for run in runs)


def lines_width(lines: tuple[str, ...]) -> float:
    """The width of the longest line."""
    return max((text_width(line) for line in lines), default=0.0)


class Slot(NamedTuple):
    """Room along a branch: wire before the symbol, the symbol, wire after; and across: left and right of travel.

    For a lying element travel is to the right, so ``left`` is above it; for an upright one it is downwards, so
    ``left`` is to its right.
    """

    before: float
    length: float
    after: float
    left: float
    right: float

    @property
    def along(self) -> float:
        """Room along the branch in all."""
        return self.before + self.length + self.after


def lying(note: Note) -> Slot:
    """Room of an element that lies along the rail: its label above it, marks below."""
    shape = note.shape
    lead = LEAD + arrow_room(note, upright=False)
    overhang = lines_width(note.lines) / 2 + 6 - shape.length / 2
    below = shape.below
    if note.polarity or note.arrow:
        below = max(below, 15)
    if note.current:
        below = max(below, 24)
    if note.voltage:
        below = max(below, max(shape.below, 6) + 18)
    return Slot(max(lead, overhang), shape.length, max(LEAD, overhang), shape.above + 5 + LINE * len(note.lines), below)


def upright(note: Note) -> Slot:
    """Room of an element that stands between the rails: its label to the right, marks to the left."""
    shape = note.shape
    lead = LEAD + arrow_room(note, upright=True)
    half = LINE * len(note.lines) / 2 + 3 - shape.length / 2
    left = shape.above + 6 + lines_width(note.lines)
    right = shape.below
    if note.polarity:
        right = max(right, 15)
    if note.voltage:
        right = max(right, shape.below + 6 + runs_width(note.voltage))
    if note.current:
        right = max(right, 10 + runs_width(note.current))
    return Slot(max(lead, half), shape.length, max(LEAD, half), left, right)


def arrow_room(note: Note, upright: bool) -> float:
    """Extra wire for an arrow before the symbol, so that its label clears the marks."""
    if not note.arrow:
        return 0
    return 20 if upright or not note.current else max(20, runs_width(note.current) + 8)
