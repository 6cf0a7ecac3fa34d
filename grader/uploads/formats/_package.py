"""A spreadsheet that is a zip of XML parts (.xlsx, .ods), opened within bounds."""

from collections.abc import Iterator, Mapping
from io import BytesIO
from zipfile import ZipFile

from grader.uploads import limits
from grader.uploads.content.document import Unreadable
from grader.uploads.files.zips import TOO_BIG, chunks, open_zip
from grader.uploads.formats._format import PACKAGE


def is_package(data: bytes, *marks: bytes) -> bool:
    """Whether this is a zip in which one of those names or texts stands in clear, as the names of its parts do."""
    return data.startswith(PACKAGE) and any(mark in data for mark in marks)


class Package:
    """The parts of one spreadsheet file.

    Raises
    ------
    Unreadable
        If it is damaged or its table of contents is out of bounds.
    """

    def __init__(self, data: bytes) -> None:
        self._zip = open_zip(BytesIO(data), len(data))
        self._entries = {entry.filename.lstrip("/"): entry for entry in self._zip.infolist()}
        self._left = limits.INFLATED_BYTES
        parts = (entry for entry in self._entries.values() if entry.filename.endswith((".xml", ".rels")))
        if sum(part.file_size for part in parts) > self._left:
            raise Unreadable(TOO_BIG)

    def __contains__(self, name: str) -> bool:
        return name in self._entries

    def names(self) -> tuple[str, ...]:
        """The names of all parts."""
        return tuple(self._entries)

    def pieces(self, name: str) -> Iterator[bytes]:
        """Unpack one part piece by piece; all parts together stay within the bound.

        Raises
        ------
        Unreadable
            If there is no such part, or it is damaged or out of bounds.
        """
        entry = self._entries.get(name)
        if entry is None:
            raise Unreadable("it is damaged: a part of the spreadsheet is missing")
        for piece in chunks(self._zip, entry, self._left):
            self._left -= len(piece)
            yield piece

    def copy(self, changed: Mapping[str, bytes]) -> bytes:
        """The file once more, part by part in its order, some parts with another content.

        Raises
        ------
        Unreadable
            As `pieces`.
        """
        out, left = BytesIO(), limits.INFLATED_BYTES
        with ZipFile(out, "w") as copied:
            for entry in self._zip.infolist():
                content = changed.get(entry.filename.lstrip("/"))
                if content is None:
                    content = b"".join(chunks(self._zip, entry, left))
                left -= len(content)
                copied.writestr(entry, content, entry.compress_type)
        return out.getvalue()
