"""What stands on the board: steps of headings, sentences and lines of working."""

from typing import NamedTuple, TypeAlias

from flint import fmpq
from msgspec import Struct

from grader.circuit.elements import Circuit
from grader.reading.render.waveform_tree import answer_tree
from grader.solution.formula import Formula
from grader.values.dimension import NUMBER, Dimension, unit_symbol
from grader.values.waveform import Waveform

Prose: TypeAlias = tuple[str | Formula, ...]
"""A sentence in pieces: plain words, and the formulas in it."""


def prose_text(prose: Prose) -> str:
    """A sentence as plain text."""
    return "".join(piece if isinstance(piece, str) else piece.text for piece in prose)


class BoardLine(Struct, frozen=True, kw_only=True):
    """One line of working: ``label: side = side = value``; any part but one may be missing."""

    label: str = ""
    """What the line is about: a node, an element, an item."""
    sides: tuple[Formula, ...] = ()
    """A symbol, formulas, the same with numbers."""
    value: Waveform | None = None
    """In SI base units, with its dimension."""
    dimension: Dimension = NUMBER
    start: fmpq | None = None
    """For an expression in t: the instant (s) from which it holds."""
    unit: str = ""
    """The symbol it is shown in, where that is not the dimension's usual one (``rad/s``, ``%``)."""

    @property
    def chain(self) -> tuple[Formula, ...]:
        """What the equals signs join, the value last; what reads alike stands there once."""
        shown = self.sides
        if self.value is not None:
            unit = self.unit or unit_symbol(self.dimension)
            shown = (*shown, Formula(answer_tree(self.value, unit, self.dimension, self.start)))
        return tuple({formula.text: formula for formula in shown}.values())


class Picture(NamedTuple):
    """A circuit to be drawn beside the working, and what it shows; where it is two ends alone, no ground is drawn."""

    circuit: Circuit
    title: str
    grounded: bool = False


class SolutionStep(Struct, frozen=True, kw_only=True):
    """A step on the board."""

    heading: Prose
    picture: Picture | None = None
    sentences: tuple[Prose, ...] = ()
    lines: tuple[BoardLine, ...] = ()
    conclusion: Prose = ()
    """The sentence that the lines lead to."""
