"""Everything handed in as uploads again: what the command line marks exactly as it was marked here."""

import csv
import io
import re
import zipfile
from collections.abc import Iterable
from datetime import datetime
from itertools import groupby
from operator import attrgetter

from grader.place import Placed
from grader.uploads.escaping import escaped, visible
from grader.web.data.records import Attempt, OnAnswer
from grader.web.data.store import Store

TYPED = "answers.csv"
"""Stands for the name of a file where the answers were typed."""

EARLIEST, LATEST = (1980, 1, 1, 0, 0, 0), (2107, 12, 31, 23, 59, 58)
"""A zip knows no time before and none after."""


def uploads_zip(store: Store, attempts: Iterable[Attempt], *, numbered: bool = False) -> bytes:
    """A zip with one file for each attempt: the file handed in, or the table of what was typed; ``numbered`` where a student has several."""
    return _zip(
        (
            upload_name(one.student, one.file or ".csv", f"_v{one.number}" if numbered else ""),
            one.at,
            store.content(one.id),
        )
        for one in attempts
    )


def late_zip(late: Iterable[OnAnswer]) -> bytes:
    """A zip with a table for each student whose answers came too late, and are in order of students."""
    students = [(student, list(answers)) for student, answers in groupby(late, key=attrgetter("student"))]
    return _zip(
        (upload_name(student, ".csv"), answers[0].at, answers_csv(student, ((one, one.answer) for one in answers)))
        for student, answers in students
    )


def _zip(files: Iterable[tuple[str, datetime, bytes]]) -> bytes:
    """Files by name, with when they came."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, at, content in files:
            entry = zipfile.ZipInfo(name, _zip_time(at))
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            archive.writestr(entry, content)
    return packed.getvalue()


def answers_csv(student: str, typed: Iterable[tuple[Placed, str]]) -> bytes:
    """Typed answers as a table in UTF-8: safe to open in a spreadsheet, and to the character what was typed.

    The student stands on top, so that an answer which looks like somebody's id misleads nobody.
    """
    text = io.StringIO(newline="")
    rows = csv.writer(text)
    rows.writerow(["student", _guarded(student)])
    rows.writerow(["problem", "item", "answer"])
    rows.writerows([one.problem, one.item, _guarded(answer)] for one, answer in typed)
    return text.getvalue().encode("utf-8-sig")


def _guarded(text: str) -> str:
    """With the apostrophe of `escaped` where it puts one, but without its changes to invisible characters."""
    return f"'{text}" if escaped(text) != visible(text) else text


def upload_name(student: str, file: str, version: str = "") -> str:
    """What a student's upload is called: the id, then the ending that tells its format.

    What a file's name cannot hold becomes a hyphen, which the search for ids takes for a separator.

    Examples
    --------
    >>> upload_name("S0012", "my homework.XLSX"), upload_name("a/../b", ".csv", "_v2")
    ('S0012.xlsx', 'a-..-b_v2.csv')
    """
    stem = re.sub(r"[^\w.-]+", "-", student).strip(".-") or "-"
    ending = re.fullmatch(r".*(\.[a-z0-9]{1,8})", file.lower(), re.DOTALL)
    return f"{stem}{version}{ending[1] if ending else ''}"


def _zip_time(at: datetime) -> tuple[int, int, int, int, int, int]:
    local = at.astimezone()
    return min(max((local.year, local.month, local.day, local.hour, local.minute, local.second), EARLIEST), LATEST)
