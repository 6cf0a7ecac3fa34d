"""A problem's circuit as a schematic: SVG that prints well and says in words what it shows."""

import re
import textwrap
from collections.abc import Iterable, Mapping, Sequence

from grader.circuit.elements import (
    ChangeoverSwitch,
    Circuit,
    CoupledInductors,
    DependentSource,
    Element,
    IdealOpAmp,
    Signal,
    Source,
    Storage,
)
from grader.problem import RESISTORS, Problem
from grader.reports.drawing.blocks import Body
from grader.reports.drawing.canvas import Canvas, Wire, crossings, junctions
from grader.reports.drawing.chains import Block, take_apart
from grader.reports.drawing.labels import label_lines, remark, sentence
from grader.reports.drawing.layout import SchematicLayout
from grader.reports.drawing.measure import SIZE, SMALL, Note, Run, Runs
from grader.reports.drawing.order import arrange
from grader.reports.drawing.symbols import GROUND, Winding, arrow_head, format_coordinate, shape_of, sign, wound
from grader.reports.pages import page
from grader.solution import Picture

MARGIN = 12
FITS = 520
"""Pixels; a drawing no wider may shrink to a phone's screen and stay legible, a wider one scrolls."""

WIDEST = 60
"""Characters of a line below a drawing."""

HOP = 5
"""Radius of the bridge where two wires pass without joining."""

VOLTAGE_LETTER = {"voltage": "v", "charge": "q"}
CURRENT_LETTER = {"current": "i", "flux": "λ"}


def schematic(problem: Problem, spoken: Iterable[str] = (), *, marked: Sequence[str] = (), id: str = "") -> str:
    """The schematic of a problem as an SVG element, "" where the problem has no circuit.

    The signals asked are marked with + and − or an arrow, so that reference directions need no words.

    Parameters
    ----------
    problem : Problem
        Its circuit, the values as written, and the items (for the signals asked).
    spoken : iterable of str
        Nodes that the text beside the drawing speaks of; their names are drawn.
    marked : sequence of str
        Elements that are framed.
    id : str
        Tells the drawing from others of the same problem on a page.
    """
    if problem.circuit is None:
        return ""
    signals = [item.signal for item in problem.items if item.signal is not None]
    written = dict(problem.values)
    named = nodes_asked_about(problem) | (frozenset(spoken) - {problem.circuit.ground})
    canvas = draw(problem.circuit, written, signals, named, problem.resistors)
    said = (*describe(problem.circuit, written), *((f"Framed: {', '.join(marked)}.",) if marked else ()))
    return _svg(canvas, id or problem.id, f"Circuit of {problem.title}", said, marked)


def nodes_asked_about(problem: Problem) -> frozenset[str]:
    """The nodes that a problem's text, its questions or their hints call by name.

    A node called ``a`` is one where the text says so; elsewhere "a" is an article.
    """
    assert problem.circuit is not None
    texts = " ".join((problem.text, *(f"{item.text} {item.hint}" for item in problem.items)))
    words = {*re.findall(r"\b(?:v_)?(\w+)", texts)} - {"a"}
    words.update(re.findall(r"\b(?:(?:nodes?|terminals?|between|from)\s+|v_)(a)\b", texts))
    between = (node for item in problem.items for node in item.between or ())
    return problem.circuit.nodes & {*words, *between}


def reduced_schematic(problem: Problem, picture: Picture, spoken: Iterable[str], id: str) -> str:
    """A part of a problem's circuit that the worked solution speaks of."""
    named = frozenset(spoken) - {picture.circuit.ground}
    canvas = draw(picture.circuit, dict(problem.values), spoken=named, resistors=problem.resistors)
    if not picture.grounded:
        canvas.grounds.clear()
    return _svg(canvas, id, picture.title, ())


def describe(circuit: Circuit, written: Mapping[str, str]) -> tuple[str, ...]:
    """Every element in a sentence: what it is, its value, where it is connected; then what is counted from where."""
    directions = (
        "An element's voltage has its plus at the node named first, and its current is counted from there, "
        f"through the element. Node voltages refer to {circuit.ground}."
    )
    return (*(sentence(element, written) for element in circuit.elements), directions)


def draw(
    circuit: Circuit,
    written: Mapping[str, str],
    signals: Iterable[Signal] = (),
    spoken: Iterable[str] = (),
    resistors: str = RESISTORS[0],
) -> Canvas:
    """Lay the circuit out, with values as the instructor wrote them, directions of signals and names of further nodes."""
    circuit = wound(circuit)
    signals = (*signals, *_controls(circuit), *_initials(circuit))
    asked = frozenset(node for s in signals if not isinstance(s.of, str) for node in s.of)
    named = asked | _throws(circuit) | frozenset(spoken)
    notes = _notes(circuit, written, signals, resistors)
    left = frozenset(e.name for e in circuit.elements if isinstance(e, Source))
    right = frozenset(e.name for e in circuit.elements if isinstance(e, Storage))
    whole = Canvas()
    edge = 0.0
    for parts in take_apart(circuit, named):
        bodies = {block.name: _body(circuit, block, written, named) for block in parts.blocks}
        part = SchematicLayout(arrange(parts, left, right), notes, bodies, named, parts).draw()
        bounds = part.bounds()
        whole.add(part, edge - bounds.left)
        edge += bounds.right - bounds.left + 4 * MARGIN
    _remarks(circuit, written, whole)
    return whole


