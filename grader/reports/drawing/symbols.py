"""Shapes of the symbols, after IEC 60617 (from memory): drawn lying, centred on the origin, terminals on the x axis.

Lengths are in pixels of the drawing.  An upright symbol is the lying one turned clockwise by 90 degrees, so that what
lies above it comes to its right.
"""

from collections.abc import Sequence
from typing import ClassVar, NamedTuple

from grader.circuit.elements import (
    Capacitor,
    Circuit,
    CurrentSource,
    Element,
    IdealTransformer,
    Inductor,
    Resistor,
    Switch,
    TwoTerminal,
    VoltageSource,
)


class Shape(NamedTuple):
    """``length`` between the terminals, what it covers ``above`` and ``below`` the axis, and its SVG strokes."""

    length: float
    above: float
    below: float
    strokes: str


def format_coordinate(number: float) -> str:
    """A coordinate in SVG: at most one decimal, so that files stay small and equal on every machine."""
    text = f"{number:.1f}"
    return "0" if text == "-0.0" else text.removesuffix(".0")


def arrow_head(x: float, y: float, dx: float, dy: float, size: float = 7) -> str:
    """A filled triangle with its tip at (x, y), pointing along the unit vector (dx, dy)."""
    back_x, back_y, half = x - size * dx, y - size * dy, size * 0.4
    left = f"{format_coordinate(back_x - half * dy)} {format_coordinate(back_y + half * dx)}"
    right = f"{format_coordinate(back_x + half * dy)} {format_coordinate(back_y - half * dx)}"
    return (
        f'<path d="M{format_coordinate(x)} {format_coordinate(y)}L{left}L{right}Z" fill="currentColor" stroke="none"/>'
    )


RESISTOR = Shape(44, 8, 8, '<rect x="-22" y="-7" width="44" height="14"/>')
ZIGZAG = Shape(44, 8, 8, '<path d="M-22 0L-18.3 -7L-11 7L-3.7 -7L3.7 7L11 -7L18.3 7L22 0"/>')
"""A resistor after IEEE 315 (from memory)."""
INDUCTOR = Shape(44, 8, 2, f'<path d="M-22 0{"a5.5 6.5 0 0 1 11 0" * 4}"/>')
CAPACITOR = Shape(8, 14, 14, '<path d="M-4 -13V13M4 -13V13" stroke-width="2"/>')
VOLTAGE_SOURCE = Shape(30, 16, 16, '<circle r="15"/><path d="M-15 0H15"/>')
CURRENT_SOURCE = Shape(30, 16, 16, '<circle r="15"/><path d="M0 -15V15"/>')
DEPENDENT_VOLTAGE = Shape(36, 16, 16, '<path d="M-18 0L0 -15L18 0L0 15Z"/><path d="M-18 0H18"/>')
DEPENDENT_CURRENT = Shape(36, 16, 16, '<path d="M-18 0L0 -15L18 0L0 15Z"/><path d="M0 -15V15"/>')

SHAPES = {
    Resistor.kind: RESISTOR,
    Inductor.kind: INDUCTOR,
    IdealTransformer.kind: INDUCTOR,
    Capacitor.kind: CAPACITOR,
    VoltageSource.kind: VOLTAGE_SOURCE,
    CurrentSource.kind: CURRENT_SOURCE,
    "voltage-controlled voltage source": DEPENDENT_VOLTAGE,
    "current-controlled voltage source": DEPENDENT_VOLTAGE,
    "voltage-controlled current source": DEPENDENT_CURRENT,
    "current-controlled current source": DEPENDENT_CURRENT,
}
"""The shape of each kind that has one; a transformer's winding, drawn for itself, is of the transformer's kind."""

_CONTACTS = '<circle cx="-15" r="2.5"/><circle cx="15" r="2.5"/>'
OPEN_SWITCH = Shape(
    35,
    19,
    4,
    f'{_CONTACTS}<path d="M-12.8 -1.1L11 -13"/><path d="M16.5 -17Q20 -12 17.5 -7"/>{arrow_head(16, -3.5, -0.38, 0.92, 6)}',
)
CLOSED_SWITCH = Shape(
    35,
    19,
    4,
    f'{_CONTACTS}<path d="M-12.5 0H12.5"/><path d="M10 -4Q12 -8 10.5 -12"/>{arrow_head(8.5, -18, -0.3, -0.95, 6)}',
)


