"""Node equations of a resistive circuit as they stand on a board, with the values that solve them.

Closed switches and shorts merge nodes; a node that an independent source holds against ground is written as its
value; voltage sources elsewhere give an equation of their own and their two nodes are summed as one.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from typing import Any, NamedTuple

from msgspec.structs import replace

from grader.circuit.elements import (
    Circuit,
    CurrentSource,
    DependentSource,
    Element,
    IdealOpAmp,
    IdealTransformer,
    Nodes,
    Resistor,
    Signal,
    Source,
    Switch,
    Switching,
    TwoTerminal,
    VoltageSource,
)
from grader.circuit.network import branch, difference, grouped
from grader.circuit.statics import ResistiveCircuit, dc
from grader.errors import CircuitError, NotDefined
from grader.solution.board import BoardLine
from grader.solution.formula import ZERO, Formula, added, amount, name, number
from grader.values.dimension import CURRENT, RESISTANCE, VOLTAGE, Dimension
from grader.values.waveform import Waveform


class Notation(NamedTuple):
    """How voltages and values stand in the equations: as values, or as functions of s."""

    letters: Mapping[str, str]
    """Of a voltage and of a current."""
    amount: Callable[[Any, Dimension], Formula]
    through: Callable[[Formula, Any], Formula]
    """The current that a voltage drives through a resistance (or an impedance)."""
    line: Callable[[Formula, Waveform], BoardLine]
    """What gives a node's voltage."""


VALUES = Notation(
    letters={"voltage": "v", "current": "i"},
    amount=amount,
    through=lambda voltage, resistance: voltage / amount(resistance, RESISTANCE),
    line=lambda left, value: BoardLine(sides=(left,), value=value, dimension=VOLTAGE),
)


def node_equations(static: ResistiveCircuit | None, notation: Notation = VALUES) -> tuple[BoardLine, ...]:
    """The equations and, after them, the voltages that solve them; empty where there are none, or sources alone fix every node."""
    return () if static is None else _Board(static, notation).lines()


def merged(static: ResistiveCircuit) -> Circuit:
    """The circuit as its node equations see it: what is a wire merges its nodes, what carries nothing is left out."""
    board = _Board(static)
    kept = [
        _renamed(element, board.wire)
        for element in board.circuit.elements
        if not isinstance(element, Switching) and not board.is_wire(element)
    ]
    return Circuit(
        elements=tuple(e for e in kept if not isinstance(e, TwoTerminal) or e.between[0] != e.between[1]),
        ground=board.circuit.ground,
    )


def _renamed(element: Element, names: Mapping[str, str]) -> Element:
    changes: dict[str, Any] = {}
    for field in ("between", "primary", "secondary", "non_inverting", "inverting", "output", "control"):
        own = getattr(element, field, None)
        if isinstance(own, tuple):
            changes[field] = tuple(names[node] for node in own)
        elif own is not None and field != "control":
            changes[field] = names[own]
    return replace(element, **changes)


def picture(circuit: Circuit, *views: Any, **options: Any) -> ResistiveCircuit | None:
    """The circuit as a resistive one (see `dc`); None where that alone does not settle it."""
    try:
        return dc(circuit, *views, **options)
    except (CircuitError, NotDefined):
        return None


def derived(
    static: ResistiveCircuit | None, signal: Signal, value: Waveform, at: str = "", notation: Notation = VALUES
) -> tuple[Formula, ...]:
    """What gives a value by the node voltages; nothing where they do not, or where it is given itself.

    With ``at`` (``0+``), a current that held coils and sources alone make is given by their names as well.
    """
    if static is None:
        return ()
    named = _by_names(static, signal, value, at) if at else None
    formula = _by_node_voltages(static, signal, notation)
    with suppress(NotDefined):
        if static.value(signal) == value:
            return tuple(side for side in (named, formula) if side is not None)
    return ()


