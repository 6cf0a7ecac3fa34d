"""What is done already, kept in the results folder: a run that was killed is started again and goes on.

One line for each upload: the digest of everything its marks depend on, its number among the uploads of its file, how
many these are, a checksum, and the result as JSON.  A line that is damaged or cut off is not counted, and nothing after
it.  Only places in the file are held in memory, never the results themselves.
"""

import hashlib
import os
import stat
import zlib
from collections.abc import Iterable
from pathlib import Path
from typing import IO, NamedTuple, TypeVar

from msgspec import Struct, field

from grader.errors import OutputError
from grader.marking.marks import Marked
from grader.opening import lines_of
from grader.run.storage.serialization import decoded
from grader.uploads.upload import Upload


class Result(NamedTuple):
    """An upload as read, with its marks; None where there was nothing to mark."""

    upload: Upload
    marked: Marked | None


class _Skipped(Struct):
    """An upload of which nothing is asked."""


R = TypeVar("R")


class JournalPosition(NamedTuple):
    """Where a result stands in the journal."""

    key: str
    number: int
    of: int
    offset: int
    length: int


def _sum(*parts: bytes) -> bytes:
    """The checksum of a line's other parts."""
    return b"%08x" % zlib.crc32(b" ".join(parts))


def key_of_file(basis: str, file: str, digest: str) -> str:
    """What the result of one file depends on: rubric, software and roster (`basis`), its name and its content."""
    return hashlib.sha256(f"{basis}\0{file}\0{digest}".encode("utf-8", "surrogatepass")).hexdigest()


def _of_somebody(found: os.stat_result) -> bool:
    """Whether this is a link, a pipe or another file's second name: what it stands for is none of a run's business."""
    return not stat.S_ISDIR(found.st_mode) and (not stat.S_ISREG(found.st_mode) or found.st_nlink > 1)


class Journal(Struct):
    """The journal of one results folder, open for a run.

    Raises
    ------
    OutputError
        Where it cannot be read or written.
    """

    path: Path
    _places: dict[str, JournalPosition] = field(default_factory=dict)  # most files hold one upload
    _more: dict[str, list[JournalPosition]] = field(default_factory=dict)
    _end: int = 0
    _reader: IO[bytes] | None = None  # opened once: every result is read twice

    @staticmethod
    def open(path: Path) -> "Journal":
        """Open a journal, or begin one; what follows its last good line is dropped."""
        journal = Journal(path)
        if os.path.lexists(path) and _of_somebody(path.lstat()):
            path.unlink()
        if path.exists():
            for raw in lines_of(path):
                if not raw.endswith(b"\n") or not journal._note(raw):
                    break
            with path.open("r+b") as file:
                file.truncate(journal._end)
        return journal

    def _note(self, raw: bytes) -> bool:
        head = raw.split(b" ", 4)
        if len(head) != 5 or not (head[1].isdigit() and head[2].isdigit()) or head[3] != _sum(*head[:3], head[4]):
            return False
        self._enter(head[0].decode("ascii", "replace"), int(head[1]), int(head[2]), len(raw))
        return True

    def _enter(self, key: str, number: int, of: int, length: int) -> JournalPosition:
        place = JournalPosition(key, number, of, self._end, length)
        if self._places.setdefault(key, place) is not place:
            self._more.setdefault(key, []).append(place)
        self._end += length
        return place

    @property
    def empty(self) -> bool:
        """Whether nothing is done yet."""
        return not self._places

    def done(self, key: str) -> dict[int, JournalPosition]:
        """What is done of one file: the place of each of its uploads by number."""
        first = self._places.get(key)
        return {} if first is None else {place.number: place for place in (first, *self._more.get(key, ()))}

    def complete(self, key: str) -> tuple[JournalPosition, ...]:
        """The places of all uploads of one file in order; empty if some are missing."""
        found = self.done(key)
        places = tuple(found[number] for number in sorted(found))
        return places if places and len(places) == places[0].of else ()

    def add(self, key: str, number: int, of: int, upload: bytes, marked: bytes | None) -> JournalPosition:
        """Append one result, an upload and its marks as encoded."""
        head, content = (
            (key.encode(), str(number).encode(), str(of).encode()),
            b"[%b,%b]\n" % (upload, marked or b"null"),
        )
        raw = b" ".join((*head, _sum(*head, content), content))
        with self.path.open("ab") as file:
            file.write(raw)
        return self._enter(key, number, of, len(raw))

    def load(self, place: JournalPosition) -> Result:
        """Read one result back."""
        return self._decoded(place, Result)

    def marked(self, place: JournalPosition) -> Marked | None:
        """Read the marks of one result back."""
        return self._decoded(place, tuple[_Skipped, Marked | None])[1]

    def _decoded(self, place: JournalPosition, kind: type[R]) -> R:
        try:
            return decoded(self._raw(place).split(b" ", 4)[4], kind)
        except (ValueError, IndexError):
            raise OutputError(f"{self.path} is damaged; delete this file and run again.") from None

    def _raw(self, place: JournalPosition) -> bytes:
        if self._reader is None:
            self._reader = self.path.open("rb")
        self._reader.seek(place.offset)
        return self._reader.read(place.length)

    def close(self) -> None:
        """Give the file back; what is read later opens it again."""
        if self._reader is not None:
            self._reader.close()
            self._reader = None

    def keep_only(self, places: Iterable[JournalPosition]) -> None:
        """Drop what no file of this run needs any more, and put the rest into a fixed order."""
        draft = self.path.with_suffix(".new")
        draft.unlink(missing_ok=True)
        with draft.open("wb") as target:
            for place in sorted(places):
                target.write(self._raw(place))
        self.close()
        draft.replace(self.path)
