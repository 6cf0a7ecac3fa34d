"""Records as JSON and back."""

import json
from typing import Any, TypeVar

import msgspec

R = TypeVar("R")


def by_name(record: msgspec.Struct) -> dict[str, Any]:
    """A record's fields in their order; what is in them stays as it is."""
    return {name: getattr(record, name) for name in record.__struct_fields__}


def as_bytes(values: Any) -> bytes:
    """One line of JSON, the same for the same values, records in it as objects; half characters, which UTF-8 cannot hold, as escapes."""
    try:
        return msgspec.json.encode(values)
    except UnicodeEncodeError:
        text = json.dumps(values, ensure_ascii=False, separators=(",", ":"), default=by_name)
        return text.encode("utf-8", "backslashreplace")


def encoded(values: Any) -> str:
    """The same as text."""
    return as_bytes(values).decode()


def decoded(raw: bytes | str, kind: type[R]) -> R:
    """The record that `encoded` was given; fields that this kind does not have are left out.

    Raises
    ------
    ValueError
        If it is none of that kind.
    """
    try:
        try:
            return msgspec.json.decode(raw, type=kind)
        except msgspec.DecodeError:  # there may be half characters in it
            return msgspec.convert(json.loads(raw), kind)
    except (msgspec.MsgspecError, RecursionError) as error:
        raise ValueError(str(error)) from None
