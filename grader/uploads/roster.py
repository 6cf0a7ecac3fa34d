"""The roster: who is in the course, and how an id is recognised in a text."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from msgspec.structs import replace

from grader.errors import UsageError
from grader.uploads.content.document import Document, Unreadable
from grader.uploads.content.grid import Grid
from grader.uploads.content.headings import STUDENT, role_of, student_columns
from grader.uploads.files.sources import one_source
from grader.uploads.formats import read_document
from grader.uploads.names import folded, key, latinised, seen, tokens
from grader.uploads.upload import Student

_NAMES = ("name", "fullname", "studentname")
_FIRST, _LAST = ("firstname", "givenname", "forename"), ("lastname", "surname", "familyname")
_SECTIONS = ("section", "group", "class", "labsection")
_DUES = ("due", "duetime", "dueat", "duedate")
_MAX_FAULTS = 50


class Ids:
    """The ids of a course, found in a text however they are written: all that a worker holds of a roster."""

    def __init__(self, by_words: Mapping[str, str]) -> None:
        self._by_words = by_words

    @property
    def by_words(self) -> Mapping[str, str]:
        """Every id by its words, folded."""
        return self._by_words

    @cached_property
    def _lengths(self) -> tuple[int, ...]:
        return tuple(sorted({words.count(" ") + 1 for words in self.by_words}, reverse=True))

    @cached_property
    def _shapes(self) -> frozenset[str]:
        return frozenset(map(_shape, self.by_words.values()))

    def ids_in(self, text: str) -> tuple[str, ...]:
        """Every roster id that stands in a text as a whole word; of ids within each other the longer one.

        Examples
        --------
        >>> roster = Roster(students=(Student(id="S0012"), Student(id="S001")))
        >>> roster.ids_in("hw_S0012_v2.xlsx"), roster.ids_in("hw_S00123.xlsx")
        (('S0012',), ())
        """
        words = tokens(text)
        found: list[str] = []
        taken: set[int] = set()
        for length in self._lengths:
            for start in range(len(words) - length + 1):
                places = range(start, start + length)
                id = self.by_words.get(" ".join(words[start : start + length]))
                if id is not None and taken.isdisjoint(places):
                    taken.update(places)
                    found.append(id)
        return tuple(dict.fromkeys(found))

    def lookalikes_in(self, text: str) -> tuple[str, ...]:
        """Ids that a text seems to show, but spelt with letters of another alphabet."""
        return () if self.ids_in(text) else self.ids_in(latinised(text))

    def looks_like_id(self, text: str) -> bool:
        """Whether a text is built like the ids of this roster (``S9999`` where the ids are like ``S0012``)."""
        return _shape(text) in self._shapes


@dataclass(frozen=True, kw_only=True)
class Roster(Ids):
    """The students of a course, found by their ids.

    ``digest`` is the SHA-256 of the roster file, for telling whether it changed.
    """

    students: tuple[Student, ...]
    digest: str = ""

    @cached_property
    def by_words(self) -> Mapping[str, str]:
        """Worked out where it is first asked for."""
        return {" ".join(tokens(student.id)): student.id for student in self.students}

    @property
    def ids(self) -> Ids:
        """The ids alone."""
        return Ids(self.by_words)

    def student(self, id: str) -> Student | None:
        """The student of that id."""
        return self._by_id.get(id)

    @cached_property
    def _by_id(self) -> Mapping[str, Student]:
        return {student.id: student for student in self.students}


def _shape(id: str) -> str:
    return re.sub(r"[^\W\d_]", "a", re.sub(r"\d", "9", folded(id)))


def load_roster(path: Path) -> Roster:
    """Read a roster: a table (.csv, .xlsx …) with the columns id, name, section and due; only id must be there.

    ``due`` is a student's own due time in local time (``2026-03-02 18:00``), where it differs from everybody's.

    Raises
    ------
    UsageError
        One line per fault: not readable, no id column, an empty id, ids that are the same once upper and lower case,
        width and look-alike letters are left aside.
    """
    source = one_source(path)
    try:
        document = read_document(source.file, source.data) if not source.fault else None
    except Unreadable as refusal:
        raise UsageError(f"{path.name}: the roster cannot be read: {refusal}.") from None
    if document is None:
        raise UsageError(f"{path.name}: the roster cannot be read: {source.fault}.")
    rows = _rows(document)
    if rows is None:
        raise UsageError(f"{path.name}: no row has the heading 'id'; a roster has the columns id, name and section.")
    students, faults = _students(rows)
    if not students and not faults:
        faults = ["there is no student below the heading"]
    if faults:
        more = [f"and {len(faults) - _MAX_FAULTS} more faults"] if len(faults) > _MAX_FAULTS else []
        raise UsageError("\n".join(f"{path.name}: {fault}." for fault in [*faults[:_MAX_FAULTS], *more]))
    return Roster(students=tuple(students), digest=source.digest)


class _Row(NamedTuple):
    """A student as written, with the row and the text of the due time."""

    number: int
    student: Student
    due: str = ""


def _rows(document: Document) -> list[_Row] | None:
    """The students with the row they stand in; None where no row is a heading."""
    for table in document.tables:
        grid = Grid(table)
        for row in grid.order:
            texts = grid.texts(row)
            if ids := student_columns(texts):
                heads = {key(text): column for column, text in sorted(texts.items(), reverse=True)}
                id_column = heads.get("id", min(ids))
                return [
                    _row(below + 1, {c: t.strip() for c, t in grid.texts(below).items()}, id_column, heads)
                    for below in grid.order
                    if below > row
                ]
    words = [(number, line.strip()) for number, line in enumerate(document.lines, 1) if line.strip()]
    if words and (role_of(words[0][1]) or ("", 0))[0] == STUDENT:
        return [_Row(number, Student(id=seen(word))) for number, word in words[1:]]
    return None


def _row(number: int, texts: Mapping[int, str], id_column: int, heads: Mapping[str, int]) -> _Row:
    def under(words: Iterable[str]) -> str:
        return next((texts[heads[word]] for word in words if word in heads and heads[word] in texts), "")

    name = under(_NAMES) or f"{under(_FIRST)} {under(_LAST)}".strip()
    return _Row(number, Student(id=seen(texts.get(id_column, "")), name=name, section=under(_SECTIONS)), under(_DUES))


def _time(text: str) -> datetime | None:
    """A due time in local time; None where the text is none."""
    try:
        return datetime.fromisoformat(text).astimezone()
    except (ValueError, OverflowError, OSError):
        return None


def _students(rows: list[_Row]) -> tuple[list[Student], list[str]]:
    students: list[Student] = []
    faults: list[str] = []
    seen: dict[tuple[str, ...], tuple[int, str]] = {}
    for row, student, due in rows:
        words = tokens(latinised(student.id))
        if not words:
            faults.append(f"row {row} has no id")
            continue
        before, written = seen.setdefault(words, (row, student.id))
        if before == row:
            students.append(replace(student, due=_time(due)) if due else student)
            if due and _time(due) is None:
                faults.append(f"row {row}: the due time '{due}' is no time; write it as 2026-03-02 18:00")
        elif written == student.id:
            faults.append(f"row {row}: the id '{student.id}' stands in row {before} already")
        else:
            faults.append(
                f"row {row}: the id '{student.id}' cannot be told from '{written}' in row {before}, "
                "since upper and lower case, width, separators and look-alike letters do not count"
            )
    return students, faults
