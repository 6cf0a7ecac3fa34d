"""Files such as students send, made in memory.  All ids and answers are invented (the Harbour Lock works, EE 118)."""

import io
import zipfile
from collections.abc import Iterable, Mapping
from typing import Any

import openpyxl

from grader.uploads.files.source import Source, digest_of
from grader.uploads.reader import read_source
from grader.uploads.roster import Roster
from grader.uploads.upload import Student, Upload

PAIRS = (
    ("valve", "tau"),
    ("valve", "current"),
    ("relay", "tau"),
    ("relay", "v0-"),
    ("relay", "v0+"),
    ("horn", "choice"),
)
ROSTER = Roster(
    students=(
        Student(id="S0012", name="Ada Quay", section="A"),
        Student(id="S0013", name="Ben Weir", section="A"),
        Student(id="s-77", name="Cai Sluice", section="B"),
    )
)


def workbook(sheets: Mapping[str, Iterable[Iterable[Any]]]) -> bytes:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    return saved(book)


def saved(book: openpyxl.Workbook) -> bytes:
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def zipped(entries: Mapping[str, bytes], time: tuple[int, int, int, int, int, int] = (2025, 2, 3, 4, 5, 6)) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as target:
        for name, data in entries.items():
            entry = zipfile.ZipInfo(name, time)
            entry.compress_type = zipfile.ZIP_DEFLATED
            target.writestr(entry, data)
    return stream.getvalue()


def changed(data: bytes, parts: Mapping[str, bytes]) -> bytes:
    """A zip with some parts replaced or added."""
    with zipfile.ZipFile(io.BytesIO(data)) as source:
        entries = {name: source.read(name) for name in source.namelist()}
    return zipped({**entries, **parts})


def source(file: str, data: bytes | str, *, table: bool = False) -> Source:
    raw = data.encode() if isinstance(data, str) else data
    return Source(file=file, digest=digest_of(raw), modified="2025-02-03T04:05:06+00:00", data=raw, table=table)


def uploads(file: str, data: bytes | str, roster: Roster | None = ROSTER, *, table: bool = False) -> tuple[Upload, ...]:
    return read_source(source(file, data, table=table), PAIRS, roster)


def upload(file: str, data: bytes | str, roster: Roster | None = ROSTER) -> Upload:
    (only,) = uploads(file, data, roster)
    return only


def texts(found: Upload) -> dict[str, str]:
    return {f"{answer.problem}.{answer.item}": answer.text for answer in found.answers}
