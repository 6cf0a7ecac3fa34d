"""Records as plain values for JSON and back."""

from __future__ import annotations

import json
from dataclasses import fields
from typing import Any, TypeVar

from grader.marking.records import Mark, Marked, Part
from grader.uploads.records import Upload, Written

R = TypeVar("R")


def plain(record: Any) -> Any:
    """A record as nested dictionaries and lists, fields in their order."""
    if isinstance(record, tuple | list):
        return [plain(one) for one in record]
    if hasattr(record, "__dataclass_fields__"):
        return {field.name: plain(getattr(record, field.name)) for field in fields(record)}
    return record


def line(values: Any) -> str:
    """One line of JSON, the same for the same values; text as it is, half characters as escapes."""
    text = json.dumps(values, ensure_ascii=False, separators=(", ", ": "))
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def upload_of(values: dict[str, Any]) -> Upload:
    """The upload that `plain` was given."""
    return _made(Upload, values, answers=tuple(_made(Written, answer) for answer in values["answers"]))


def marked_of(values: dict[str, Any]) -> Marked:
    """The marks that `plain` was given."""
    return _made(Marked, values, marks=tuple(mark_of(mark) for mark in values["marks"]))


def mark_of(values: dict[str, Any]) -> Mark:
    """The mark that `plain` was given."""
    return _made(Mark, values, parts=tuple(_made(Part, part) for part in values.get("parts", ())))


def _made(kind: type[R], values: dict[str, Any], **rest: Any) -> R:
    """A record of that kind; lists become tuples, names it does not have are left out."""
    known = {field.name for field in fields(kind)}  # type: ignore[arg-type]
    given = {
        name: tuple(value) if isinstance(value, list) else value for name, value in values.items() if name in known
    }
    return kind(**{**given, **rest})
