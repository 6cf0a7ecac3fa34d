"""Words, records and lines that the worked solution's parts share."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from flint import fmpq

from grader.circuit.characteristic import Characteristic, Root
from grader.circuit.elements import ChangeoverSwitch, Circuit, Signal
from grader.circuit.response import Solved
from grader.solution.formatting import BoardLine, letters_text, tight
from grader.values.dimension import CHARGE, CURRENT, ENERGY, FLUX, POWER, TIME, VOLTAGE, Dimension
from grader.values.scalar import ONE, Scalar, is_symbolic, to_float
from grader.values.text import number_text, value_text
from grader.values.waveform import Waveform, constant

DIMENSIONS: dict[str, Dimension] = {
    "current": CURRENT,
    "voltage": VOLTAGE,
    "power": POWER,
    "energy": ENERGY,
    "charge": CHARGE,
    "flux": FLUX,
}
"""Dimension of every kind of signal."""

_LETTERS = {"current": "i", "voltage": "v", "power": "p", "energy": "w", "charge": "q", "flux": "λ"}


@dataclass(frozen=True, slots=True, kw_only=True)
class SolutionStep:
    """A step on the board: a heading, sentences, and lines of working."""

    heading: str
    sentences: tuple[str, ...] = ()
    lines: tuple[BoardLine, ...] = ()


def nodes_spoken_of(circuit: Circuit, steps: Sequence[SolutionStep]) -> frozenset[str]:
    """Nodes that the steps call by name: in node equations, as ``v_b``, and as positions of a changeover switch."""
    switches = [e for e in circuit.elements if isinstance(e, ChangeoverSwitch)]
    positions = {node for e in switches for node in (e.common, e.throw_before, *(throw for _, throw in e.actions))}
    said = {
        name
        for step in steps
        for line in step.lines
        for name in re.findall(r"\bv_(\w+)", f"{line.left} {line.middle}") + line.label.removeprefix("node ").split()
    }
    nodes = {node for element in circuit.elements for node in element.terminals()}
    return frozenset(nodes & (said | positions))


def symbol(signal: Signal) -> str:
    """``i_L1``, ``v_C1``, ``v_ab``."""
    of = signal.of if isinstance(signal.of, str) else "".join(signal.of)
    return f"{_LETTERS[signal.kind]}_{of}"


def instant_text(instant: fmpq, side: str = "") -> str:
    """``0+``, ``2 ms−``, ``2 ms``."""
    return ("0" if instant == 0 else value_text(to_float(instant), TIME)) + side


@dataclass(frozen=True, slots=True, kw_only=True)
class IntervalContext:
    """An interval, and what every step about it needs."""

    circuit: Circuit
    solved: Solved
    index: int
    characteristic: Characteristic

    @property
    def start(self) -> fmpq:
        """The opening instant."""
        opened = self.solved.intervals[self.index].start
        assert opened is not None
        return opened

    @property
    def elapsed(self) -> str:
        """Time since then, as a formula writes it."""
        return "t" if self.start == 0 else f"(t − {instant_text(self.start)})"

    def forced(self, signal: Signal) -> Waveform:
        """What is left of a response when its natural terms are gone."""
        natural = {(root.real, root.imaginary) for root in self.characteristic.roots}
        found = self.solved.waveform(signal, self.index)
        kept = tuple(t for t in found.terms if (t.rate, t.frequency) not in natural)
        return Waveform(kept, found.exact)


def expression(interval: IntervalContext, signal: Signal, middle: str = "") -> BoardLine:
    """The line that gives a signal as an expression in t."""
    return BoardLine(
        left=f"{symbol(signal)}(t)",
        middle=middle,
        value=interval.solved.waveform(signal, interval.index),
        dimension=DIMENSIONS[signal.kind],
        start=interval.start,
    )


def value_line(left: str, middle: str, value: Scalar, dimension: Dimension) -> BoardLine:
    """The line that gives a number."""
    return BoardLine(left=left, middle=middle, value=constant(value), dimension=dimension)


def number(value: Scalar) -> str:
    """A number without a unit, or its letters."""
    return letters_text(value) if is_symbolic(value) else number_text(to_float(value)).replace("-", "−", 1)


def product(value: Scalar, name: str) -> str:
    """``0.5·v_C1``, ``−v_C1``."""
    if value in (ONE, -ONE):
        return name if value == 1 else f"−{name}"
    return f"{tight(number(value))}·{name}"


def sum_text(terms: Sequence[str]) -> str:
    """Terms added up; 0 where there is none."""
    return " + ".join(terms).replace("+ −", "− ") or "0"


def root_text(root: Root) -> str:
    """A root, or a conjugate pair, with its unit."""
    real, imaginary = number(root.real), number(root.imaginary)
    if root.imaginary == 0:
        return f"{real} 1/s"
    return f"±j{imaginary} 1/s" if root.real == 0 else f"({real} ± j{imaginary}) 1/s"


def polynomial_text(polynomial: Sequence[Scalar]) -> str:
    """``s² + 4000s + 1e8``, highest power first."""
    degree = len(polynomial) - 1
    terms = []
    for power, value in zip(range(degree, -1, -1), polynomial, strict=True):
        if value == 0:
            continue
        variable = {0: "", 1: "s", 2: "s²", 3: "s³"}.get(power, f"s^{power}")
        terms.append(variable if value == 1 and power else f"{number(value)}{variable}")
    return sum_text(terms)
