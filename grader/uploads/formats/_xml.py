"""XML read as a stream by expat: no document types, no entities, nothing fetched, bounded depth."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from xml.parsers import expat

from grader.uploads import limits
from grader.uploads.content.document import Unreadable

DAMAGED = "it is damaged: a part of the spreadsheet is cut off or is no proper XML"
DECLARES = "it declares XML entities of its own, which no spreadsheet program does, so it was not opened"

Attributes = dict[str, str]


def scan(
    pieces: Iterable[bytes],
    start: Callable[[str, Attributes], None],
    end: Callable[[str], None],
    text: Callable[[str], None] = lambda _: None,
) -> None:
    """Feed a stream of XML to three functions, names without their prefixes (``x:row`` becomes ``row``).

    Raises
    ------
    Unreadable
        If it is not well-formed, nests too deeply, or has a document type declaration, which entity expansion and
        external references need and spreadsheets never have.
    """
    parser = expat.ParserCreate()
    parser.buffer_text = True
    depth = 0
    heard = 0

    def on_start(name: str, attributes: Attributes) -> None:
        nonlocal depth, heard
        depth, heard = depth + 1, 0
        if depth > limits.XML_DEPTH:
            raise Unreadable("its XML nests deeper than that of any spreadsheet, so it was not opened")
        start(name.rpartition(":")[2], attributes)

    def on_end(name: str) -> None:
        nonlocal depth, heard
        depth, heard = depth - 1, 0
        end(name.rpartition(":")[2])

    def on_text(piece: str) -> None:
        nonlocal heard
        heard = 0
        text(piece)

    def refuse(*_: object) -> None:
        raise Unreadable(DECLARES)

    parser.StartElementHandler = on_start
    parser.EndElementHandler = on_end
    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    parser.CharacterDataHandler = on_text
    try:
        for piece in pieces:
            heard += len(piece)
            if heard > limits.XML_TOKEN_BYTES:
                raise Unreadable("its XML holds a single piece larger than any spreadsheet's, so it was not opened")
            parser.Parse(piece, False)
        parser.Parse(b"", True)
    except (expat.ExpatError, ValueError, LookupError):
        raise Unreadable(DAMAGED) from None
