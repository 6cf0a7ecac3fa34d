"""Records as plain values for JSON and back."""

from __future__ import annotations

import json
from typing import Any, TypeVar

from grader.marking.marks import Mark, Marked, Part
from grader.uploads.upload import Upload, Written

R = TypeVar("R")


def serialized(record: Any) -> Any:
    """A record as nested dictionaries and lists, fields in their order."""
    if isinstance(record, tuple | list):
        return [serialized(one) for one in record]
    if hasattr(record, "__dataclass_fields__"):
        return {name: serialized(value) for name, value in by_name(record).items()}
    return record


def by_name(record: Any) -> dict[str, Any]:
    """A record's fields in their order; what is in them stays as it is."""
    return {name: getattr(record, name) for name in record.__dataclass_fields__}


def line(values: Any) -> str:
    """One line of JSON, the same for the same values, records in it as dictionaries; half characters as escapes."""
    text = _ENCODER.encode(values)
    return text if text.isascii() else text.encode("utf-8", "backslashreplace").decode("utf-8")


_ENCODER = json.JSONEncoder(ensure_ascii=False, default=by_name)


def upload_of(values: dict[str, Any]) -> Upload:
    """The upload that `serialized` was given."""
    return _made(Upload, values, answers=tuple(_made(Written, answer) for answer in values["answers"]))


def marked_of(values: dict[str, Any]) -> Marked:
    """The marks that `serialized` was given."""
    return _made(Marked, values, marks=tuple(mark_of(mark) for mark in values["marks"]))


def mark_of(values: dict[str, Any]) -> Mark:
    """The mark that `serialized` was given."""
    return _made(Mark, values, parts=tuple(_made(Part, part) for part in values.get("parts", ())))


def _made(kind: type[R], values: dict[str, Any], **rest: Any) -> R:
    """A record of that kind; lists become tuples, names it does not have are left out."""
    known = kind.__dataclass_fields__  # type: ignore[attr-defined]
    given = {
        name: tuple(value) if isinstance(value, list) else value for name, value in values.items() if name in known
    }
    return kind(**{**given, **rest})