def _by_names(static: ResistiveCircuit, signal: Signal, value: Waveform, at: str) -> Formula | None:
    """``i_L1(0+)``, ``Is − i_L1(0+)``: by Kirchhoff's current law, where nothing else carries a current to one end."""
    board = _Board(static)
    element = next((e for e in board.circuit.elements if e.name == signal.of), None)
    if element is None or signal.kind != "current":
        return None
    for end, enters in zip(board.ends(element), (False, True), strict=True):
        inside = {node for node, group in board.wire.items() if group == board.wire[end]}
        driving = _only_sources(board, element, inside)
        if not driving:
            continue
        turned = {one.name: (one.between[0] in inside) != enters for one in driving}
        total = sum(
            (-board.delivered[one] if turn else board.delivered[one] for one, turn in turned.items()), Waveform()
        )
        if total == value:
            flowing = {e.name: name(f"i_{e.name}({at})" if e.stores else e.name) for e in static.circuit.elements}
            return added(-flowing[one] if turn else flowing[one] for one, turn in turned.items())
    return None


def _only_sources(board: "_Board", element: Element, inside: set[str]) -> list[CurrentSource]:
    """The current sources at one end of an element, where nothing else carries a current to that end."""
    others = [e for e in board.circuit.elements if e.name != element.name and board.crosses(e, inside)]
    driving = [e for e in others if isinstance(e, CurrentSource)]
    alone = board.circuit.ground not in inside and all(e in driving or board.is_dead(e) for e in others)
    return driving if alone else []


def _by_node_voltages(static: ResistiveCircuit, signal: Signal, notation: Notation) -> Formula | None:
    board = _Board(static, notation)
    board.leave_out_dead_nodes()
    if not isinstance(signal.of, str):
        fall = board.fall(*signal.of)
    else:
        element = next((e for e in static.treated.elements if e.name == signal.of), None)
        if not isinstance(element, TwoTerminal) or signal.kind not in ("voltage", "current"):
            return None
        if signal.kind == "current":
            return board.current(element)
        if isinstance(element, VoltageSource):
            return None
        first, second = board.ends(element)
        if board.wire[first] == board.wire[second]:
            return None
        fall = board.fall(first, second)
    return fall.formula if fall.tells else None


class _Term(NamedTuple):
    """A voltage or a current in an equation, and the groups of nodes whose unknown voltages it holds."""

    formula: Formula
    groups: tuple[str, ...] = ()
    driven: bool = False
    """Whether a source or a given voltage stands in it."""

    @property
    def tells(self) -> bool:
        """Whether it says more than that nothing is there."""
        return self.driven or bool(self.groups)

    def turned(self, turn: bool) -> "_Term":
        """With the other sign, where that is asked."""
        return self._replace(formula=-self.formula) if turn else self


class _Equation(NamedTuple):
    """Two sides, and the groups of nodes whose unknown voltages they hold."""

    label: str
    left: Formula
    right: Formula
    groups: tuple[str, ...]


