"""The files inside a zip of uploads, one after the other, never unpacked to disk."""

import zipfile
from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from io import BytesIO
from pathlib import PurePosixPath
from typing import BinaryIO

from grader.uploads import limits
from grader.uploads.content.document import Unreadable
from grader.uploads.files.source import Source, digest_of, shown, why_ignored
from grader.uploads.files.zips import chunks, open_zip

_UNKNOWN_TIME = (1980, 1, 1, 0, 0, 0)
"""What a zip writes where it knows no time."""

_SPREADSHEET_PARTS = {"[Content_Types].xml", "mimetype", "content.xml"}

_LEVELS = 2
"""A zip of the section may hold a zip from each student; zips inside those are not opened."""

_BETWEEN = "/"


def is_archive(name: str, stream: BinaryIO, size: int) -> bool:
    """Whether a file is a zip of uploads, and not a spreadsheet (which is a zip too) under a wrong name."""
    if not name.casefold().endswith(".zip"):
        return False
    try:
        return _SPREADSHEET_PARTS.isdisjoint(open_zip(stream, size).namelist())
    except Unreadable:
        return True


def archive_names(stream: BinaryIO, size: int) -> list[str]:
    """Names of the files in a zip; `Unreadable` if it cannot be opened."""
    return [entry.filename for entry in open_zip(stream, size).infolist() if not entry.is_dir()]


def archive_sources(stream: BinaryIO, size: int, inside: str, level: int = 1) -> Iterator[Source]:
    """Every file of a zip as a `Source`, in order of name.

    Parameters
    ----------
    stream : binary file
        The zip.
    size : int
        Its length in bytes.
    inside : str
        The zip's own name, put before the names of its files; empty for the zip that was named in the call.
    level : int
        1 for a zip found on disk, 2 for a zip inside it.

    Raises
    ------
    Unreadable
        If the zip as a whole cannot be opened.
    """
    opened = open_zip(stream, size)
    entries = sorted((entry for entry in opened.infolist() if not entry.is_dir()), key=lambda entry: entry.filename)
    allowed = limits.PACKED_ENTRIES if inside else limits.ENTRIES
    if len(entries) > allowed:
        raise Unreadable(f"it holds more than {allowed} files, so it was not opened")
    if sum(entry.file_size for entry in entries) > limits.ARCHIVE_INFLATED_BYTES:
        raise Unreadable(f"unpacked it would take more than {limits.ARCHIVE_INFLATED_BYTES // limits.MiB} MiB")
    seen: Counter[str] = Counter()
    for entry in entries:
        name = _bounded(shown(entry.filename))
        seen[name] += 1
        again = f" ({seen[name]})" if seen[name] > 1 else ""  # a zip may hold one name several times
        yield from _entry_sources(opened, entry, f"{name}{again}", inside, level)


def _bounded(name: str) -> str:
    """A name that can be listed: a very long one is cut, and ends in a digest so that no two meet."""
    raw = name.encode()
    if len(raw) <= limits.NAME_BYTES:
        return name
    return f"{raw[: limits.NAME_BYTES].decode(errors='ignore')}… {digest_of(raw)[:16]}"


def pack_of(file: str) -> str:
    """The outermost zip among the uploads that a file lies in, by its path; empty for a file that lies in none.

    Examples
    --------
    >>> pack_of("b/hw.zip/x/y.zip/S0012.txt"), pack_of("b/S0012.txt")
    ('b/hw.zip', '')
    """
    parts = file.split(_BETWEEN)
    for number, part in enumerate(parts[:-1], 1):
        if part.casefold().endswith(".zip"):
            return _BETWEEN.join(parts[:number])
    return ""


def _entry_sources(
    opened: zipfile.ZipFile, entry: zipfile.ZipInfo, name: str, inside: str, level: int
) -> Iterator[Source]:
    file = f"{inside}{_BETWEEN}{name}" if inside else name
    if ignored := why_ignored(name):
        yield Source(file=file, ignored=ignored)
        return
    try:
        _check_name(name)
        data = b"".join(chunks(opened, entry, limits.FILE_BYTES))
    except Unreadable as refusal:
        yield Source(file=file, modified=_time(entry), fault=str(refusal))
        return
    if not is_archive(name, BytesIO(data), len(data)):
        yield Source(file=file, digest=digest_of(data), modified=_time(entry), data=data)
    elif level >= _LEVELS:
        yield Source(
            file=file, digest=digest_of(data), fault="it is a zip inside a zip inside a zip, so it was not opened"
        )
    else:
        try:
            yield from archive_sources(BytesIO(data), len(data), file, level + 1)
        except Unreadable as refusal:
            yield Source(file=file, digest=digest_of(data), modified=_time(entry), fault=str(refusal))


def _check_name(name: str) -> None:
    """Refuse names that point outside; nothing is unpacked to disk, but such a zip was made to do harm."""
    path = PurePosixPath(name.replace("\\", "/"))
    if path.is_absolute() or ".." in path.parts or (len(name) > 1 and name[1] == ":"):
        raise Unreadable("its name points outside the zip, so it was not opened")
    if len(path.parts) > limits.DEPTH:
        raise Unreadable(f"it lies more than {limits.DEPTH} folders deep, so it was not opened")


def _time(entry: zipfile.ZipInfo) -> str:
    """The entry's time, which a zip keeps without time zone and to two seconds; taken in the zone of this machine."""
    if entry.date_time == _UNKNOWN_TIME:
        return ""
    try:
        return datetime(*entry.date_time).astimezone().isoformat()
    except (ValueError, OverflowError, OSError):
        return ""
