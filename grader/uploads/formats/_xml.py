"""XML read as a stream by expat: no document types, no entities, nothing fetched, bounded depth, small trees out."""

from collections.abc import Collection, Iterable, Iterator
from xml.etree.ElementTree import Element, SubElement
from xml.parsers import expat

from grader.uploads import limits
from grader.uploads.content.document import Unreadable

DAMAGED = "it is damaged: a part of the spreadsheet is cut off or is no proper XML"
DECLARES = "it declares XML entities of its own, which no spreadsheet program does, so it was not opened"

Attributes = dict[str, str]


def elements(pieces: Iterable[bytes], *names: str, opened: Collection[str] = ()) -> Iterator[Element]:
    """Every element of these names as a tree of its own, one after the other; nothing else of the part is held.

    Names are without their prefixes (``x:row`` is ``row``), names of attributes with them.  Texts are cut a little
    beyond the bound of a cell.

    Parameters
    ----------
    pieces : iterable of bytes
        The part.
    *names : str
        Of the elements wanted; those within one of them are branches of its tree.
    opened : collection of str
        Of elements that are told when they open, with their attributes and nothing in them.

    Raises
    ------
    Unreadable
        If it is not well-formed, nests too deeply, holds a tree or a tag beyond all bounds, or has a document type
        declaration, which entity expansion and external references need and spreadsheets never have.
    """
    parser = expat.ParserCreate()
    parser.buffer_text = True
    depth = heard = size = 0
    path: list[Element] = []
    ready: list[Element] = []

    def on_start(name: str, attributes: Attributes) -> None:
        nonlocal depth, heard, size
        depth, heard = depth + 1, 0
        if depth > limits.XML_DEPTH:
            raise Unreadable("its XML nests deeper than that of any spreadsheet, so it was not opened")
        name = name.rpartition(":")[2]
        if path:
            size += 1
            if size > limits.XML_ELEMENTS:
                raise Unreadable("a row in it holds more than that of any answer sheet, so it was not opened")
            path.append(SubElement(path[-1], name, attributes))
        elif name in names:
            size = 1
            path.append(Element(name, attributes))
        elif name in opened:
            ready.append(Element(name, attributes))

    def on_end(_: str) -> None:
        nonlocal depth, heard
        depth, heard = depth - 1, 0
        if path:
            closed = path.pop()
            if not path:
                ready.append(closed)

    def on_text(piece: str) -> None:
        nonlocal heard
        heard = 0
        if not path:
            return
        if len(path[-1]):
            before = path[-1][-1]
            before.tail = _grown(before.tail, piece)
        else:
            path[-1].text = _grown(path[-1].text, piece)

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
            yield from ready
            ready.clear()
        parser.Parse(b"", True)
    except (expat.ExpatError, ValueError, LookupError):
        raise Unreadable(DAMAGED) from None
    yield from ready


def _grown(text: str | None, piece: str) -> str:
    if text is None:
        return piece
    return text + piece if len(text) <= limits.CELL_CHARS else text
