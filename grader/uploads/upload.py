"""What comes in: uploads with their answers as written, faults, and the roster."""

from datetime import datetime
from typing import NamedTuple

from msgspec import Struct

from grader.place import Placed


class Unused(NamedTuple):
    """What a student wrote for an item besides the answer that was taken, and where; ``told``: whatever it comes to."""

    text: str
    where: str
    told: bool = True


class Written(Placed, Struct, frozen=True, kw_only=True):
    """One answer as a student wrote it, untouched.

    ``where`` says where it stood (``"Sheet1!C7"``, ``"line 12"``); ``notes`` what the file format did to it
    (``"the spreadsheet had turned this into a date"``), in sentences for the student.
    ``alternatives`` are other texts that may have been typed where the file format lost which one it was
    (a date made out of ``1/2`` or of ``2/1``); whichever is right counts, and ``notes`` says so.
    ``stored`` tells that the file kept a number and not the text typed: zeros typed at its end are lost.
    ``undecided`` says why a person decides what it is worth, where nobody can tell which part of it is the answer.
    ``unused`` is what else stands there for this item and did not count.
    """

    problem: str
    item: str
    text: str
    unit: str = ""
    working: str = ""
    where: str = ""
    notes: tuple[str, ...] = ()
    alternatives: tuple[str, ...] = ()
    stored: bool = False
    undecided: str = ""
    unused: tuple[Unused, ...] = ()

    @property
    def as_written(self) -> str:
        """The answer and the unit beside it."""
        return f"{self.text} {self.unit}".strip()


class Upload(Struct, frozen=True, kw_only=True):
    """One file from one student (or one row of a wide table).

    ``student`` is the roster id found, None where it must be decided by a person (``faults`` says why).
    ``vouched`` tells that the file's name, the caller or a person says so too, and not the file's content alone.
    ``digest`` is the SHA-256 of the file's bytes; ``modified`` its time as ISO 8601 text, if known.
    """

    file: str
    digest: str
    student: str | None
    answers: tuple[Written, ...]
    modified: str = ""
    vouched: bool = True
    faults: tuple[str, ...] = ()
    """What a person must look at, one sentence each."""


class Student(Struct, frozen=True, kw_only=True):
    """One line of the roster; ``due`` is a due time of the student's own, in place of everybody's."""

    id: str
    name: str = ""
    section: str = ""
    due: datetime | None = None
