"""The lines of the gradebook: everybody on the roster and everybody who has marks."""

from collections.abc import Iterator

from grader.reports.gradebook import GradebookCell
from grader.run.collect import by_id
from grader.run.graded import Graded


def gradebook_lines(graded: Graded) -> Iterator[GradebookCell]:
    """A line for everybody on the roster and everybody who has marks or sent something, in order of id."""
    listed = [student.id for student in graded.roster.students] if graded.roster is not None else []
    marked = set(graded.students)
    for student in sorted({*listed, *marked, *graded.section.counted}, key=by_id):
        yield GradebookCell(
            student=graded.about(student),
            marked=graded.of(student) if student in marked else None,
            flags=tuple(_flags(graded, student)),
        )


def _flags(graded: Graded, student: str) -> Iterator[str]:
    entry = graded.section.counted.get(student)
    if entry is None:
        return
    if earlier := graded.section.superseded[student]:
        yield f"{earlier} other upload{'s' if earlier > 1 else ''} not counted"
    if entry.failed:
        yield "upload could not be read"
    elif entry.faults:
        yield "remarks on the file in the review list"
