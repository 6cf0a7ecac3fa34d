"""Which of several uploads by one student counts: the latest that could be read."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePosixPath
from typing import Protocol, TypeVar

from grader.uploads.names import natural


class Dated(Protocol):
    """An upload as far as choosing needs it."""

    @property
    def file(self) -> str:
        """Its path among the uploads."""

    @property
    def modified(self) -> str:
        """Its time, ISO 8601, or empty."""

    @property
    def failed(self) -> bool:
        """Whether nothing could be read in it."""


D = TypeVar("D", bound=Dated)


def latest(uploads: Sequence[D]) -> D:
    """The upload that counts: the latest by time; where times are equal or one is unknown, the last by name.

    Parameters
    ----------
    uploads : sequence
        All of one student, at least one.  Those in which nothing could be read count only if all are such.
    """
    readable = [upload for upload in uploads if not upload.failed] or uploads
    timed = all(upload.modified for upload in readable)
    return max(readable, key=lambda upload: (upload.modified if timed else "", _name_order(upload.file), upload.file))


def _name_order(file: str) -> tuple[object, ...]:
    path = PurePosixPath(file)
    return natural(path.name.removesuffix(path.suffix)), natural(file)
