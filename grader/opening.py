"""Opens files to be read: ordinary ones alone, since a pipe would hold the program up for ever and a device has no end."""

import errno
import io
import os
import stat
from collections.abc import Iterator
from pathlib import Path

MAX_BYTES = 256 << 20
"""Of a file that is read whole: the record of a run of a hundred thousand students is a tenth of it."""

MAX_LINE = 16 << 20
"""Bytes of a line: a mark with its reasons has a few thousand."""


def opened(path: Path, more: int = 0) -> io.BufferedReader:
    """Open an ordinary file to be read, with `more` flags of the system.

    Raises
    ------
    OSError
        If it cannot be opened, or is something else.
    """

    def ordinary(name: str, flags: int) -> int:
        file = os.open(name, flags | getattr(os, "O_NONBLOCK", 0) | more, 0o666)
        mode = os.fstat(file).st_mode
        if not stat.S_ISREG(mode):
            os.close(file)
            raise OSError(errno.EINVAL, "it is a folder" if stat.S_ISDIR(mode) else "it is no ordinary file", name)
        return file

    return open(path, "rb", opener=ordinary)


def content_of(path: Path) -> bytes:
    """The content of an ordinary file.

    Raises
    ------
    OSError
        As `opened`, or if it is larger than anything that is read whole.
    """
    with opened(path) as file:
        if os.fstat(file.fileno()).st_size > MAX_BYTES:
            raise OSError(errno.EFBIG, f"it is larger than {MAX_BYTES >> 20} MiB", str(path))
        return file.read()


def lines_of(path: Path) -> Iterator[bytes]:
    """The lines of an ordinary file with their ends, one at a time; of one that is too long, a piece at a time.

    Raises
    ------
    OSError
        As `opened`.
    """
    with opened(path) as file:
        yield from iter(lambda: file.readline(MAX_LINE), b"")
