"""Sheets on which the answers stand one row below, or above, the row of their question: told, and left to a person."""

from collections.abc import Callable, Collection, Mapping
from itertools import pairwise

from msgspec.structs import replace

from grader.marking.marks import BLANK, CORRECT, Mark
from grader.uploads.content.items import Pair
from grader.uploads.upload import Upload

MIN_DISPLACED = 4
"""Different answers that are wrong where they stand and right one row on: fewer may be chance (common practice, no source)."""

BY_CHANCE = 6
"""Of so many answers in the wrong rows at most one is right there (common practice, no source)."""


def with_displacement_told(
    upload: Upload, marks: tuple[Mark, ...], right_in: Callable[[Upload], Collection[Pair]]
) -> tuple[Mark, ...]:
    """The marks as they are; where a whole sheet slipped by one row, the first says so and all answers wait for a person.

    Parameters
    ----------
    upload : Upload
        The answers.
    marks : tuple of Mark
        Their marks, in the rubric's order, which is that of the rows.
    right_in : callable
        The rows that are right, of the same answers in other rows.
    """
    rows = [mark.place for mark in marks]
    right = {mark.place for mark in marks if mark.verdict == CORRECT}
    answered = [row for row, mark in zip(rows, marks, strict=True) if mark.verdict != BLANK]
    if len(answered) < max(MIN_DISPLACED, BY_CHANCE * len(right)):
        return marks
    up, down = {below: above for above, below in pairwise(rows)}, dict(pairwise(rows))
    for moved, stands, beside in ((up, "low", "above"), (down, "high", "below")):
        right_there = right_in(_moved(upload, moved))
        displaced = {
            mark.answer
            for row, mark in zip(rows, marks, strict=True)
            if row not in right and mark.answer and moved.get(row) in right_there
        }
        if len(displaced) >= MIN_DISPLACED and len(displaced) > 2 * len(right):
            said = (
                f"These answers seem to stand one row too {stands} on the sheet: {len(displaced)} of them fit the question "
                f"in the row {beside}. Nothing was moved."
            )
            return _waiting(marks, said)
    return marks


_LOOK_AT_ALL = "A person will look at all of them."


def _waiting(marks: tuple[Mark, ...], said: str) -> tuple[Mark, ...]:
    """All that was answered left to a person, who is told why at the first."""
    first = next(mark for mark in marks if mark.verdict != BLANK)
    return tuple(
        mark
        if mark.verdict == BLANK
        else replace(mark, review=True, reasons=(said, _LOOK_AT_ALL, *mark.reasons) if mark is first else mark.reasons)
        for mark in marks
    )


def _moved(upload: Upload, rows: Mapping[Pair, Pair]) -> Upload:
    """The answers in other rows; one whose row has none beside it is left out."""
    there = (
        replace(answer, problem=rows[row][0], item=rows[row][1])
        for answer in upload.answers
        if (row := answer.place) in rows
    )
    return replace(upload, answers=tuple(there))
