"""The review list: what a person must look at, with empty columns for the decision and its reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from grader.marking.marks import Marked
from grader.reports.table import table_bytes
from grader.reports.wording import awaits_person, points_text
from grader.uploads.records import Upload

REVIEW_HEADER = (
    "student", "file", "problem", "item", "answer", "reading", "awarded", "possible", "verdict", "why", "notes",
    "decision", "reason",
)  # fmt: skip
"""``decision`` takes the points a person gives, ``reason`` the words that go with them."""


def review_rows(marked: Iterable[Marked], uploads: Iterable[Upload] = ()) -> Iterator[tuple[str, ...]]:
    """A row for every answer that waits for a person, then one for every fault of an upload.

    Parameters
    ----------
    marked : iterable of Marked
        All marks; those decided already are left out.
    uploads : iterable of Upload
        Files as read; ``problem`` and ``item`` of their rows are empty.
    """
    for one in marked:
        for mark in one.marks:
            if awaits_person(mark):
                yield (
                    one.student, one.file, mark.problem, mark.item, mark.answer, mark.reading, points_text(mark.awarded),
                    points_text(mark.possible), mark.verdict, " ".join(mark.reasons), " ".join(mark.notes), "", "",
                )  # fmt: skip
    for upload in uploads:
        for fault in upload.faults:
            yield (upload.student or "", upload.file, "", "", "", "", "", "", "", fault, "", "", "")


def review_csv(rows: Iterable[tuple[str, ...]]) -> bytes:
    """The list as a delimited table (see `grader.reports.table`)."""
    return table_bytes(REVIEW_HEADER, rows)