class _Board:
    """The circuit with its nodes merged; each group of nodes goes by its first name."""

    def __init__(self, static: ResistiveCircuit, notation: Notation = VALUES) -> None:
        self.static = static
        self.notation = notation
        self.circuit = static.treated
        self.delivered = dict(zip((e.name for e in self._sources()), static.values, strict=True))
        wires = (self.ends(e) for e in self.circuit.elements if self.is_wire(e))
        self.wire = grouped(static.columns.nodes, wires, self.circuit.ground)
        self.known = self._known()
        stiff = [self.ends(e) for e in self.circuit.elements if is_stiff(e)]
        merged = [(self.wire[a], self.wire[b]) for a, b in stiff]
        self.sum = grouped(dict.fromkeys(self.wire.values()), merged, self.circuit.ground)

    def _sources(self) -> list[Element]:
        return [e for e in self.circuit.elements if isinstance(e, Source)]

    def ends(self, element: Element) -> Nodes:
        """The nodes of an element, as the switches stand."""
        return branch(self.circuit, element, self.static.where)

    def is_wire(self, element: Element) -> bool:
        """Whether it merges its nodes."""
        if isinstance(element, Resistor):
            return element.value == 0
        return self.static.where.get(element.name, False) is not False

    def crosses(self, element: Element, inside: set[str]) -> bool:
        """Whether it can carry a current out of these nodes."""
        return 0 < sum(node in inside for node in element.terminals()) < len(element.terminals())

    def is_dead(self, element: Element) -> bool:
        """Whether it is an open switch, or a resistor without a voltage."""
        if isinstance(element, Switch):
            return not self.is_wire(element)
        try:
            return (
                isinstance(element, Resistor) and not self.static.value(Signal(kind="voltage", of=element.name)).terms
            )
        except NotDefined:
            return False

    def _known(self) -> dict[str, Formula | None]:
        """Groups that an independent source holds against ground; None for those at its own voltage."""
        found: dict[str, Formula | None] = {self.circuit.ground: None}
        for element in self.circuit.elements:
            if isinstance(element, VoltageSource):
                a, b = (self.wire[node] for node in self.ends(element))
                value = self.delivered[element.name]
                held = self.notation.amount(value, VOLTAGE) if value.terms else None
                if b == self.circuit.ground:
                    found.setdefault(a, held)
                elif a == self.circuit.ground:
                    found.setdefault(b, held and -held)
        return found

    def leave_out_dead_nodes(self) -> None:
        """Take nodes that no equation speaks of, all being dead there, as ground."""
        shown = {group for equation in (*self._sums(), *self._laws()) for group in equation.groups}
        self.known |= dict.fromkeys(set(self.wire.values()) - shown - set(self.known))

    def lines(self) -> tuple[BoardLine, ...]:
        """Equations, then solutions."""
        equations = [*self._sums(), *self._laws()]
        shown = dict.fromkeys(group for equation in equations for group in equation.groups)
        solutions = []
        for group in self.wire.values():
            value = self._value(group) if group in shown else None
            if value is not None:
                solutions.append(self.notation.line(self._letter("voltage", group), value))
                del shown[group]
        joined = [BoardLine(sides=tuple(self._letter("voltage", node) for node in pair)) for pair in self._joined()]
        return (*joined, *(BoardLine(label=e.label, sides=(e.left, e.right)) for e in equations), *solutions)

    def _joined(self) -> dict[tuple[str, str], None]:
        """Ends of dependent sources, whose laws speak of them by another name, with that name: a wire joins them."""
        laws = (e for e in self.circuit.elements if isinstance(e, DependentSource) and is_stiff(e))
        ends = (node for source in laws for node in self.ends(source))
        return dict.fromkeys((node, group) for node in ends if (group := self.wire[node]) not in (node, *self.known))

    def _value(self, group: str) -> Waveform | None:
        try:
            return self.static.read(difference(self.static.columns, (group, self.circuit.ground)))
        except NotDefined:
            return None

    def current(self, element: Element) -> Formula | None:
        """By the law of a resistor; else by Kirchhoff's current law at one end, what else leaves there being known."""
        if isinstance(element, (CurrentSource, DependentSource)) or self.static.where.get(element.name) is False:
            return None
        first, second = self.ends(element)
        if isinstance(element, Resistor) and element.value != 0:
            fall = self.fall(first, second)
            return self.notation.through(fall.formula, element.value) if fall.tells else None
        return self._what_else_leaves(element, first, second)

    def _what_else_leaves(self, element: Element, first: str, second: str) -> Formula | None:
        """An element's current from what else leaves one of its ends, where all of that is known."""
        others = [e for e in self.circuit.elements if e.name != element.name]
        wire = grouped(self.wire, (self.ends(e) for e in others if self.is_wire(e)), self.circuit.ground)
        if wire[first] == wire[second]:
            return None
        for end, enters in ((second, True), (first, False)):
            inside = {node for node, group in wire.items() if group == wire[end]}
            if self.circuit.ground in inside or any(is_stiff(e) and inside & set(self.ends(e)) for e in others):
                continue
            leaving = [term.turned(not enters) for e in others for term in self._leaving(e, inside)]
            return added(term.formula for term in leaving) if any(term.tells for term in leaving) else None
        return None

    def _sums(self) -> Iterator[_Equation]:
        """Kirchhoff's current law for every group of nodes whose voltage is not given, unless all is dead there."""
        for group in dict.fromkeys(self.sum.values()):
            if group == self.sum[self.circuit.ground]:
                continue
            inside = {node for node, wired in self.wire.items() if self.sum[wired] == group}
            terms = [term for element in self.circuit.elements for term in self._leaving(element, inside)]
            groups = tuple(each for term in terms for each in term.groups)
            values = [self._value(each) for each in groups]
            if any(term.driven for term in terms) or any(value is not None and value.terms for value in values):
                names = dict.fromkeys(self.wire[node] for node in self.wire if node in inside)
                total = added(term.formula for term in terms)
                yield _Equation(f"node {' and '.join(names)}", total, ZERO, groups)

    def _leaving(self, element: Element, inside: set[str]) -> list[_Term]:
        """What flows out of a group through an element."""
        if is_stiff(element) or self.is_wire(element):
            return []
        if isinstance(element, IdealTransformer):
            return self._through_windings(element, inside)
        if not isinstance(element, (Resistor, CurrentSource, DependentSource)):
            return []
        first, second = self.ends(element)
        if (first in inside) == (second in inside):
            return []
        enters = second in inside
        if isinstance(element, Resistor):
            fall = self.fall(second, first) if enters else self.fall(first, second)
            through = self.notation.through(fall.formula, element.value)
            return [fall._replace(formula=through)] if fall.tells else []
        if isinstance(element, CurrentSource):
            value = self.delivered[element.name]
            return [_Term(self.notation.amount(value, CURRENT), driven=True).turned(enters)] if value.terms else []
        return [self._controlled(element).turned(enters)]

    def _through_windings(self, element: IdealTransformer, inside: set[str]) -> list[_Term]:
        """The primary's current, and the secondary's as what the turns make of it."""
        current = self._letter("current", element.name)
        sides = ((element.primary, current, False), (element.secondary, number(element.ratio) * current, True))
        return [
            _Term(flowing, driven=True).turned((second in inside) != backwards)
            for (first, second), flowing, backwards in sides
            if (first in inside) != (second in inside)
        ]

    def fall(self, here: str, there: str) -> _Term:
        """The voltage from one node to another."""
        left, right = self._voltage(here), self._voltage(there)
        groups = tuple(g for g in (self.wire[here], self.wire[there]) if g not in self.known)
        driven = any(self.known.get(self.wire[node]) is not None for node in (here, there))
        if right is not None:
            return _Term(-right if left is None else left - right, groups, driven)
        return _Term(ZERO if left is None else left, groups, driven)

    def _voltage(self, node: str) -> Formula | None:
        group = self.wire[node]
        return self.known[group] if group in self.known else self._letter("voltage", group)

    def _letter(self, kind: str, of: str) -> Formula:
        return name(f"{self.notation.letters[kind]}_{of}")

    def _controlled(self, source: DependentSource) -> _Term:
        gain = amount(source.gain, source.dimension)
        if not isinstance(source.control, str):
            fall = self.fall(*source.control)
            return fall._replace(formula=gain * fall.formula)
        return _Term(gain * self._letter(source.controlled_by, source.control), driven=True)

    def _laws(self) -> Iterator[_Equation]:
        """What voltage sources away from ground, op amps and transformers demand."""
        for element in self.circuit.elements:
            if isinstance(element, IdealOpAmp):
                left, right = (self.fall(n, self.circuit.ground) for n in (element.inverting, element.non_inverting))
            elif isinstance(element, IdealTransformer):
                left, right = self.fall(*element.primary), self.fall(*element.secondary)
                right = right._replace(formula=number(element.ratio) * right.formula)
            elif isinstance(element, DependentSource) and is_stiff(element):
                left, right = self.fall(*self.ends(element)), self._controlled(element)
            elif isinstance(element, VoltageSource) and self.fall(*self.ends(element)).groups:
                left = self.fall(*self.ends(element))
                right = _Term(self.notation.amount(self.delivered[element.name], VOLTAGE))
            else:
                continue
            yield _Equation(element.name, left.formula, right.formula, left.groups + right.groups)


def is_stiff(element: Element) -> bool:
    """Whether it holds a voltage, whatever current that takes."""
    return isinstance(element, (VoltageSource, IdealOpAmp)) or (
        isinstance(element, DependentSource) and element.delivers == "voltage"
    )
