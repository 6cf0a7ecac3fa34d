"""What every format is turned into: tables of cells, or lines of text."""

from collections.abc import Mapping
from typing import NamedTuple

from msgspec import Struct, field

from grader.regex import regex
from grader.uploads import limits


class Unreadable(Exception):
    """A file cannot be read; the text is one sentence for the review list.  Never leaves this room."""


class Cell(NamedTuple):
    """One cell: its text as a person would have typed it.

    ``notes`` say what the file format did to it; ``doubts`` are notes that a person must look at; ``alternatives`` are
    other texts it may have been.  ``formula`` is what it was computed from, with its equals sign.  ``stored`` tells that
    the file keeps a number and not the text typed, so that zeros typed at its end are lost.
    """

    text: str
    notes: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    alternatives: tuple[str, ...] = ()
    formula: str = ""
    stored: bool = False


def typed(text: str, notes: tuple[str, ...] = (), formula: str = "") -> Cell:
    """Make a cell of text as it stands, cut at the bound, with a doubt where it holds what cannot be seen."""
    doubts: tuple[str, ...] = ()
    if len(text) > limits.CELL_CHARS:
        text = text[: limits.CELL_CHARS]
        doubts = (f"only the first {limits.CELL_CHARS} characters were read",)
    if _UNSEEN.search(text):
        doubts = (*doubts, "the text holds characters that cannot be seen or that turn its direction")
    return Cell(text, notes, doubts, (), formula[: limits.CELL_CHARS])


_UNSEEN = regex("[\\x00-\\x08\\x0b\\x0c\\x0e-\\x1f\\x7f-\\x84\\x86-\\x9f\u202a-\u202e\u2066-\u2069]")
"""Control characters and direction overrides.  A zero-width blank or a soft hyphen, which pasting leaves, is no matter."""


class Table(Struct, frozen=True, kw_only=True):
    """One sheet: cells by (row, column), both from 0, blank ones left out, in reading order.

    ``merged`` holds the top left and the bottom right of every merged range. ``parted`` holds the rows of a delimited
    text with more cells than their heading has, and whether it is certain which belong together.
    """

    name: str = ""
    cells: dict[tuple[int, int], Cell]
    merged: tuple[tuple[int, int, int, int], ...] = ()
    hidden: bool = False
    parted: Mapping[int, bool] = field(default_factory=dict)

    def where(self, row: int, column: int) -> str:
        """Name a cell as a spreadsheet does: ``Sheet1!C7``."""
        address = f"{column_letters(column)}{row + 1}"
        return f"{self.name}!{address}" if self.name else address


class Document(Struct, frozen=True, kw_only=True):
    """The content of one file.  ``faults`` are sentences for the review list."""

    tables: tuple[Table, ...] = ()
    lines: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()


def column_letters(column: int) -> str:
    """Name a column, counted from 0, by its letters.

    Examples
    --------
    >>> column_letters(0), column_letters(25), column_letters(26), column_letters(701)
    ('A', 'Z', 'AA', 'ZZ')
    """
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
