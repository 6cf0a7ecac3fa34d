"""Reads ``marks.jsonl`` of a results folder."""

import json
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import msgspec
from msgspec.structs import replace

from grader.errors import UsageError
from grader.marking.marks import REMEMBERED, Mark
from grader.opening import lines_of
from grader.regex import regex
from grader.reports.audit_records import AuditLine

MARKS = "marks.jsonl"

_UNPRINTABLE = regex("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
"""Characters that neither a page nor a workbook can hold."""


def read_lines(folder: Path) -> Iterator[AuditLine]:
    """All marks of a results folder, one after the other.

    Raises
    ------
    UsageError
        If the folder has no ``marks.jsonl``, or a line of it is damaged.
    """
    path = folder / MARKS
    try:
        for number, raw in enumerate(lines_of(path), start=1):
            if raw.strip():
                yield _read(raw, f"{path}, line {number},")
    except OSError:
        raise UsageError(
            f"{folder} holds no readable {MARKS}; give the folder that 'grader grade … -o RESULTS' wrote."
        ) from None


def _read(raw: bytes, where: str) -> AuditLine:
    try:
        record = json.loads(raw)
        mark, section = msgspec.convert(record, Mark), str(record.get("section") or "")
        return line_of(str(record["student"]), section, mark, personal=record.get("personal") is True)
    except (ValueError, KeyError, AttributeError, RecursionError, msgspec.MsgspecError):
        raise UsageError(f"{where} is damaged; run 'grader grade' again to write the marks anew.") from None


def line_of(student: str, section: str, mark: Mark, *, personal: bool) -> AuditLine:
    """A mark for the audit, with nothing in it that a page or a workbook could not hold."""
    return AuditLine(_clean(student), _clean(section), _clean_mark(mark), personal)


@lru_cache(REMEMBERED)
def _clean_mark(mark: Mark) -> Mark:
    names = "problem", "item", "answer", "reading"
    return replace(mark, **{name: _clean(getattr(mark, name)) for name in names})


@lru_cache(REMEMBERED)
def _clean(text: str) -> str:
    return _UNPRINTABLE.sub("\N{REPLACEMENT CHARACTER}", text)
