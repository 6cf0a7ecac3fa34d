"""Which of several uploads by one student counts: the latest that could be read and that may speak for the student."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import PurePosixPath
from typing import Protocol, TypeVar

from grader.uploads.names import natural


class Dated(Protocol):
    """An upload as far as choosing needs it."""

    @property
    def file(self) -> str:
        """Its path among the uploads."""

    @property
    def digest(self) -> str:
        """SHA-256 of its bytes."""

    @property
    def modified(self) -> str:
        """Its time, ISO 8601 with the offset from UTC, or empty."""

    @property
    def vouched(self) -> bool:
        """Whether more than the file's own content says whose it is."""

    @property
    def failed(self) -> bool:
        """Whether nothing could be read in it."""


D = TypeVar("D", bound=Dated)


def chosen(uploads: Sequence[D]) -> tuple[D, tuple[D, ...]]:
    """Choose the upload that counts, and those that may not take its place until a person says so.

    The latest by time counts; where times are equal or one is unknown, the last by name.  An upload that names the
    student only inside counts where there is no other, and else waits if it is later: anybody may have written it.
    Of several such the earliest stands.

    Parameters
    ----------
    uploads : sequence
        All of one student, at least one.  Those in which nothing could be read count only if all are such.

    Returns
    -------
    tuple of upload, and tuple of upload
        What counts, and what waits, in the order given.
    """
    readable = [upload for upload in uploads if not upload.failed]
    timed = all(upload.modified for upload in readable or uploads)

    def order(upload: D) -> tuple[object, ...]:
        return (_instant(upload.modified) if timed else 0.0, _name_order(upload.file), upload.file)

    if not readable:
        return max(uploads, key=order), ()
    vouched = [upload for upload in readable if upload.vouched]
    counted = max(vouched, key=order) if vouched else min(readable, key=order)
    waiting = (
        upload
        for upload in readable
        if not upload.vouched and upload.digest != counted.digest and order(upload) > order(counted)
    )
    return counted, tuple(waiting)


def why_superseded(upload: Dated, counted: Dated, whose: str = "this student") -> str:
    """What the upload that counts is, compared with one that does not; of each the time may be unknown."""
    table, row, _ = upload.file.rpartition(", row ")
    if row and counted.file.startswith(f"{table}{row}"):
        return f"a later row of {whose} in the same table"
    if upload.digest == counted.digest:
        return f"another file by {whose} with the same contents"
    if upload.modified and counted.modified and _instant(upload.modified) < _instant(counted.modified):
        return f"a later upload by {whose}"
    return f"the last by name of the uploads by {whose}, whose times are equal or unknown"


def _instant(modified: str) -> float:
    """Seconds since 1970, so that times written with different offsets compare as instants."""
    return datetime.fromisoformat(modified).timestamp()


def _name_order(file: str) -> tuple[object, ...]:
    path = PurePosixPath(file)
    return natural(path.name.removesuffix(path.suffix)), natural(file)
