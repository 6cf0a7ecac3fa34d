"""Texts of cells with their runs: raised text is an exponent and must not become ordinary text."""

import re
from collections.abc import Iterable
from itertools import groupby

from grader.uploads.content.document import Cell, typed

RAISED = "raised text was read as an exponent"
_ESCAPE = re.compile("_x([0-9A-Fa-f]{4})_")
_SIGNS = {"+", "-", "−", "–", ""}
"""Raised signs alone stand at an instant, as in i(0⁺); they are no exponents."""


def text_cell(runs: Iterable[tuple[bool, str]]) -> Cell:
    """The cell of a text whose runs are raised or not; raised ones are written as exponents."""
    text, noted = "", False
    for raised, group in groupby(runs, key=lambda run: run[0]):
        run = _unescaped("".join(piece for _, piece in group))
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
