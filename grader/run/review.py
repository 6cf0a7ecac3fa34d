"""The review list: what waits for a person, what became of the other files, and what was decided, to be given back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import IO, NamedTuple

from grader.marking.marks import Mark, Marked
from grader.reports.review import REVIEW_HEADER, pooled, review_rows
from grader.reports.table import Table
from grader.reports.wording import points_text
from grader.run.collect import IGNORED, SUPERSEDED, UploadStatus
from grader.run.decisions import SEEN, Decisions, outdated, same
from grader.run.graded import Graded
from grader.uploads.files.archive import pack_of
from grader.uploads.limits import FAULTS

REVIEW = "review.csv"
_DECISION = REVIEW_HEADER.index("decision")


class Row(NamedTuple):
    """A row of the list, and whether it still waits for somebody."""

    cells: tuple[str, ...]
    waits: bool


class Review:
    """The list on its way to a file: answers that wait, files that wait, files that do not count, decisions.

    Attributes
    ----------
    waiting : int
        Rows so far that wait for a person.
    """

    def __init__(self, out: IO[str], graded: Graded) -> None:
        self._table = Table(out, REVIEW_HEADER)
        self._graded = graded
        self._answers: list[tuple[str, ...]] = []
        self._decisions: dict[bool, list[tuple[str, ...]]] = {True: [], False: []}
        self.waiting = 0

    def add(self, marked: Marked) -> None:
        """Take the answers of one student that wait, and what was decided about others."""
        self._answers += review_rows([marked])
        for mark in marked.marks:
            if mark.decision:
                cells, waits = _of_decision(self._graded, marked, mark)
                self._decisions[waits].append(cells)

    def finish(self, unwritten: Sequence[tuple[str, str]]) -> None:
        """Write it all; `unwritten` holds students whose feedback could not be made, and why."""
        for cells in pooled(self._answers):
            self._write(Row(cells, waits=True))
        settled = []
        for row in self._of_files():
            if row.waits:
                self._write(row)
            else:
                settled.append(row)
        for student, why in unwritten:
            self._write(Row(_cells(student=student, why=f"The feedback could not be written: {why}."), waits=True))
        for row in settled:
            self._write(row)
        for waits, decided in self._decisions.items():
            for cells in pooled(decided):
                self._write(Row(cells, waits=waits))

    def _of_files(self) -> Iterator[Row]:
        """What is to be said about files; of the files in one zip only so much, and the rest in one row."""
        said: Counter[str] = Counter()
        pooled: Counter[str] = Counter()
        for fate in self._graded.section.fates:
            zip = pack_of(fate.entry.file)
            for row in _of_file(fate, self._graded):
                said[zip] += 1
                if zip and said[zip] > FAULTS and not row.cells[_DECISION]:
                    pooled[zip] += 1
                else:
                    yield row
        for zip, rows in pooled.items():
            why = f"{rows} further remarks on files in this zip are not listed one by one; run.json has all its files."
            yield _remark(zip, why, self._graded.decisions)

    def _write(self, row: Row) -> None:
        self._table.add(row.cells)
        self.waiting += row.waits


def _of_file(fate: UploadStatus, graded: Graded) -> Iterator[Row]:
    file, decisions = fate.entry.file, graded.decisions
    if file in decisions.owners:
        why = "A person said whose it is."
        yield Row(_cells(student=fate.student, file=file, why=why, decision=decisions.owners[file]), waits=False)
    if fate.state == SUPERSEDED:
        why = f"Not counted, since a later upload of this student is: {graded.section.counted[fate.student].file}."
        yield Row(_cells(student=fate.student, file=file, why=why), waits=False)
    elif fate.state != IGNORED:
        for fault in fate.entry.faults:
            yield _remark(file, fault, decisions, fate.student)


def _remark(file: str, why: str, decisions: Decisions, student: str = "") -> Row:
    """A row about a file, which waits until a person has seen it."""
    reason = decisions.seen.get((file, same(why)))
    settled = SEEN if reason is not None else ""
    cells = _cells(student=student, file=file, why=why, decision=settled, reason=reason or "")
    return Row(cells, waits=not settled)


def _of_decision(graded: Graded, marked: Marked, mark: Mark) -> Row:
    points = graded.decisions.points[marked.student, mark.problem, mark.item]
    waits = outdated(mark, points)
    possible = mark.possible if points.possible is None or not waits else points.possible
    cells = _cells(
        student=marked.student, file=marked.file, problem=mark.problem, item=mark.item,
        answer=points.answer if waits and points.answer else mark.answer, reading=mark.reading,
        awarded=points_text(mark.awarded), possible=points_text(possible), verdict=mark.verdict, why=waits or "Decided.", notes=" ".join(mark.notes),
        decision=f"{points.points:.10g}", reason=points.reason,
    )  # fmt: skip
    return Row(cells, waits=bool(waits))


def _cells(**given: str) -> tuple[str, ...]:
    return tuple({"count": "1", **given}.get(name, "") for name in REVIEW_HEADER)
