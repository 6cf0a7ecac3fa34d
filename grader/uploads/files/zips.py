"""Zip files opened with suspicion: the table of contents is judged before anything is unpacked.

Spreadsheets (.xlsx, .ods) are zips too, so this serves both a zip of uploads and the formats.
"""

import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from typing import BinaryIO

from grader.uploads import limits
from grader.uploads.content.document import Unreadable

CHUNK = 64 * 1024
_END, _END_SIZE, _COMMENT = b"PK\x05\x06", 22, 65_535
_UNIX = 3
_KNOWN_METHODS = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
_ENCRYPTED = 0x1

NOT_ZIP = "it is damaged: what should be a zip inside cannot be opened; it may have been cut off on the way"
TOO_BIG = f"unpacked it would take more than {limits.INFLATED_BYTES // limits.MiB} MiB, so it was not opened"
BOMB = f"it unpacks to more than {limits.RATIO} times its size, which no answer sheet does, so it was not opened"
OVERLAPPING = "its entries overlap, which no honest zip does, so it was not opened"


def open_zip(stream: BinaryIO, size: int) -> zipfile.ZipFile:
    """Open a zip whose table of contents has a bounded size and entries that do not overlap; its size is in bytes.

    Raises
    ------
    Unreadable
        If it is no zip, damaged, or its table of contents is out of bounds.
    """
    if _directory_bytes(stream, size) > limits.ARCHIVE_DIRECTORY_BYTES:
        raise Unreadable("its table of contents is larger than that of any section's uploads, so it was not opened")
    try:
        opened = zipfile.ZipFile(stream)
    except (zipfile.BadZipFile, ValueError, OverflowError, struct.error, EOFError, NotImplementedError, OSError):
        raise Unreadable(NOT_ZIP) from None
    if sum(entry.compress_size for entry in opened.infolist()) > size:
        raise Unreadable(OVERLAPPING)
    return opened


def _directory_bytes(stream: BinaryIO, size: int) -> int:
    """Length of the table of contents, taken from the record at the end of the file (APPNOTE.TXT, 4.3.16)."""
    stream.seek(max(0, size - _END_SIZE - _COMMENT))
    tail = stream.read(_END_SIZE + _COMMENT)
    at = tail.rfind(_END)
    if at < 0 or len(tail) - at < _END_SIZE:
        raise Unreadable(NOT_ZIP)
    start = max(0, size - _END_SIZE - _COMMENT) + at
    length, offset = struct.unpack("<II", tail[at + 12 : at + 20])
    # A 64-bit zip writes all ones here and says more elsewhere; the table lies before this record in any case.
    return start if 0xFFFFFFFF in (length, offset) else int(length)


def judge(entry: zipfile.ZipInfo, bytes_allowed: int) -> None:
    """Refuse an entry that must not be unpacked, from what the table of contents says about it.

    Raises
    ------
    Unreadable
        If it is encrypted, a link, packed in an unusual way, too large, or packed too well.
    """
    if entry.flag_bits & _ENCRYPTED:
        raise Unreadable("it is protected by a password; please send it without one")
    if is_link(entry):
        raise Unreadable("it is a link to another file and not a file, so it was not followed")
    if entry.compress_type not in _KNOWN_METHODS:
        raise Unreadable("it is packed in a way that is not read here; please pack it as an ordinary zip")
    if entry.file_size > bytes_allowed:
        raise Unreadable(f"unpacked it would take more than {bytes_allowed // limits.MiB} MiB, so it was not opened")
    if entry.file_size > max(limits.RATIO_FREE_BYTES, limits.RATIO * entry.compress_size):
        raise Unreadable(BOMB)


def is_link(entry: zipfile.ZipInfo) -> bool:
    """Whether an entry made on a Unix system is anything but an ordinary file or a folder."""
    kind = stat.S_IFMT(entry.external_attr >> 16)
    return entry.create_system == _UNIX and kind not in (0, stat.S_IFREG, stat.S_IFDIR)


def chunks(opened: zipfile.ZipFile, entry: zipfile.ZipInfo, bytes_allowed: int) -> Iterator[bytes]:
    """Unpack one entry piece by piece, stopping where the bound is reached whatever the table of contents said.

    Raises
    ------
    Unreadable
        If the entry is refused by `judge`, damaged, or longer than it said.
    """
    judge(entry, bytes_allowed)
    taken = 0
    try:
        with opened.open(entry) as packed:
            while piece := packed.read(CHUNK):
                taken += len(piece)
                if taken > bytes_allowed:
                    raise Unreadable(BOMB)
                yield piece
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, OSError):
        raise Unreadable(NOT_ZIP) from None
