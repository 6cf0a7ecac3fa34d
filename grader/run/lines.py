"""The lines of the gradebook: everybody on the roster and everybody who has marks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import overload

from grader.reports.gradebook import Entry
from grader.run.collect import by_id
from grader.run.graded import Graded


class Gradebook(Sequence[Entry]):
    """The lines of the gradebook, everybody on the roster and everybody who has marks; read when asked for."""

    def __init__(self, graded: Graded) -> None:
        self._graded = graded
        self._marked = set(graded.students())
        listed = [student.id for student in graded.roster.students] if graded.roster is not None else []
        self._students = sorted({*listed, *self._marked, *graded.section.counted}, key=by_id)

    def __len__(self) -> int:
        """How many students."""
        return len(self._students)

    @overload
    def __getitem__(self, index: int) -> Entry: ...

    @overload
    def __getitem__(self, index: slice) -> Sequence[Entry]: ...

    def __getitem__(self, index: int | slice) -> Entry | Sequence[Entry]:
        """One line, or some."""
        if isinstance(index, slice):
            return [self._line(student) for student in self._students[index]]
        return self._line(self._students[index])

    def _line(self, student: str) -> Entry:
        graded = self._graded
        return Entry(
            student=graded.about(student),
            marked=graded.of(student) if student in self._marked else None,
            flags=tuple(self._flags(student)),
        )

    def _flags(self, student: str) -> Iterator[str]:
        entry = self._graded.section.counted.get(student)
        if entry is None:
            return
        if earlier := self._graded.section.superseded(student):
            yield f"{earlier} other upload{'s' if earlier > 1 else ''} not counted"
        if entry.failed:
            yield "upload could not be read"
        elif entry.faults:
            yield "remarks on the file in the review list"
