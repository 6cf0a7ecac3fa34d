"""From the bytes of one file to its uploads: pure, so that it runs the same anywhere."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType

from grader.uploads.content.document import Document, Unreadable
from grader.uploads.content.found import Parsed
from grader.uploads.content.items import Pair, known_items
from grader.uploads.content.lines import answers_in_lines
from grader.uploads.content.tables import answers_in
from grader.uploads.content.wide import students_in
from grader.uploads.escaping import visible
from grader.uploads.files.source import Source
from grader.uploads.files.sources import one_source, sources
from grader.uploads.formats import read_document
from grader.uploads.owner import owner
from grader.uploads.records import Upload
from grader.uploads.roster import Roster

NO_ANSWERS = (
    "No answers were found: no sheet has a heading row with 'item' and 'answer', no table has a column for the student "
    "and columns for items, and no line begins with the name of an item."
)


def read_source(
    source: Source,
    pairs: tuple[Pair, ...],
    roster: Roster | None = None,
    owners: Mapping[str, str] = MappingProxyType({}),
) -> tuple[Upload, ...]:
    """Read one file: one upload, or one for each row of a wide table.

    Parameters
    ----------
    source : Source
        The file with its bytes; one without gives an upload without answers, and its fault.
    pairs : tuple of (str, str)
        Problem id and item id of everything the rubric asks.
    roster : Roster, optional
        Without one, students are known by what the file says or by its name.
    owners : mapping of str to str
        Files (or rows of a wide table) whose student a person has decided.

    Returns
    -------
    tuple of Upload
        At least one.  Where nothing could be read, `answers` is empty and `faults` says why.
    """
    items = known_items(pairs)
    if source.fault:
        return (_failed(source, source.fault, roster, owners),)
    try:
        document = read_document(source.file, source.data)
    except Unreadable as refusal:
        return (_failed(source, str(refusal), roster, owners),)
    single = answers_in(document.tables, items)
    if single is None and (rows := students_in(document.tables, items)):
        return tuple(_upload(source, row, document, roster, owners) for row in rows)
    found = single or answers_in_lines(document.lines, items)
    if found is None:
        texts = [cell.text for table in document.tables for cell in table.cells.values()] + list(document.lines)
        found = Parsed(faults=(NO_ANSWERS,), loose=tuple(texts))
    return (_upload(source, found, document, roster, owners),)


def read_uploads(
    path: Path, pairs: tuple[Pair, ...], roster: Roster | None = None, apart: Mapping[Path, str] | None = None
) -> Iterator[Upload]:
    """Every upload of a folder, a zip or a file, one after the other; files that are none are left out.

    Raises
    ------
    UsageError
        If there is nothing at that path.
    """
    for source in sources(path, apart):
        if not source.ignored:
            yield from read_source(source, pairs, roster)


def read_one(path: Path, pairs: tuple[Pair, ...], roster: Roster | None = None) -> tuple[Upload, ...]:
    """The uploads of one file on disk.

    Raises
    ------
    UsageError
        If there is no such file.
    """
    return read_source(one_source(path), pairs, roster)


def _failed(source: Source, fault: str, roster: Roster | None, owners: Mapping[str, str]) -> Upload:
    found = owner(source.file, (), (), roster)[0] if roster is not None else None
    student = owners.get(source.file, found)
    return Upload(
        file=source.file, digest=source.digest, student=student, answers=(), modified=source.modified,
        faults=(f"The file could not be read: {fault}.",),
    )  # fmt: skip


def _upload(
    source: Source, found: Parsed, document: Document, roster: Roster | None, owners: Mapping[str, str]
) -> Upload:
    file = f"{source.file}, {visible(found.where)}" if found.where else source.file
    student, why = owner("" if found.where else source.file, found.labelled, found.loose, roster)
    if file in owners:
        student, why = owners[file], ""
    elif student is None and found.where and not found.labelled:
        why = "the row names no student"
    said = [why] if why else []
    faults = tuple(_sentence(fault) for fault in (*said, *document.faults, *found.faults))
    return Upload(
        file=file, digest=source.digest, student=student, answers=found.answers, modified=source.modified, faults=faults,
    )  # fmt: skip


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].removesuffix('.')}." if text else text
