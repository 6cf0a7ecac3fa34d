"""The review list: what a person must look at, with empty columns for the decision and its reason."""

from collections.abc import Iterable, Iterator

from grader.marking.marks import Marked
from grader.reports.table import table_bytes
from grader.reports.wording import as_said, awaits_person, points_text
from grader.uploads.upload import Upload

REVIEW_HEADER = (
    "student", "count", "file", "problem", "item", "answer", "reading", "awarded", "possible", "verdict", "why", "notes",
    "decision", "reason",
)  # fmt: skip
"""``decision`` takes the points a person gives, ``reason`` the words that go with them, both for all students of the row."""

BETWEEN = "; "
"""Between the students of one row."""

_OWN = [REVIEW_HEADER.index(name) for name in ("student", "count", "file", "answer")]
"""Cells in which rows that say the same may differ."""


def review_rows(marked: Iterable[Marked], uploads: Iterable[Upload] = ()) -> Iterator[tuple[str, ...]]:
    """A row for every answer that waits for a person, then one for every fault of an upload; what is decided already is left out."""
    for one in marked:
        for mark in one.marks:
            if awaits_person(mark):
                yield (
                    one.student, "1", one.file, mark.problem, mark.item, mark.answer, mark.reading, points_text(mark.awarded),
                    points_text(mark.possible), mark.verdict, " ".join(mark.reasons), " ".join(mark.notes), "", "",
                )  # fmt: skip
    for upload in uploads:
        for fault in upload.faults:
            yield (upload.student or "", "1", upload.file, "", "", "", "", "", "", "", fault, "", "", "")


def pooled(rows: Iterable[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """Rows of answers to one item that were read alike and came out alike as one row, in the order of their first.

    Its students stand side by side, and every way of writing the answer on a line of its own.
    """
    student, count, file, answer = _OWN
    reading, verdict = REVIEW_HEADER.index("reading"), REVIEW_HEADER.index("verdict")
    alike: dict[tuple[str, ...], list[tuple[str, ...]]] = {}
    for row in rows:
        said = tuple(cell for place, cell in enumerate(row) if place not in {*_OWN, reading})
        alike.setdefault((*said, as_said(row[verdict], row[reading] or row[answer])), []).append(row)
    found = []
    for group in alike.values():
        together = list(group[0])
        together[student] = BETWEEN.join(row[student] for row in group)
        together[count] = str(len(group))
        together[file] = group[0][file] if len(group) == 1 else ""
        together[answer] = "\n".join(dict.fromkeys(" ".join(row[answer].split()) for row in group))
        found.append(tuple(together))
    return found


def review_csv(rows: Iterable[tuple[str, ...]]) -> bytes:
    """The list as a delimited table (see `grader.reports.table`)."""
    return table_bytes(REVIEW_HEADER, rows)
