"""One file that came in, with its bytes or the reason why there are none."""

import hashlib
from pathlib import PurePosixPath

from msgspec import Struct

from grader.uploads.escaping import visible


class Source(Struct, frozen=True, kw_only=True):
    """One file found among the uploads."""

    file: str
    """Its path below the folder or zip named, with ``/`` between the parts; always text that can be written."""
    digest: str = ""
    """SHA-256 of its bytes, empty where they could not be read."""
    modified: str = ""
    """Its time, ISO 8601, empty where it is not known."""
    data: bytes = b""
    """Empty where `fault` or `ignored` says why."""
    fault: str = ""
    """Why it could not be read: one sentence for the review list."""
    ignored: str = ""
    """Why it is no upload at all (a file of the operating system, the roster itself)."""
    table: bool = False
    """Whether the caller named this very file, so that a row for each student may be read in it."""


def digest_of(data: bytes) -> str:
    """SHA-256 as 64 hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def shown(name: str) -> str:
    r"""Make a file name that can be written everywhere: bytes that are no text appear as ``\xff``, others as in `visible`."""
    return visible(name.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace"))


def why_ignored(file: str) -> str:
    """Say why a file is left out though nobody need look at it; empty if it is not.

    Examples
    --------
    >>> why_ignored("hw/.DS_Store"), why_ignored("hw/S0012.xlsx")
    ('a file of the operating system', '')
    """
    parts = PurePosixPath(file).parts
    name = parts[-1] if parts else ""
    if (
        "__MACOSX" in parts
        or (name.startswith(".") and not name.startswith(".."))
        or name.casefold() in {"thumbs.db", "desktop.ini"}
    ):
        return "a file of the operating system"
    if name.startswith(("~$", ".~lock.")):
        return "the trace of an open spreadsheet"
    return ""
