"""Reads ``marks.jsonl`` of a results folder."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

from grader.errors import UsageError
from grader.marking.records import Mark, Part
from grader.reports.audit_records import Line

MARKS = "marks.jsonl"

_MARK_FIELDS = frozenset(field.name for field in fields(Mark))
_TUPLES = ("mistakes", "follows_from", "reasons", "nudges", "notes")
_TEXTS = ("problem", "item", "answer", "reading")

_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
"""Characters that neither a page nor a workbook can hold."""


def read_lines(folder: Path) -> tuple[Line, ...]:
    """Read all marks of a results folder.

    Raises
    ------
    UsageError
        If the folder has no ``marks.jsonl``, or a line of it is damaged.
    """
    path = folder / MARKS
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        raise UsageError(
            f"{folder} holds no readable {MARKS}; give the folder that 'grader grade … -o RESULTS' wrote."
        ) from None
    lines = []
    for number, raw in enumerate(text.split("\n"), start=1):  # not splitlines: an answer may hold U+2028
        if not raw.strip():
            continue
        try:
            lines.append(_line(json.loads(raw)))
        except (ValueError, KeyError, TypeError, AttributeError):
            raise UsageError(
                f"{path}, line {number}, is damaged; run 'grader grade' again to write the marks anew."
            ) from None
    return tuple(lines)


def _line(record: Mapping[str, Any]) -> Line:
    values = {name: value for name, value in record.items() if name in _MARK_FIELDS}
    for name in _TEXTS:
        if name in values:
            values[name] = _clean(values[name])
    for name in _TUPLES:
        if name in values:
            values[name] = tuple(values[name])
    if "parts" in values:
        values["parts"] = tuple(Part(**part) for part in values["parts"])
    values["awarded"], values["possible"] = float(values["awarded"]), float(values["possible"])
    student, section = _clean(str(record["student"])), _clean(str(record.get("section") or ""))
    return Line(student, section, Mark(**values), personal=record.get("personal") is True)


def _clean(text: str) -> str:
    return _UNPRINTABLE.sub("\N{REPLACEMENT CHARACTER}", text)
