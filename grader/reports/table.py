"""Delimited tables (.csv) written row by row."""

import csv
import io
from collections.abc import Iterable
from typing import IO, TypeAlias

from grader.uploads.escaping import escaped

Cell: TypeAlias = str | float | None


class Table:
    """A delimited table on its way to a file open as UTF-8: texts escaped, numbers with a decimal point, CRLF (RFC 4180).

    It begins with a byte-order mark: without it spreadsheet programs take names for another encoding, and programs
    that read it as ``utf-8-sig`` never see it.
    """

    def __init__(self, out: IO[str], header: Iterable[str]) -> None:
        out.write("\ufeff")
        self._rows = csv.writer(out, lineterminator="\r\n")
        self._rows.writerow(header)

    def add(self, row: Iterable[Cell]) -> None:
        """Write one row; None leaves a cell empty."""
        self._rows.writerow(
            ["" if cell is None else escaped(cell) if isinstance(cell, str) else f"{cell:.10g}" for cell in row]
        )


def table_bytes(header: Iterable[str], rows: Iterable[Iterable[Cell]]) -> bytes:
    """A whole `Table`, encoded."""
    out = io.StringIO()
    table = Table(out, header)
    for row in rows:
        table.add(row)
    return out.getvalue().encode()
