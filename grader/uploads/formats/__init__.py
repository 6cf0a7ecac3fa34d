"""The upload formats, one file each, found by their place in this folder; helpers begin with an underscore.

Every file holds ``ENTRY = Format(...)``.  A format reads bytes into tables and lines and knows nothing of items or students.
"""

import sys
from functools import lru_cache
from pathlib import PurePosixPath

from grader.catalogue import modules_of
from grader.uploads.content.document import Document, Unreadable
from grader.uploads.formats._format import PACKAGE, Format, kind_of


@lru_cache(maxsize=1)
def formats() -> tuple[Format, ...]:
    """Every format, sorted by name."""
    return tuple(module.ENTRY for _, module in modules_of(sys.modules[__name__]))


def read_document(file: str, data: bytes) -> Document:
    """Turn the bytes of one file into tables and lines, by what it is and not by what it is called.

    Raises
    ------
    Unreadable
        If it is empty, of a kind that is not read here, damaged or out of bounds: one sentence.
    """
    if not data.strip(b"\0 \t\r\n"):
        raise Unreadable("it is empty")
    suffix = PurePosixPath(file).suffix.casefold()
    fitting = [entry for entry in formats() if entry.fits(data)]
    named = [entry for entry in fitting if suffix in entry.suffixes]
    for entry in (*named, *fitting):
        return entry.read(data)
    if data.startswith(PACKAGE) and suffix in known_suffixes():
        raise Unreadable(f"it is damaged: its name ends in {suffix}, but the parts of a spreadsheet are not in it")
    kind = kind_of(data) or "neither a spreadsheet nor a text"
    raise Unreadable(f"it is {kind}; answers are read from {', '.join(known_suffixes())} files")


def known_suffixes() -> tuple[str, ...]:
    """Endings of the names of files that are read: ``.csv``, ``.md`` and the others."""
    return tuple(sorted(suffix for entry in formats() for suffix in entry.suffixes))
