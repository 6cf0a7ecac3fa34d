"""From the bytes of one file to its uploads: pure, so that it runs the same anywhere."""

from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from types import MappingProxyType

from msgspec.structs import replace

from grader.uploads.content.document import Document, Unreadable
from grader.uploads.content.found import Parsed, sentence
from grader.uploads.content.headings import STUDENT_HEADINGS
from grader.uploads.content.items import Pair, known_items
from grader.uploads.content.lines import answers_in_lines
from grader.uploads.content.tables import answers_in
from grader.uploads.content.wide import students_in
from grader.uploads.escaping import visible
from grader.uploads.files.source import Source
from grader.uploads.files.sources import one_source
from grader.uploads.formats import read_document
from grader.uploads.owner import Assignments, Owner, assigned, owner
from grader.uploads.roster import Ids
from grader.uploads.upload import Upload, Written

_NAMED, _NAMED_CHARS = 5, 200
"""How many of the students of a table are named to the person who looks at it, and in how many characters."""

NO_ANSWERS = (
    "No answers were found: no sheet has a heading row with 'item' and 'answer', no table has a column for the student "
    f"and columns for items (an item's id in each heading), and no line begins with the name of an item. A column for the student is headed {STUDENT_HEADINGS}."
)


def read_source(
    source: Source,
    pairs: tuple[Pair, ...],
    roster: Ids | None = None,
    assignments: Assignments = MappingProxyType({}),
) -> tuple[Upload, ...]:
    """Read one file: one upload, or one for each row of a wide table.

    Parameters
    ----------
    source : Source
        The file with its bytes; one without gives an upload without answers, and its fault.
    pairs : tuple of (str, str)
        Problem id and item id of everything the rubric asks.
    roster : Ids, optional
        Without one, students are known by what the file says or by its name.
    assignments : mapping
        Files (or rows of a wide table) whose student a person has decided.

    Returns
    -------
    tuple of Upload
        At least one.  Where nothing could be read, `answers` is empty and `faults` says why.
    """
    return tuple(uploads_in(source, pairs, roster, assignments))


def uploads_in(
    source: Source,
    pairs: tuple[Pair, ...],
    roster: Ids | None = None,
    assignments: Assignments = MappingProxyType({}),
) -> Iterator[Upload]:
    """The same, each as soon as it is read: of a wide table there may be a hundred thousand."""
    items = known_items(pairs)
    if source.fault:
        yield _failed(source, source.fault, roster, assignments)
        return
    try:
        document = read_document(source.file, source.data)
    except Unreadable as refusal:
        yield _failed(source, str(refusal), roster, assignments)
        return
    found = answers_in(document.tables, items)
    if found is None:
        rows = students_in(document.tables, items)
        first = next(rows, None)
        if first is None:
            found = answers_in_lines(document.lines, items)
        elif source.table:
            for row in chain((first,), rows):
                yield _upload(source, row, document, roster, assignments)
            return
        elif others := tuple(rows):
            yield _untold_table(source, (first, *others), assignments)
            return
        else:
            found = replace(first, where="")
    if found is None:
        texts = [cell.text for table in document.tables for cell in table.cells.values()] + list(document.lines)
        found = Parsed(faults=(NO_ANSWERS,), loose=tuple(texts))
    yield _upload(source, found, document, roster, assignments)


def read_one(path: Path, pairs: tuple[Pair, ...], roster: Ids | None = None) -> tuple[Upload, ...]:
    """The uploads of one file on disk.

    Raises
    ------
    UsageError
        If there is no such file.
    """
    return read_source(one_source(path), pairs, roster)


def _failed(source: Source, fault: str, roster: Ids | None, assignments: Assignments) -> Upload:
    found = Owner(None) if roster is None else owner(source.file, (), (), roster)
    return _made(source, found, assignments, (f"The file could not be read: {fault}.",))


def _untold_table(source: Source, rows: tuple[Parsed, ...], assignments: Assignments) -> Upload:
    """A table of several students that nobody announced: whoever wrote it may not speak for them."""
    named = list(dict.fromkeys(text for row in rows for text in row.labelled))
    shown = f"{', '.join(map(visible, named[:_NAMED]))}{' …' if len(named) > _NAMED else ''}"
    fault = (
        f"It is a table with rows of several students ({shown[:_NAMED_CHARS]}). Such a table counts only where whoever "
        "marks names it as the table of the class, so none of its rows was marked."
    )
    return _made(source, Owner(None), assignments, (fault,))


def _upload(source: Source, found: Parsed, document: Document, roster: Ids | None, assignments: Assignments) -> Upload:
    file = source.file
    labelled = found.labelled[:1] if found.where and roster is None else found.labelled  # of several columns the surest
    whose = owner("" if found.where else file, labelled, found.loose, roster)
    if found.where:  # a row of a table that the caller named, who vouches for it
        file = f"{file}, {visible(found.where)}"
        why = whose.why if found.labelled else "the row names no student"
        whose = Owner(whose.student, "" if whose.student else why, vouched=whose.student is not None)
    said = (whose.why,) if whose.why and assigned(file, source.digest, assignments) is None else ()
    faults = tuple(sentence(fault) for fault in (*said, *document.faults, *found.faults))
    return _made(source, whose, assignments, faults, found.answers, file)


def _made(
    source: Source,
    whose: Owner,
    assignments: Assignments,
    faults: tuple[str, ...],
    answers: tuple[Written, ...] = (),
    file: str = "",
) -> Upload:
    """An upload; what a person said of whose it is goes before what was found."""
    file = file or source.file
    said = assigned(file, source.digest, assignments)
    return Upload(
        file=file, digest=source.digest, student=whose.student if said is None else said.student or None, answers=answers,
        modified=source.modified, vouched=whose.vouched or said is not None, faults=faults,
    )  # fmt: skip
