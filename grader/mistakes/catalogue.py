"""Finds the mistakes of the folder ``entries``; adding one means adding its file."""

from __future__ import annotations

from functools import cache
from types import MappingProxyType

from grader.catalogue import modules_of
from grader.mistakes import entries
from grader.mistakes.records import Mistake


@cache
def catalogue() -> MappingProxyType[str, Mistake]:
    """All mistakes by id, in alphabetical order.

    Raises
    ------
    RuntimeError
        If a file names its mistake otherwise than itself: a fault of ours, met by the tests.
    """
    found: dict[str, Mistake] = {}
    for name, content in modules_of(entries):
        stem = name.replace("_", "-")
        single = getattr(content, "ENTRY", None)
        for mistake in (single,) if single is not None else content.ENTRIES:
            named = mistake.id == stem if single is not None else mistake.id.startswith(f"{stem}-")
            if not named or mistake.id in found:
                raise RuntimeError(f"The mistake '{mistake.id}' in {name}.py is not named after its file.")
            found[mistake.id] = mistake
    return MappingProxyType(dict(sorted(found.items())))
