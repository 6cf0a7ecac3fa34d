"""Old workbooks (.xls), read by a library in a process of its own."""

import json
import subprocess
from datetime import date
from typing import Any

from grader.jobs.safe_path import command
from grader.uploads.content.dates import date_cell, time_cell
from grader.uploads.content.document import Cell, Document, Unreadable, typed
from grader.uploads.content.numbers import number_text
from grader.uploads.formats._cells import Cells, Count, document
from grader.uploads.formats._format import Format

_COMPOUND = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_WORKBOOKS = tuple(name.encode("utf-16-le") for name in ("Workbook", "Book"))
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_MACROS = "_VBA_PROJECT".encode("utf-16-le")
_SECONDS = 15
"""Below the time allowed for a whole upload, so that its own sentence is heard."""

_PROTECTED = "it is protected by a password; please send it without one"
_DAMAGED = "it is damaged, or too large for an answer sheet of the old .xls kind; please save it as .xlsx"


def _fits(data: bytes) -> bool:
    return data.startswith(_COMPOUND) and any(name in data for name in (*_WORKBOOKS, _ENCRYPTED))


def _read(data: bytes) -> Document:
    if _ENCRYPTED in data:
        raise Unreadable(_PROTECTED)
    try:
        child = subprocess.run(  # noqa: S603 - our own interpreter and code
            command("grader.uploads.formats._xls_child"),
            input=data, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, timeout=_SECONDS, check=True,
        )  # fmt: skip
        answer = json.loads(child.stdout)
    except (subprocess.SubprocessError, OSError, ValueError):
        raise Unreadable(_DAMAGED) from None
    if refused := answer.get("refused"):
        raise Unreadable(_PROTECTED if refused == "password" else _DAMAGED)
    count, sheets = Count(), []
    for sheet in answer["sheets"]:
        cells = Cells(count, sheet["name"], sheet["hidden"])
        sheets.append(cells)
        for row, column, kind, value in sheet["cells"]:
            cells.put(row, column, _cell(kind, value))
        for reference in sheet["merged"]:
            cells.merge(*reference)
    return document(sheets, macros=_MACROS in data)


def _cell(kind: str, value: Any) -> Cell:
    if kind == "date":
        return date_cell(date.fromisoformat(value))
    if kind == "time":
        return time_cell(value)
    return Cell(number_text(value), stored=True) if kind == "number" else typed(value)


ENTRY = Format(name="old workbook", suffixes=(".xls",), fits=_fits, read=_read)
