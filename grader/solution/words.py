"""Words and lines that the worked solution's parts share."""

import re
from collections.abc import Sequence

from flint import fmpq
from msgspec import Struct

from grader.circuit.characteristic import Characteristic
from grader.circuit.elements import ChangeoverSwitch, Circuit, Signal, own_signal
from grader.circuit.response import Solved
from grader.reading.render.waveform_tree import waveform_tree
from grader.solution.board import BoardLine, SolutionStep
from grader.solution.formula import Formula, T, amount, name
from grader.values.dimension import TIME, Dimension
from grader.values.scalar import Scalar, to_float
from grader.values.text import value_text
from grader.values.waveform import Waveform, constant

ANGULAR = "rad/s"
"""The unit that angular frequencies are shown in."""


def nodes_spoken_of(circuit: Circuit, steps: Sequence[SolutionStep]) -> frozenset[str]:
    """Nodes that the steps call by name: in node equations, as ``v_b``, and as positions of a changeover switch."""
    positions = {node for e in circuit.elements if isinstance(e, ChangeoverSwitch) for node in e.terminals()}
    said = {
        word
        for step in steps
        for line in step.lines
        for word in (
            *line.label.removeprefix("node ").split(),
            *(found for side in line.sides for found in re.findall(r"\bv_(\w+)", side.text)),
        )
    }
    return circuit.nodes & (said | positions)


def instant_text(instant: fmpq, side: str = "") -> str:
    """``0+``, ``2 ms−``, ``2 ms``."""
    return ("0" if instant == 0 else value_text(to_float(instant), TIME)) + side


class IntervalContext(Struct, frozen=True, kw_only=True):
    """An interval, and what every step about it needs."""

    solved: Solved
    index: int
    characteristic: Characteristic

    @property
    def circuit(self) -> Circuit:
        """The circuit."""
        return self.solved.circuit

    @property
    def start(self) -> fmpq:
        """The opening instant."""
        return self.solved.opening(self.index)

    @property
    def elapsed(self) -> Formula:
        """Time since then."""
        return T if self.start == 0 else T - amount(self.start, TIME)

    def state(self, element: str) -> Signal:
        """A capacitor's voltage, an inductor's current."""
        return own_signal(self.circuit.element(element))

    def slope(self, signal: Signal) -> Waveform:
        """A signal's rate just after the opening instant."""
        return self.solved.waveform(signal, self.index).derivative().at(self.start)

    def forced(self, signal: Signal) -> Waveform:
        """What is left of a response when its natural terms are gone."""
        natural = {(root.real, root.imaginary) for root in self.characteristic.roots}
        found = self.solved.waveform(signal, self.index)
        kept = tuple(t for t in found.terms if (t.rate, t.frequency) not in natural)
        return Waveform(kept, found.exact)


def expression(interval: IntervalContext, signal: Signal, *sides: Formula) -> BoardLine:
    """The line that gives a signal as an expression in t."""
    return BoardLine(
        sides=(name(f"{signal.symbol}(t)"), *sides),
        value=interval.solved.waveform(signal, interval.index),
        dimension=signal.dimension,
        start=interval.start,
    )


def at_instant(waveform: Waveform, dimension: Dimension, start: fmpq, time: fmpq) -> Formula:
    """An expression that holds from an instant on (s), with a later time (s) put into it."""
    return Formula(waveform_tree(waveform, dimension, start, passed=amount(time - start, TIME).tree))


def value_line(
    left: Formula, *sides: Formula, value: Scalar | Waveform, dimension: Dimension, label: str = "", unit: str = ""
) -> BoardLine:
    """The line that gives a number."""
    whole_value = value if isinstance(value, Waveform) else constant(value)
    return BoardLine(label=label, sides=(left, *sides), value=whole_value, dimension=dimension, unit=unit)
