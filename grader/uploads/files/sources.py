"""Finds the files of a folder, a zip or a single file, and takes their bytes: the only file of this room that opens them.

Every file found comes out exactly once: with its bytes, or with one sentence that says why not.  Nothing is ever
unpacked to disk, no link is followed, and only ordinary files are opened.
"""

import hashlib
import os
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import BinaryIO

from msgspec.structs import replace

from grader.errors import UsageError
from grader.opening import opened
from grader.uploads import limits
from grader.uploads.content.document import Unreadable
from grader.uploads.files.archive import archive_names, archive_sources, is_archive
from grader.uploads.files.source import Source, digest_of, shown, why_ignored

_CHUNK = 1 << 20
_TRIES = 2
"""A file found changed while it was read is read once more; a second change goes on the review list."""


def sources(path: Path, apart: Mapping[Path, str] | None = None, table: Path | None = None) -> Iterator[Source]:
    """Every file of a folder, of a zip, or the one file named; one at a time, in order of name.

    Parameters
    ----------
    path : Path
        The folder, zip or file.  It may itself be a link; nothing below it is followed.
    apart : mapping of Path to str
        Files and folders in it that are no uploads, with the reason: the roster, the results of an earlier run.

    table : Path, optional
        A table with a row for each student, among the uploads or elsewhere.  The one file named as `path` may be such
        a table, too; any other file speaks for a single student.

    Raises
    ------
    UsageError
        If there is nothing at one of these paths, or it cannot be opened.
    """
    apart = {place.resolve(): reason for place, reason in (apart or {}).items()}
    own = None if table is None else table.resolve()
    if path.is_dir():
        yield from _folder(path, "", apart, own, 1)
    elif path.is_file():
        yield from _file(path.resolve(), shown(path.name), named=True)
    else:
        raise UsageError(f"{path}: there is no such folder, zip or file; name the uploads of the section.")
    if table is not None and own is not None and not own.is_relative_to(path.resolve()):
        yield one_source(table)


def count_files(path: Path) -> int:
    """About how many files there are, for a progress bar: those of a zip inside a folder count as one."""
    if path.is_dir():
        return sum(len(files) for _, _, files in os.walk(path))
    try:
        with _opened(path.resolve()) as stream:
            return len(archive_names(stream, os.fstat(stream.fileno()).st_size))
    except (Unreadable, OSError):
        return 1


def one_source(path: Path) -> Source:
    """The one file named, as a single upload or a table with a row for each student."""
    return replace(_ordinary(Path(os.path.realpath(path)), shown(path.name)), table=True)


def _folder(folder: Path, above: str, apart: Mapping[Path, str], table: Path | None, depth: int) -> Iterator[Source]:
    try:
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except OSError as error:
        if not above:
            raise UsageError(f"{folder}: the folder cannot be opened ({error.strerror}).") from None
        yield Source(file=above, fault=f"the folder cannot be opened ({error.strerror})")
        return
    real = folder.resolve()
    for entry in entries:
        file = f"{above}/{shown(entry.name)}" if above else shown(entry.name)
        place, link = Path(entry.path), entry.is_symlink()
        if not link and real / entry.name in apart:
            yield Source(file=file, ignored=apart[real / entry.name])
        elif table is not None and (place.resolve() if link else real / entry.name) == table:
            yield replace(_ordinary(table, file), table=True)
        elif entry.is_dir(follow_symlinks=False):
            if depth >= limits.DEPTH:
                yield Source(file=file, fault=f"it lies more than {limits.DEPTH} folders deep, so it was not opened")
            else:
                yield from _folder(place, file, apart, table, depth + 1)
        else:
            yield from _file(place, file)


def _file(place: Path, file: str, *, named: bool = False) -> Iterator[Source]:
    if ignored := why_ignored(file):
        yield Source(file=file, ignored=ignored)
        return
    if not file.casefold().endswith(".zip"):
        yield replace(_ordinary(place, file), table=named)
        return
    try:
        with _opened(place) as stream:
            size = os.fstat(stream.fileno()).st_size
            _check_size(size, limits.ARCHIVE_BYTES)
            if is_archive(file, stream, size):
                yield from archive_sources(stream, size, "" if named else file)
                return
    except Unreadable as refusal:
        yield Source(file=file, digest=_digest(place), modified=_time(place), fault=str(refusal))
        return
    yield _ordinary(place, file)


def _ordinary(place: Path, file: str) -> Source:
    try:
        for _ in range(_TRIES):
            with _opened(place) as stream:
                before = os.fstat(stream.fileno())
                _check_size(before.st_size, limits.FILE_BYTES)
                data = stream.read(before.st_size + 1)
                after = os.fstat(stream.fileno())
            if (before.st_size, before.st_mtime_ns) == (after.st_size, after.st_mtime_ns) and len(
                data
            ) == after.st_size:
                return Source(file=file, digest=digest_of(data), modified=_time(place), data=data)
        fault = "it changed while it was being read; please run again when it is complete"
    except Unreadable as refusal:
        fault = str(refusal)
    except OSError as error:
        fault = f"it cannot be read ({error.strerror})"
    return Source(file=file, digest=_digest(place), modified=_time(place), fault=fault)


def _check_size(size: int, allowed: int) -> None:
    if size > allowed:
        raise Unreadable(f"it is larger than {allowed // limits.MiB} MiB, so it was not opened")


def _opened(place: Path) -> BinaryIO:
    """Open an ordinary file; a link, a pipe or a device is refused before it can do anything."""
    try:
        return opened(place, getattr(os, "O_NOFOLLOW", 0))
    except FileNotFoundError:
        raise Unreadable("there is no such file") from None
    except OSError as error:
        if place.is_symlink():
            raise Unreadable("it is a link to another file and not a file, so it was not followed") from None
        raise Unreadable(f"it cannot be opened ({error.strerror})") from None


def _digest(place: Path) -> str:
    """SHA-256 of a file that is only listed, read piece by piece; empty where that is not possible."""
    try:
        with _opened(place) as stream:
            if os.fstat(stream.fileno()).st_size > limits.ARCHIVE_BYTES:
                return ""
            digest = hashlib.sha256()
            while piece := stream.read(_CHUNK):
                digest.update(piece)
            return digest.hexdigest()
    except (Unreadable, OSError):
        return ""


def _time(place: Path) -> str:
    try:
        return datetime.fromtimestamp(place.lstat().st_mtime, UTC).isoformat(timespec="microseconds")
    except (OSError, ValueError, OverflowError):
        return ""
