"""What an upload format is, and kinds of file that students send by mistake."""

from collections.abc import Callable

from msgspec import Struct

from grader.uploads.content.document import Document


class Format(Struct, frozen=True, kw_only=True):
    """One kind of file."""

    name: str
    """As a person would call it."""
    suffixes: tuple[str, ...]
    """Endings of file names, in small letters with the point."""
    fits: Callable[[bytes], bool]
    """Whether bytes are of this format, judged by their first few or by a glance at them; never fails."""
    read: Callable[[bytes], Document]
    """Turns the bytes into a `Document`; raises `Unreadable` with one sentence, and nothing else."""


PACKAGE = b"PK\x03\x04"
"""How a zip begins, and so every spreadsheet that is one."""

_KINDS = (
    (b"%pdf", "a PDF document"),
    (b"\x89png", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"gif8", "a picture"),
    (b"pk\x03\x04", "a zip or another kind of document"),
    (b"\xd0\xcf\x11\xe0", "an older office document, or a damaged one"),
    (b"{\\rtf", "a formatted text (.rtf)"),
    (b"\x1f\x8b", "a packed file (.gz)"),
    (b"7z\xbc\xaf", "a packed file (.7z)"),
    (b"rar!", "a packed file (.rar)"),
    (b"<!doctype html", "a web page"),
    (b"<html", "a web page"),
    (b"<?xml", "an XML file"),
)
"""By their first bytes (the formats' own signatures, from memory)."""


def kind_of(data: bytes) -> str:
    """What a file is that is not read here, as a person would call it; empty if its first bytes do not tell."""
    start = data[:64].removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    return next((kind for signature, kind in _KINDS if start.startswith(signature)), "")
