"""The review list: what waits for a person, what became of the other files, and what was decided, to be given back."""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import IO, NamedTuple

from grader.marking.marks import Mark, Marked
from grader.reports.review import REVIEW_HEADER, pooled, review_rows
from grader.reports.table import Table
from grader.reports.wording import points_text
from grader.run.collect import IGNORED, SUPERSEDED, UploadStatus
from grader.run.decisions import CONTENTS, NOBODY, SEEN, Decisions
from grader.run.given import Points, on_record, outdated, same, standing
from grader.run.graded import Graded
from grader.uploads.files.archive import pack_of
from grader.uploads.latest import why_superseded
from grader.uploads.limits import FAULTS
from grader.uploads.owner import Assigned, assigned, contents_of

REVIEW = "review.csv"
LISTED = 4_000
"""Remarks on files listed one by one, so that the list can be given back: with two paths of 1,000 bytes each, 8 MiB."""

ALL = "(all uploads)"
"""Stands as the file where the rest of the remarks is counted in one row."""

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
    kept : dict of (str, str, str) to tuple of Points
        What was decided on answers, as it is on the list.
    """

    def __init__(self, out: IO[str], graded: Graded) -> None:
        self._table = Table(out, REVIEW_HEADER)
        self._graded = graded
        self._answers: list[tuple[str, ...]] = []
        self._decisions: dict[bool, list[tuple[str, ...]]] = {True: [], False: []}
        self.waiting = 0
        self.kept: dict[tuple[str, str, str], tuple[Points, ...]] = {}

    def add(self, marked: Marked) -> None:
        """Take the answers of one student that wait, and what was decided about others."""
        self._answers += review_rows([marked])
        for mark in marked.marks if self._graded.decisions.points else ():
            place = (marked.student, *mark.place)
            found = self._graded.decisions.points.get(place, ())
            holds, others = standing(found, mark.answer), on_record(found, mark.answer)
            if kept := (*((holds,) if holds else ()), *others):
                self.kept[place] = kept
            for points in kept:
                cells, outdated = _of_decision(marked, mark, points)
                self._decisions[outdated and points is holds].append(cells)

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
        listed = 0
        said: Counter[str] = Counter()
        pooled: Counter[str] = Counter()
        for fate in self._graded.section.fates:
            zip = pack_of(fate.entry.file)
            for row in _of_file(fate, self._graded):
                said[zip] += 1
                if row.cells[_DECISION]:
                    yield row
                elif zip and said[zip] > FAULTS:
                    pooled[zip] += 1
                elif listed == LISTED:
                    pooled[ALL] += 1
                else:
                    listed += 1
                    yield row
        for place, rows in pooled.items():
            where = "" if place == ALL else " in this zip"
            why = f"{rows} further remarks on files{where} are not listed one by one; run.json has every file."
            yield _remark(place, "", why, self._graded.decisions)

    def _write(self, row: Row) -> None:
        self._table.add(row.cells)
        self.waiting += row.waits


def _of_file(fate: UploadStatus, graded: Graded) -> Iterator[Row]:
    file, digest, decisions = fate.entry.file, fate.entry.digest, graded.decisions
    if said := assigned(file, digest, decisions.owners):
        why = "A person said whose it is."
        yield _of_owner(fate, said, contents_of(digest), why)
    for contents, said in decisions.outlived(file, digest):
        why = (
            f"It was given to {said.student or NOBODY} with other contents than it has now. To settle it, change the decision or "
            "its reason, or write -."
        )
        yield _of_owner(fate, said, contents, why, waits=True)
    if fate.state == SUPERSEDED:
        counted = graded.section.counted[fate.student]
        why = f"Not counted: {counted.file} is {why_superseded(fate.entry, counted)}."
        yield Row(_cells(student=fate.student, file=file, why=why), waits=False)
    elif fate.state != IGNORED:
        for fault in fate.entry.faults:
            yield _remark(file, digest, fault, decisions, fate.student)


def _of_owner(fate: UploadStatus, said: Assigned, contents: str, why: str, *, waits: bool = False) -> Row:
    cells = _cells(
        student=fate.student, file=fate.entry.file, answer=_contents(contents), why=why,
        decision=said.student or NOBODY,
        reason=said.reason,
    )  # fmt: skip
    return Row(cells, waits=waits)


def _contents(contents: str) -> str:
    return contents and f"{CONTENTS}{contents}"


def _remark(file: str, digest: str, why: str, decisions: Decisions, student: str = "") -> Row:
    """A row about a file, which waits until a person has seen it."""
    reason = decisions.reason_seen(file, digest, same(why))
    settled = SEEN if reason is not None else ""
    cells = _cells(
        student=student,
        file=file,
        answer=_contents(contents_of(digest)),
        why=why,
        decision=settled,
        reason=reason or "",
    )
    return Row(cells, waits=not settled)


def _of_decision(marked: Marked, mark: Mark, points: Points) -> Row:
    """A row of what was decided, and whether something is another than it was then."""
    why = outdated(mark, points)
    possible = mark.possible if points.possible is None or not why else points.possible
    own = points.holds_for(mark.answer)
    cells = _cells(
        student=marked.student, file=marked.file if own else "", problem=mark.problem, item=mark.item,
        answer=mark.answer if own else points.answer or "", reading=mark.reading if own else "",
        awarded=points_text(mark.awarded) if own else "", possible=points_text(possible), verdict=mark.verdict if own else "",
        why=why or "Decided.", notes=" ".join(mark.notes) if own else "", decision=f"{points.points:.10g}", reason=points.reason,
    )  # fmt: skip
    return Row(cells, waits=bool(why))


def _cells(**given: str) -> tuple[str, ...]:
    return tuple({"count": "1", **given}.get(name, "") for name in REVIEW_HEADER)
