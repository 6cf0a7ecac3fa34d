"""Texts of cells with their runs: raised text is an exponent and must not become ordinary text."""

from __future__ import annotations

import re

from grader.uploads import limits
from grader.uploads.content.document import Cell, Unreadable, typed
from grader.uploads.formats._xml import Attributes

RAISED = "raised text was read as an exponent"
_ESCAPE = re.compile("_x([0-9A-Fa-f]{4})_")
_SIGNS = {"+", "-", "−", "–", ""}
"""Raised signs alone stand at an instant, as in i(0⁺); they are no exponents."""


class Runs:
    """Collects the runs of one text; feed it the events of its element, then take `cell`."""

    def __init__(self) -> None:
        self._runs: list[tuple[bool, str]] = []
        self._length = 0
        self._raised = self._within = False
        self._skipped = 0

    def start(self, name: str, attributes: Attributes) -> None:
        """An element opens."""
        if name == "rPh":
            self._skipped += 1
        elif name == "r":
            self._raised = False
        elif name == "vertAlign":
            self._raised = attributes.get("val") == "superscript"
        elif name == "t":
            self._within = not self._skipped

    def end(self, name: str) -> None:
        """An element closes."""
        if name == "t":
            self._within = False
        elif name == "r":
            self._raised = False
        elif name == "rPh":
            self._skipped -= 1

    def text(self, piece: str) -> None:
        """Characters; what goes beyond the bound of a cell is dropped here and said by the cell's doubts."""
        if self._within:
            self.add(piece, raised=self._raised)

    def add(self, piece: str, *, raised: bool) -> None:
        """Append text, raised or not."""
        if self._length <= limits.CELL_CHARS:
            self._length += len(piece)
            self._runs.append((raised, piece))

    def cell(self) -> Cell:
        """The text collected, raised parts written as exponents."""
        if len(self._runs) == 1 and not self._runs[0][0]:
            return typed(_unescaped(self._runs[0][1]))
        text, noted, at = "", False, 0
        while at < len(self._runs):
            raised, run = self._runs[at]
            at += 1
            while at < len(self._runs) and self._runs[at][0] == raised:
                run += self._runs[at][1]
                at += 1
            run = _unescaped(run)
            if raised and run.strip() not in _SIGNS:
                noted = True
                run = _exponent(text, run.strip())
            text += run
        return typed(text, (RAISED,) if noted else ())


def _exponent(before: str, raised: str) -> str:
    power = raised if raised.startswith("(") and raised.endswith(")") else f"({raised})"
    return power if before.rstrip().endswith("^") else f"^{power}"


def _unescaped(text: str) -> str:
    """Undo ``_x000D_`` and give line ends one form (ECMA-376, part 1, 22.9.2.19)."""
    if "_x" in text:
        text = _ESCAPE.sub(lambda found: chr(int(found[1], 16)), text)
        text = text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    return text.replace("\r\n", "\n").replace("\r", "\n")


class SharedStrings:
    """The texts that the cells of a workbook refer to by number."""

    def __init__(self) -> None:
        self.cells: list[Cell] = []
        self._runs: Runs | None = None

    def start(self, name: str, attributes: Attributes) -> None:
        """An element opens."""
        if name == "si":
            if len(self.cells) >= limits.CELLS:
                raise Unreadable(f"it holds more than {limits.CELLS} texts, so it was not opened")
            self._runs = Runs()
        elif self._runs is not None:
            self._runs.start(name, attributes)

    def end(self, name: str) -> None:
        """An element closes."""
        if name == "si" and self._runs is not None:
            self.cells.append(self._runs.cell())
            self._runs = None
        elif self._runs is not None:
            self._runs.end(name)

    def text(self, piece: str) -> None:
        """Characters."""
        if self._runs is not None:
            self._runs.text(piece)
