"""Plain text: delimited tables (.csv, .tsv), tables drawn with bars, and lines of answers (.txt, .md)."""

import csv
from collections.abc import Iterable, Iterator

from msgspec import Struct, field

from grader.regex import regex
from grader.uploads import limits
from grader.uploads.content.document import Cell, Document, Table, Unreadable, typed
from grader.uploads.content.headings import ANSWER, STUDENT, UNIT, columns, is_heading
from grader.uploads.escaping import restored
from grader.uploads.formats._decode import decode, looks_like_text
from grader.uploads.formats._format import Format, kind_of

_DELIMITERS = (",", ";", "\t", "|")
_DETECT_LINES = 200
_RULE = regex(r"(?=[^|]*\|)(?=[^-]*-)[\s|:+-]*")
_BARS = regex(r"(?<!\\)\|")
"""Bars between cells; in a table of a marked-up text one with a backslash is the answer's own."""
_BREAKS = regex("[\x85\u2028\u2029]")
"""What word processors write at the end of a line, too; in the cells of a table it is no end."""

_QUOTES = "a quotation mark is opened and never closed, so that quotation marks were taken as they stand"


def _read(data: bytes) -> Document:
    decoded = decode(data)
    note = (f"the file does not say its encoding; it was read as {decoded.guessed}",) if decoded.guessed else ()
    lines = decoded.text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    texts = _BREAKS.sub("\n", "\n".join(lines)).split("\n") if _BREAKS.search(decoded.text) else lines
    if sum(1 for line in texts if line.strip()) > limits.ROWS:
        raise Unreadable(f"it has more than {limits.ROWS} lines, so it was not read")
    if any(len(line) > limits.LINE_CHARS for line in lines):
        raise Unreadable(f"it has a line of more than {limits.LINE_CHARS} characters, so it was not read")
    faults = [decoded.fault] if decoded.fault else []
    if decoded.fault == "" and "\ufffd" in decoded.text:
        faults.append("some of its characters could not be read")
    tables = []
    delimiter, heading = _delimiter(lines[:_DETECT_LINES])
    if delimiter:
        drawn = delimiter == "|" and heading.lstrip().startswith("|")
        shape = _Shape(delimiter, _drawn(heading) if drawn else _split(heading, delimiter))
        rows = shape.whole(map(_drawn, _ended(lines)))
        cells, balanced = (_kept(rows, note), True) if drawn else _cells(lines, shape, note)
        tables.append(Table(cells=cells, parted=shape.parted))
        faults += [] if balanced else [_QUOTES]
    return Document(
        tables=tuple(tables), lines=tuple(line[: limits.CELL_CHARS + 1] for line in texts), faults=tuple(faults)
    )


def _delimiter(lines: list[str]) -> tuple[str, str]:
    """The delimiter under which a row reads as the heading of a table, and that row; blank where none does."""
    named = lines[0][4] if lines and lines[0].casefold().startswith("sep=") and len(lines[0]) == 5 else ""
    best, best_score = (named, ""), (0, 0)
    for delimiter in named or _DELIMITERS:
        for line in (line for line in lines if delimiter in line):  # one cell alone is no heading
            row = [text.strip() for text in _split(line, delimiter)]
            found = columns(dict(enumerate(row[: limits.COLUMNS])))
            score = (2 if is_heading(found) else int(STUDENT in found and len(row) > 1), len(row))
            if score[0] and score > best_score:
                best, best_score = (delimiter, line), score
    return best