def _body(circuit: Circuit, block: Block, written: Mapping[str, str], named: frozenset[str]) -> Body:
    element = circuit.element(block.name)
    assert isinstance(element, (ChangeoverSwitch, IdealOpAmp))
    lower = next((t.node for t in block.inputs if t.role == block.lower), "")
    shown = lower if lower in named - {circuit.ground} else ""
    return Body(element=element, block=block, lines=label_lines(element, written), lower_name=shown)


def _controls(circuit: Circuit) -> tuple[Signal, ...]:
    """What controls the dependent sources: marked like the signals asked."""
    return tuple(Signal(kind=e.controlled_by, of=e.control) for e in circuit.elements if isinstance(e, DependentSource))


def _initials(circuit: Circuit) -> tuple[Signal, ...]:
    """What is given at the beginning: without its direction its sign would mean nothing."""
    storage = (e for e in circuit.elements if isinstance(e, Storage) and e.initial)
    return tuple(Signal(kind=e.stores, of=e.name) for e in storage)


def _throws(circuit: Circuit) -> frozenset[str]:
    """Throws named because a changeover switch acts more than once, so that its label can say where it goes."""
    return frozenset(
        node
        for e in circuit.elements
        if isinstance(e, ChangeoverSwitch) and len(e.actions) > 1
        for node in e.throws
        if node != circuit.ground
    )


def _notes(circuit: Circuit, written: Mapping[str, str], signals: Iterable[Signal], resistors: str) -> dict[str, Note]:
    voltages: dict[str, Runs] = {}
    currents: dict[str, Runs] = {}
    for signal in signals:
        if isinstance(signal.of, str):
            if signal.kind in VOLTAGE_LETTER:
                voltages.setdefault(signal.of, _symbol(VOLTAGE_LETTER[signal.kind], signal.of))
            elif signal.kind in CURRENT_LETTER:
                currents.setdefault(signal.of, _symbol(CURRENT_LETTER[signal.kind], signal.of))
    dotted = {name for e in circuit.elements if isinstance(e, CoupledInductors) for name in e.inductors}
    notes = {}
    for element in circuit.elements:
        if not hasattr(element, "between"):
            continue
        name = element.name
        notes[name] = Note(
            shape=shape_of(element, resistors),
            lines=label_lines(element, written),
            polarity=name in voltages or _delivers(element) == "voltage",
            voltage=voltages.get(name, ()),
            arrow=name in currents or _delivers(element) == "current",
            current=currents.get(name, ()),
            dot=name in dotted or isinstance(element, Winding),
        )
    return notes


def _delivers(element: Element) -> str:
    return element.delivers if isinstance(element, (Source, DependentSource)) else ""


def _symbol(letter: str, name: str) -> Runs:
    return Run(letter, "italic"), Run(name, "sub")


def _remarks(circuit: Circuit, written: Mapping[str, str], canvas: Canvas) -> None:
    bounds = canvas.bounds()
    y = bounds.bottom + 16
    for element in circuit.elements:
        for line in textwrap.wrap(remark(element, written), WIDEST):
            canvas.text(element.name, (Run(line),), bounds.left, y, "start")
            y += 16


# -- SVG -----------------------------------------------------------------------------------------


def _svg(canvas: Canvas, id: str, title: str, sentences: Iterable[str], marked: Sequence[str] = ()) -> str:
    bounds = canvas.bounds()
    left, top = bounds.left - MARGIN, bounds.top - MARGIN
    width, height = bounds.right - left + MARGIN, bounds.bottom - top + MARGIN
    hops = set(crossings(canvas.wires))
    return page(
        "schematic.svg", id=id, title=title, said=" ".join(sentences),
        left=left, top=top, width=width, height=height, fits=width <= FITS,
        canvas=canvas,
        wires="".join(_wire(w, hops) for w in canvas.wires),
        dots=junctions(canvas.wires),
        framed=[symbol.box for symbol in canvas.symbols if symbol.owner in marked],
        marks="".join(_mark(kind, x, y) for kind, x, y in canvas.marks),
        ground=GROUND, size=SIZE, small=SMALL,
    )  # fmt: skip


def _wire(w: Wire, hops: set[tuple[float, float]]) -> str:
    """A stroke; a lying wire bridges the upright ones it does not join."""
    path = f"M{format_coordinate(w.x1)} {format_coordinate(w.y1)}"
    if w.x1 == w.x2:
        return f"{path}V{format_coordinate(w.y2)}"
    path = f"M{format_coordinate(min(w.x1, w.x2))} {format_coordinate(w.y1)}"
    for x, y in sorted(hops):
        if y == w.y1 and min(w.x1, w.x2) < x < max(w.x1, w.x2):
            path += f"H{format_coordinate(x - HOP)}a{HOP} {HOP} 0 0 1 {2 * HOP} 0"
    return f"{path}H{format_coordinate(max(w.x1, w.x2))}"


def _mark(kind: str, x: float, y: float) -> str:
    if kind == "dot":
        return f'<circle cx="{format_coordinate(x)}" cy="{format_coordinate(y)}" r="2.6" fill="currentColor" stroke="none"/>'
    if kind in ("+", "−"):
        return sign(x, y, kind)
    dx, dy = {"→": (1, 0), "←": (-1, 0), "↓": (0, 1), "↑": (0, -1)}[kind]
    return arrow_head(x + 4 * dx, y + 4 * dy, dx, dy, 9)
