"""Node equations of a resistive circuit as they stand on a board, with the values that solve them.

Closed switches and shorts merge nodes; a node that an independent source holds against ground is written as its
value; voltage sources elsewhere give an equation of their own and their two nodes are summed as one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import accumulate
from typing import NamedTuple

from flint import fmpq

from grader.circuit.elements import (
    CurrentSource,
    DependentSource,
    Element,
    IdealOpAmp,
    IdealTransformer,
    Nodes,
    Resistor,
    Source,
    VoltageSource,
)
from grader.circuit.network import branch, difference
from grader.circuit.statics import ResistiveCircuit
from grader.errors import NotDefined
from grader.values.dimension import CURRENT, RESISTANCE, VOLTAGE, Dimension
from grader.values.exact_text import waveform_text
from grader.values.scalar import Scalar, is_symbolic, scalar_text, to_float
from grader.values.text import number_text, value_text
from grader.values.waveform import Waveform


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLine:
    """One line of working: ``label: left = middle = value``; any part but one may be missing.

    Attributes
    ----------
    label : str
        What the line is about: a node, an element.
    left, middle : str
        Plain text: a symbol, and the formula with its numbers (or a whole equation).
    value : Waveform or None
        In SI base units, with its dimension.
    start : fmpq or None
        For an expression in t: the instant (s) from which it holds.
    """

    label: str = ""
    left: str = ""
    middle: str = ""
    value: Waveform | None = None
    dimension: Dimension | None = None
    start: fmpq | None = None


def letters_text(value: Scalar) -> str:
    """An expression in letters as a board has it: ``2·R``, ``√(L·C)``, ``R^2``."""
    text = scalar_text(value).replace("**", "^").replace("*", "·").replace("sqrt(", "√(")
    return re.sub(r"(?<![√\w])\(([A-Za-z]\w*(?:\^\d+)?)\)(?!\^)", r"\1", text)  # a single name needs no brackets


def written(value: Scalar | Waveform, dimension: Dimension) -> str:
    """A value with its unit, or its letters."""
    if isinstance(value, Waveform):
        if not value.is_symbolic:
            return value_text(value.value(), dimension)
        return letters_text(value.number) if value.is_number else waveform_text(value)
    return letters_text(value) if is_symbolic(value) else value_text(to_float(value), dimension)


def node_equations(static: ResistiveCircuit) -> tuple[BoardLine, ...]:
    """The equations and, after them, the voltages that solve them; empty where sources alone fix every node."""
    return _Board(static).lines()


class _Piece(NamedTuple):
    """An equation, or a term of one: its text, and the groups of nodes whose unknown voltages it holds."""

    text: str
    label: str = ""
    groups: tuple[str, ...] = ()
    negative: bool = False
    driven: bool = False
    """Whether a source or a given voltage stands in it."""


class _Board:
    """The circuit with its nodes merged; each group of nodes goes by its first name."""

    def __init__(self, static: ResistiveCircuit) -> None:
        self.static = static
        self.circuit = static.treated
        self.delivered = dict(zip((e.name for e in self._sources()), static.values, strict=True))
        nodes = (*static.columns.nodes, self.circuit.ground)
        self.wire = _grouped(
            nodes, (self._ends(e) for e in self.circuit.elements if self._is_wire(e)), self.circuit.ground
        )
        self.known = self._known()
        stiff = [self._ends(e) for e in self.circuit.elements if self._is_stiff(e)]
        merged = [(self.wire[a], self.wire[b]) for a, b in stiff]
        self.sum = _grouped(tuple(dict.fromkeys(self.wire.values())), merged, self.circuit.ground)

    def _sources(self) -> list[Element]:
        return [e for e in self.circuit.elements if isinstance(e, Source)]

    def _ends(self, element: Element) -> Nodes:
        return branch(self.circuit, element, self.static.where)

    def _is_wire(self, element: Element) -> bool:
        if isinstance(element, Resistor):
            return element.value == 0
        return self.static.where.get(element.name, False) is not False

    def _is_stiff(self, element: Element) -> bool:
        return isinstance(element, (VoltageSource, IdealOpAmp)) or (
            isinstance(element, DependentSource) and element.delivers == "voltage"
        )

    def _known(self) -> dict[str, str]:
        """Groups that an independent source holds against ground, as text."""
        found = {self.circuit.ground: ""}
        for element in self.circuit.elements:
            if isinstance(element, VoltageSource):
                a, b = (self.wire[node] for node in self._ends(element))
                value = self.delivered[element.name]
                if b == self.circuit.ground:
                    found.setdefault(a, written(value, VOLTAGE) if value.terms else "")
                elif a == self.circuit.ground:
                    found.setdefault(b, written(-value, VOLTAGE) if value.terms else "")
        return found

    def lines(self) -> tuple[BoardLine, ...]:
        """Equations, then solutions."""
        equations = [*self._sums(), *self._laws()]
        shown = dict.fromkeys(group for equation in equations for group in equation.groups)
        solutions = []
        for group in self.wire.values():
            value = self._value(group) if group in shown else None
            if value is not None:
                solutions.append(BoardLine(left=f"v_{group}", value=value, dimension=VOLTAGE))
                del shown[group]
        return (*(BoardLine(label=e.label, middle=e.text) for e in equations), *solutions)

    def _value(self, group: str) -> Waveform | None:
        try:
            return self.static.read(difference(self.static.columns, (group, self.circuit.ground)))
        except NotDefined:
            return None

    def _sums(self) -> list[_Piece]:
        """Kirchhoff's current law for every group of nodes whose voltage is not given, unless all is dead there."""
        found = []
        for group in dict.fromkeys(self.sum.values()):
            if group == self.sum[self.circuit.ground]:
                continue
            inside = {node for node, wired in self.wire.items() if self.sum[wired] == group}
            terms = [piece for element in self.circuit.elements for piece in self._leaving(element, inside)]
            groups = tuple(name for term in terms for name in term.groups)
            values = [self._value(name) for name in groups]
            if any(term.driven for term in terms) or any(value is not None and value.terms for value in values):
                names = dict.fromkeys(self.wire[node] for node in self.wire if node in inside)
                found.append(_Piece(label=f"node {' and '.join(names)}", text=f"{_joined(terms)} = 0", groups=groups))
        return found

    def _leaving(self, element: Element, inside: set[str]) -> list[_Piece]:
        """What flows out of a group through an element."""
        if self._is_stiff(element) or self._is_wire(element):
            return []
        if isinstance(element, IdealTransformer):
            return self._through_windings(element, inside)
        if not isinstance(element, (Resistor, CurrentSource, DependentSource)):
            return []
        first, second = self._ends(element)
        if (first in inside) == (second in inside):
            return []
        if isinstance(element, Resistor):
            here, there = (first, second) if first in inside else (second, first)
            fall = self._fall(here, there)
            text = f"{bracketed(fall.text)}/{bracketed(written(element.value, RESISTANCE))}"
            return [fall._replace(text=text)]
        if isinstance(element, CurrentSource):
            value = self.delivered[element.name]
            negative = second in inside
            if not value.is_symbolic and value.value() < 0:
                negative, value = not negative, -value
            return [_Piece(text=written(value, CURRENT), negative=negative, driven=True)] if value.terms else []
        return [self._controlled(element)._replace(negative=second in inside)]

    def _through_windings(self, element: IdealTransformer, inside: set[str]) -> list[_Piece]:
        """The primary's current, and the secondary's as what the turns make of it."""
        letter = f"i_{element.name}"
        turns = self._gain(element.ratio)
        found = []
        for (first, second), text, way in (
            (element.primary, letter, False),
            (element.secondary, f"{turns}·{letter}", True),
        ):
            if (first in inside) != (second in inside):
                found.append(_Piece(text=text, negative=(second in inside) != way, driven=True))
        return found

    def _gain(self, value: Scalar) -> str:
        return letters_text(value) if is_symbolic(value) else number_text(to_float(value))

    def _fall(self, here: str, there: str) -> _Piece:
        """The voltage from one node to another."""
        left, right = self._voltage(here), self._voltage(there)
        groups = tuple(g for g in (self.wire[here], self.wire[there]) if g not in self.known)
        driven = any(self.known.get(self.wire[node]) for node in (here, there))
        if not right:
            text = left or "0"
        elif right.startswith(("-", "−")):
            text = f"{left} + {right[1:]}" if left else right[1:]
        else:
            text = f"{left} − {right}" if left else f"−{right}"
        return _Piece(text=text, groups=groups, driven=driven)

    def _voltage(self, node: str) -> str:
        group = self.wire[node]
        return self.known.get(group, f"v_{group}")

    def _controlled(self, source: DependentSource) -> _Piece:
        gain = self._gain(source.gain)
        if not isinstance(source.control, str):
            fall = self._fall(*source.control)
            return fall._replace(text=f"{gain}·{bracketed(fall.text)}")
        letter = "i" if source.controlled_by == "current" else "v"
        return _Piece(text=f"{gain}·{letter}_{source.control}", driven=True)

    def _laws(self) -> list[_Piece]:
        """What voltage sources away from ground, op amps and transformers demand."""
        found = []
        for element in self.circuit.elements:
            if isinstance(element, IdealOpAmp):
                minus, plus = (
                    self._fall(node, self.circuit.ground) for node in (element.inverting, element.non_inverting)
                )
                text, groups = f"{minus.text} = {plus.text}", minus.groups + plus.groups
            elif isinstance(element, IdealTransformer):
                one, two = self._fall(*element.primary), self._fall(*element.secondary)
                text, groups = (
                    f"{one.text} = {self._gain(element.ratio)}·{bracketed(two.text)}",
                    one.groups + two.groups,
                )
            elif isinstance(element, DependentSource) and self._is_stiff(element):
                fall, control = self._fall(*self._ends(element)), self._controlled(element)
                text, groups = f"{fall.text} = {control.text}", fall.groups + control.groups
            elif isinstance(element, VoltageSource) and self._fall(*self._ends(element)).groups:
                fall = self._fall(*self._ends(element))
                text, groups = f"{fall.text} = {written(self.delivered[element.name], VOLTAGE)}", fall.groups
            else:
                continue
            found.append(_Piece(label=element.name, text=text, groups=groups))
        return found


