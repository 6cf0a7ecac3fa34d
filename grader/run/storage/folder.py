"""The results folder: one run at a time, and all results of a run at once.

Everything is written beside the results first and moved in when all of it is there, so that a full disk, a kill or a
fault leaves the earlier results as they were.
"""

import contextlib
import hashlib
import os
import re
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from grader.errors import OutputError
from grader.opening import opened
from grader.regex import regex
from grader.run.storage import moving
from grader.run.storage.moving import OWN


@contextlib.contextmanager
def locked(results: Path) -> Iterator[None]:
    """Keep other runs out of a results folder; the system gives the lock back however this process ends.

    Raises
    ------
    OutputError
        If the folder cannot be made or written to, leads elsewhere, or another run is at work in it.
    """
    if (results / OWN).is_symlink():
        raise OutputError(f"{results / OWN} is a link to elsewhere; remove it, or name another folder with -o.")
    try:
        (results / OWN).mkdir(parents=True, exist_ok=True)
        lock = opened(results / OWN / "lock", os.O_CREAT | os.O_RDWR)
    except OSError as error:
        raise OutputError(
            f"{error.filename or results}: results cannot be written there ({error.strerror}); name another folder with -o."
        ) from None
    try:
        if not take(lock):
            raise OutputError(
                f"{results}: another run is writing its results there; wait for it, or name another folder."
            )
        yield
    finally:
        with contextlib.suppress(OSError):  # nothing was written to it that could be lost
            lock.close()


def take(lock: IO[bytes]) -> bool:
    """Lock an open file against other processes; whether it was free.  The system frees it however this process ends."""
    try:
        try:
            import fcntl
        except ImportError:
            import msvcrt

            msvcrt.locking(lock.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        else:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


FEEDBACK = "feedback"
"""The folder of what students get back."""


class StagedResults:
    """Where the results of one run are written before they are moved in.

    The folder has the name of the results folder, since reports show it.
    """

    def __init__(self, results: Path) -> None:
        self.results = results
        self._above = results / OWN / "new"
        self.folder = self._above.resolve() / results.resolve().name
        self.feedback = self.folder / FEEDBACK
        self._digests: dict[str, str] = {}  # empty while a result is written line by line
        if self._above.is_symlink():  # of somebody's making: what it points at is none of a run's business
            self._above.unlink()
        moving.finish(results, self._above, self.folder)
        shutil.rmtree(self._above, ignore_errors=True)
        self.feedback.mkdir(parents=True, exist_ok=True)

    def write(self, name: str, content: str | bytes) -> None:
        """Write one result."""
        self.note(name, written(self._place(name), as_utf8(content) if isinstance(content, str) else content))

    def note(self, name: str, digest: str) -> None:
        """Take a result that another process wrote into `folder`."""
        self._digests[name] = digest

    def open(self, name: str) -> IO[str]:
        """Open one result to be written line by line."""
        self._digests[name] = ""
        return self._place(name).open("w", encoding="utf-8", errors="backslashreplace", newline="")

    def _place(self, name: str) -> Path:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        return path

    def names(self) -> tuple[str, ...]:
        """All results written so far, sorted."""
        return tuple(sorted(self._digests))

    def digests(self) -> dict[str, str]:
        """SHA-256 of every result written so far, those opened being closed again."""
        return {name: self._digests[name] or _digest(self.folder / name) for name in self.names()}

    def publish(self, stale: tuple[str, ...]) -> None:
        """Move all results in, and remove those of the run before that this one no longer has.

        Raises
        ------
        OutputError
            If one cannot be replaced; those of the run before are then back in their places.
        """
        pages = f"{FEEDBACK}/"
        new = self.names()
        if any(name.startswith(pages) for name in new) and not os.path.lexists(self.results / FEEDBACK):
            new = (FEEDBACK, *(name for name in new if not name.startswith(pages)))  # all of them in one move
        moving.begin(self._above, new, stale)
        moving.finish(self.results, self._above, self.folder)
        shutil.rmtree(self._above, ignore_errors=True)


def as_utf8(text: str) -> bytes:
    """Text as results have it: plain line ends, half characters as escapes."""
    return text.encode("utf-8", "backslashreplace")


def written(path: Path, content: bytes) -> str:
    """Write a file; gives the SHA-256 of its content."""
    path.write_bytes(content)
    return hashlib.sha256(content).hexdigest()


def copy_whole(source: Path, target: Path) -> None:
    """Copy a file; a kill or a full disk leaves the copy of before."""
    draft = target.with_suffix(".new")
    draft.unlink(missing_ok=True)
    shutil.copyfile(source, draft)
    draft.replace(target)


MAX_NAME = 120
"""Bytes of a file's name before its ending, in the file system's encoding; common file systems hold 255."""

_RESERVED = regex(r"con|prn|aux|nul|(?:com|lpt)[\d¹²³]", re.IGNORECASE)
"""Names that are devices on some systems."""


def _digest(path: Path) -> str:
    with opened(path) as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def file_name(student: str) -> str:
    """A file name for a student's id: everything but letters, digits, ``-`` and ``_`` as ``%`` and its code.

    A very long one is cut, and ends in a digest of the id so that no two meet.

    Examples
    --------
    >>> file_name("S0012"), file_name("../x y"), file_name("con"), file_name("COM¹")
    ('S0012', '%2E%2E%2Fx%20y', '%63on', '%43OM¹')
    """
    name = "".join(map(_in_name, student))
    if _RESERVED.fullmatch(name):
        return f"%{ord(name[0]):02X}{name[1:]}"
    if len(os.fsencode(name)) <= MAX_NAME:
        return name
    digest = hashlib.sha256(student.encode("utf-8", "replace")).hexdigest()[:16]
    kept = os.fsencode(name)[: MAX_NAME - 1 - len(digest)].decode(sys.getfilesystemencoding(), "ignore")
    return f"{kept}-{digest}"


def _in_name(character: str) -> str:
    if character.isalnum() or character in "-_":
        try:
            os.fsencode(character)
        except UnicodeEncodeError:
            pass
        else:
            return character
    return "".join(f"%{byte:02X}" for byte in character.encode("utf-8", "replace"))