def _split(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return line.split(delimiter)


def _drawn(line: str) -> list[str]:
    """A row drawn with bars; a line that does not begin with one is none, whatever bars are in it."""
    text = line.strip()
    return _BARS.split(text.removesuffix("|")) if text.startswith("|") else [text]


def _cells(lines: list[str], shape: "_Shape", note: tuple[str, ...]) -> tuple[dict[tuple[int, int], Cell], bool]:
    """The cells, and whether every quotation mark is closed."""
    try:
        return _kept(shape.whole(csv.reader(_ended(lines), delimiter=shape.delimiter, strict=True)), note), True
    except csv.Error:
        rows = csv.reader(_ended(lines), delimiter=shape.delimiter, quoting=csv.QUOTE_NONE)
        return _kept(shape.whole(rows), note), False


_WHOLE_PART = regex(r"[-+−]?\d+")
_FRACTION_WITH_UNIT = regex(r"\d+\s*[^\W\d_]{1,4}(?:/s)?")
_A_UNIT = regex(r"(?:1\s*/\s*)?[^\d\s,;+−-]{0,12}")
"""What may stand in the column of the unit, or nothing."""


class _Shape(Struct):
    """The heading row of a delimited table, and the rows that the delimiter has parted further.

    ``parted`` tells of these whether it is certain what belongs together.
    """

    delimiter: str
    heading: list[str]
    parted: dict[int, bool] = field(default_factory=dict)

    def whole(self, rows: Iterable[list[str]]) -> Iterator[list[str]]:
        """Each row, with an answer set together again that the delimiter has parted, such as a decimal comma."""
        self.parted.clear()
        heading = [text.strip() for text in self.heading]
        roles, width = columns(dict(enumerate(heading))), len(heading)
        below = False
        for number, row in enumerate(rows):
            beyond = len(row) - width if below and any(text.strip() for text in row[width:]) else 0
            whole, certain = row, False if beyond else None
            if below and is_heading(roles):
                whole, certain = (
                    _bars_joined(row, beyond, roles[ANSWER])
                    if self.delimiter == "|"
                    else self._joined(row, beyond, roles)
                )
            if certain is not None:
                self.parted[number] = certain
            below = below or [text.strip() for text in row] == heading
            yield whole

    def _joined(self, row: list[str], beyond: int, roles: dict[str, int]) -> tuple[list[str], bool | None]:
        """The row, and whether it is certain what belongs together; None where nothing says that it was parted."""
        answer, last = roles[ANSWER], len(self.heading) - 1
        texts = [*(text.strip() for text in row), *[""] * len(self.heading)]
        end = answer + 1 + max(beyond, 1)
        whole = [*row[:answer], self.delimiter.join(row[answer:end]), *([] if beyond else [""]), *row[end:]]
        if self.delimiter == "," and end == answer + 2 and _WHOLE_PART.fullmatch(texts[answer]):
            certain = self._is_fraction(texts[answer + 1], texts[end] if beyond else "", beyond, roles)
            if certain is not None:
                return whole if certain else row, certain
        if not beyond:
            return row, None
        if answer == last or texts[answer].count("(") > texts[answer].count(")"):
            return whole, False
        if last == roles.get(UNIT) or (UNIT in roles and not _A_UNIT.fullmatch(texts[roles[UNIT]])):
            return row, False
        return [*row[:last], self.delimiter.join(row[last:])], None

    def _is_fraction(self, beside: str, behind: str, beyond: int, roles: dict[str, int]) -> bool | None:
        """Whether the cell beside a whole number is its fraction: surely, perhaps not, or by nothing (None)."""
        bare = beside.isdecimal()
        if not bare and not _FRACTION_WITH_UNIT.fullmatch(beside):
            return None
        at = roles[ANSWER] + 1
        has_unit = roles.get(UNIT) == at
        free = not "".join(self.heading[at : at + 1]).strip()
        if (free and (beyond or not bare)) or (has_unit and _A_UNIT.fullmatch(behind) and bool(behind) == bare):
            return True
        return False if has_unit or not bare else None


def _bars_joined(row: list[str], beyond: int, answer: int) -> tuple[list[str], bool | None]:
    """The same for a row drawn with bars: a doubled one means parallel resistors."""
    if not beyond:
        return row, None
    end = answer + 1 + beyond
    whole = [*row[:answer], "|".join(row[answer:end]), *row[end:]]
    if "" in row[answer + 1 : end - 1]:
        return whole, True
    if "" in row[end - 1 : -1]:
        return row, None
    return (row if row[answer].strip() else whole), False


def _ended(lines: list[str]) -> Iterator[str]:
    """Lines with their ends, for cells that run over several.

    A mark that names the delimiter, and the rule below the heading of a table drawn with bars, are left blank.
    """
    for number, line in enumerate(lines):
        marks = number == 0 and line.casefold().startswith("sep=")
        yield "\n" if marks or _RULE.fullmatch(line) else f"{line}\n"


def _kept(rows: Iterable[list[str]], note: tuple[str, ...]) -> dict[tuple[int, int], Cell]:
    cells: dict[tuple[int, int], Cell] = {}
    for number, row in enumerate(rows):
        for column, text in enumerate(row[: limits.COLUMNS]):
            if not text.strip():
                continue
            if len(cells) >= limits.CELLS:
                raise Unreadable(f"it holds more than {limits.CELLS} filled cells, so it was not read")
            cells[number, column] = _cell(text.strip(), note)
    return cells


_PIECE = regex(r'"([^"]*)"|([\d.,]+(?:[eE][+-]?\d+)?)')
_JOINED = regex(rf"=\s*(?:{_PIECE.pattern})(?:\s*&\s*(?:{_PIECE.pattern}))*")
"""A spreadsheet's formula that only sets texts and numbers side by side: ``="0.5"``, ``=10&" ms"``."""


def _cell(text: str, note: tuple[str, ...]) -> Cell:
    if _JOINED.fullmatch(text):
        text = "".join(quoted or number for quoted, number in _PIECE.findall(text))
    return typed(restored(text), () if text.isascii() else note)


csv.field_size_limit(limits.FILE_BYTES)

ENTRY = Format(
    name="text",
    suffixes=(".csv", ".tsv", ".txt", ".md"),
    fits=lambda data: not kind_of(data) and looks_like_text(data),
    read=_read,
)