def _grouped(nodes: tuple[str, ...], joined: Iterable[Nodes], ground: str) -> dict[str, str]:
    """For every node the name of its group: ground's where ground is in it, else that of its first node."""
    name = {node: node for node in nodes}
    for a, b in joined:
        kept, dropped = name[a], name[b]
        if dropped == ground:
            kept, dropped = dropped, kept
        name = {node: kept if own == dropped else own for node, own in name.items()}
    return name


def bracketed(text: str) -> str:
    """In brackets unless it is one number or name, for below a line of fraction."""
    return f"({text})" if any(mark in text for mark in " /*·") and not _enclosed(text) else text


def tight(text: str) -> str:
    """In brackets where it would fall apart beside a factor."""
    return f"({text})" if any(mark in text for mark in "/+") and not _enclosed(text) else text


def _enclosed(text: str) -> bool:
    """Whether one pair of brackets holds all of it."""
    depths = list(accumulate((c == "(") - (c == ")") for c in text))
    return bool(depths) and depths[0] == 1 and all(depths[:-1]) and depths[-1] == 0


def _joined(terms: list[_Piece]) -> str:
    text = "".join(f" {'−' if term.negative else '+'} {term.text}" for term in terms)
    return text[3:] if text.startswith(" + ") else f"−{text[3:]}"
