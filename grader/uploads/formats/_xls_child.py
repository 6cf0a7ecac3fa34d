"""Reads one old workbook (.xls) in a process of its own: bytes on the standard input, JSON on the standard output.

The library holds every sheet as a full rectangle and ends its process when memory runs out; so it gets a process
that may end, with bounds on memory and processor time.
"""

import datetime as dt
import io
import json
import sys
from typing import Any

MEMORY_BYTES = 1 << 30
"""A sheet of this format has 65,536 x 256 cells at most, half of this when full of blanks."""

CPU_SECONDS = 10


def main() -> None:
    """Read, and write either ``{"sheets": [...]}`` or ``{"refused": "password" | "damaged"}``."""
    from python_calamine import CalamineError, PasswordError, load_workbook

    data = sys.stdin.buffer.read()
    _bound()
    try:
        answer: dict[str, Any] = {"sheets": _sheets(load_workbook(io.BytesIO(data)))}
    except PasswordError:
        answer = {"refused": "password"}
    except (CalamineError, ValueError, OverflowError, MemoryError):
        answer = {"refused": "damaged"}
    sys.stdout.buffer.write(json.dumps(answer).encode())


def _bound() -> None:
    try:
        import resource
    except ImportError:  # a system without them; the caller's time limit still holds
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))


def _sheets(workbook: Any) -> list[dict[str, Any]]:
    from grader.uploads import limits

    sheets = []
    for number, about in enumerate(workbook.sheets_metadata[: limits.SHEETS]):
        if not str(about.typ).endswith("WorkSheet"):
            continue
        sheet = workbook.get_sheet_by_index(number)
        top, left = sheet.start or (0, 0)
        cells = [
            [top + row, left + column, *_plain(value)]
            for row, values in enumerate(sheet.iter_rows())
            for column, value in enumerate(values)
            if value != ""
        ][: limits.CELLS + 1]
        merged = [[*first, *last] for first, last in (sheet.merged_cell_ranges or [])[: limits.MERGED]]
        hidden = not str(about.visible).endswith("Visible") or str(about.visible).endswith("VeryHidden")
        sheets.append({"name": about.name, "hidden": hidden, "cells": cells, "merged": merged})
    return sheets


def _plain(value: Any) -> tuple[str, Any]:
    if isinstance(value, dt.datetime | dt.date):
        return "date", value.isoformat()[:10]
    if isinstance(value, dt.time):
        return "time", value.hour * 3600 + value.minute * 60 + value.second
    if isinstance(value, dt.timedelta):
        return "time", int(value.total_seconds())
    if isinstance(value, bool):
        return "text", str(value).upper()
    return ("number", float(value)) if isinstance(value, int | float) else ("text", str(value))