class Winding(TwoTerminal, frozen=True, kw_only=True):
    """One of the two windings of an ideal transformer, as it is drawn."""

    kind: ClassVar[str] = IdealTransformer.kind
    of: IdealTransformer


def wound(circuit: Circuit) -> Circuit:
    """A circuit with two windings in place of each ideal transformer, as it is drawn."""
    elements: list[Element] = []
    for element in circuit.elements:
        if isinstance(element, IdealTransformer):
            for name, nodes in ((element.name, element.primary), (element.second, element.secondary)):
                elements.append(Winding(name=name, between=nodes, of=element))
        else:
            elements.append(element)
    return Circuit(elements=tuple(elements), ground=circuit.ground)


def shape_of(element: Element, resistors: str) -> Shape:
    """The shape of a two-terminal element; a switch is drawn as it is before its first action."""
    if isinstance(element, Resistor) and resistors == "zigzag":
        return ZIGZAG
    if isinstance(element, Switch):
        return CLOSED_SWITCH if element.before else OPEN_SWITCH
    return SHAPES[element.kind]


GROUND = '<path d="M0 0V8M-12 8H12M-7.5 12.5H7.5M-3 17H3"/>'


class BlockSize(NamedTuple):
    """Width of a block's symbol, distance of its inputs, what it covers beyond them, and the gap before a wire."""

    width: float
    pitch: float
    rim: float
    gap: float


CHANGEOVER, AMPLIFIER = BlockSize(44, 30, 5, 2.5), BlockSize(64, 40, 22, 0.0)


def changeover(contacts: Sequence[float], before: float, after: float) -> str:
    """A changeover switch: its common terminal at the right on the axis, its contacts at the left.

    Parameters
    ----------
    contacts : sequence of float
        Heights (y) of the contacts.
    before, after : float
        The contact it rests on before its first action, and the one it goes to.
    """
    circles = "".join(f'<circle cy="{format_coordinate(y)}" r="2.5"/>' for y in contacts)
    common = f'<circle cx="{CHANGEOVER.width}" r="2.5"/>'
    slope = before / CHANGEOVER.width
    blade = f'<path d="M{CHANGEOVER.width - 2.5} {format_coordinate(slope * 2.5)}L2.5 {format_coordinate(before - slope * 2.5)}"/>'
    sense = 1 if after > before else -1
    tail, tip = before + sense * 6, after - sense * 6
    arrow = f'<path d="M3 {format_coordinate(tail)}Q-2 {format_coordinate((tail + tip) / 2)} 1 {format_coordinate(tip - sense * 4)}"/>'
    return circles + common + blade + arrow + arrow_head(2.5, tip, 0.3, 0.95 * sense, 6)


def amplifier(top: float, bottom: float, signs: Sequence[tuple[float, str]]) -> str:
    """An ideal op amp: a box from `top` to `bottom`, its left edge at x = 0, its output at the right on the axis.

    ``signs``: the height of each input and its sign.
    """
    box = f'<rect x="0" y="{format_coordinate(top)}" width="{AMPLIFIER.width}" height="{format_coordinate(bottom - top)}"/>'
    marks = "".join(sign(9, y, text) for y, text in (*signs,)) + sign(AMPLIFIER.width - 9, 0, "+")
    y = top + 13
    triangle = f'<path d="M20 {format_coordinate(y - 6)}V{format_coordinate(y + 6)}L31 {format_coordinate(y)}Z"/>'
    endless = f'<path d="M42 {format_coordinate(y)}q-4 -6 -8 0q4 6 8 0q4 -6 8 0q-4 6 -8 0"/>'
    return box + marks + triangle + endless


def sign(x: float, y: float, text: str) -> str:
    """A plus or a minus as strokes, 8 wide: not a letter, so that it stays put in every font."""
    upright = f"M{format_coordinate(x)} {format_coordinate(y - 4)}V{format_coordinate(y + 4)}" if text == "+" else ""
    return f'<path d="M{format_coordinate(x - 4)} {format_coordinate(y)}H{format_coordinate(x + 4)}{upright}"/>'
