"""A delimited table whose cells are known by their places in the text, so that one can be changed and no other."""

import codecs
import re
from collections.abc import Iterator, Mapping
from contextlib import suppress
from typing import NamedTuple

from grader.regex import regex
from grader.uploads import limits
from grader.uploads.content.document import Unreadable
from grader.uploads.formats._decode import decode, utf16_without_mark

DELIMITERS = (",", ";", "\t", "|")

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)


class Span(NamedTuple):
    """Where a cell stands in the text; its quotation marks belong to it."""

    start: int
    end: int


class Delimited:
    """A table under one of `DELIMITERS`.

    Raises
    ------
    Unreadable
        If a quotation mark is never closed, or it holds too many cells.
    """

    def __init__(self, data: bytes, delimiter: str) -> None:
        self._mark, self._codec, self._text = _decoded(data)
        self._delimiter = delimiter
        self._rows = list(_rows(self._text, delimiter))
        self.cells = {
            (row, column): cell
            for row, spans in enumerate(self._rows)
            for column, span in enumerate(spans)
            if (cell := _content(self._text[span.start : span.end]))
        }

    def locked(self, row: int, column: int) -> str:  # noqa: ARG002 - as of a workbook
        """Why a cell cannot be filled; "" where it can."""
        return ""

    def filled(self, values: Mapping[tuple[int, int], float]) -> bytes:
        """The file with other values in some cells, by row and column; all else byte for byte as it was."""
        comma = self._delimiter != "," and self._writes_commas()
        pieces, done = [], 0
        for (row, column), value in sorted(values.items()):
            spans = self._rows[row]
            missing = max(0, column + 1 - len(spans))
            place = Span(spans[-1].end, spans[-1].end) if missing else spans[column]
            number = number_text(value).replace(".", ",") if comma else number_text(value)
            pieces += [self._text[done : place.start], self._delimiter * missing, number]
            done = place.end
        text = "".join([*pieces, self._text[done:]])
        return self._mark + text.encode(self._codec)

    def _writes_commas(self) -> bool:
        """Whether the numbers in it have a decimal comma."""
        numbers = [cell for cell in self.cells.values() if cell.replace(",", "").replace(".", "").isdecimal()]
        return any("," in one for one in numbers) and not any("." in one for one in numbers)


def number_text(value: float) -> str:
    """A number as a table holds it: no exponent, no needless zeros."""
    return f"{value:.4f}".rstrip("0").rstrip(".")


def _decoded(data: bytes) -> tuple[bytes, str, str]:
    """The byte-order mark, the encoding and the text, from which the same bytes can be made again."""
    mark, codec = next(((mark, codec) for mark, codec in _MARKS if data.startswith(mark)), (b"", ""))
    body = data[len(mark) :]
    codec = codec or utf16_without_mark(body[: limits.DETECT_BYTES])
    for encoding in (codec,) if codec else ("utf-8", decode(data).guessed or "cp1252", "latin-1"):
        with suppress(UnicodeError):
            text = body.decode(encoding)
            if text.encode(encoding) == body:
                return mark, encoding, text
    raise Unreadable("its characters cannot be read; please save it as UTF-8")


def _rows(text: str, delimiter: str) -> Iterator[list[Span]]:
    ends = regex(rf"[{re.escape(delimiter)}\r\n]")
    row: list[Span] = []
    start = at = count = 0
    while at <= len(text):
        if text[at : at + 1] == '"' and at == start:
            at = _closed(text, at)
        found = ends.search(text, at)
        at = len(text) if found is None else found.start()
        row.append(Span(start, at))
        count += 1
        if count > limits.CELLS:
            raise Unreadable(f"it holds more than {limits.CELLS} cells, so it was not read")
        if text[at : at + 1] != delimiter:
            yield row
            row = []
        at += 2 if text[at : at + 2] == "\r\n" else 1
        start = at


def _closed(text: str, opened: int) -> int:
    """Behind the quotation mark that closes a cell; one that is doubled is a character of it."""
    at = opened + 1
    while (at := text.find('"', at)) >= 0:
        if text[at + 1 : at + 2] != '"':
            return at + 1
        at += 2
    line = text.count("\n", 0, opened) + 1
    raise Unreadable(f"the quotation mark in line {line} is never closed; close it")


def _content(written: str) -> str:
    inner = written[1:-1].replace('""', '"') if len(written) > 1 and written[0] == written[-1] == '"' else written
    return inner.strip()
