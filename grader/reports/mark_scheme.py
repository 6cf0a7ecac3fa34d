"""The key on paper: every answer with its points by part, and the likeliest wrong answers with what they earn."""

from collections.abc import Iterator
from pathlib import Path

from grader.authoring.scheme import ItemScheme, costs, scheme
from grader.errors import UsageError
from grader.marking.key import Key
from grader.reports.pages import page
from grader.reports.paper import Paper, paper
from grader.reports.wording import in_points, points_text
from grader.reports.workbook import save

NOTE = (
    "What a wrong answer earns holds where nothing is answered before it; one that follows from an earlier answer of the "
    "student's own earns by following."
)


def write_scheme(key: Key, path: Path) -> None:
    """Write the key as a page or as text; the form follows from the file's ending.

    Raises
    ------
    UsageError
        For another ending than ``.html`` and ``.txt``.
    OutputError
        If the file cannot be written.
    """
    if path.suffix.lower() not in (".html", ".txt"):
        raise UsageError(f"A key ends in .html or .txt, not in '{path.suffix}'.")
    problems, found, notes = paper(key.rubric), scheme(key), [note for note in (NOTE, costs(key)) if note]
    if path.suffix.lower() == ".html":
        save(page("key.html", paper=problems, scheme=found, notes=notes), path)
    else:
        save("\n".join(_text(problems, found, notes)) + "\n", path)


def _text(problems: Paper, found: dict[tuple[str, str], ItemScheme], notes: list[str]) -> Iterator[str]:
    yield f"{problems.heading}: key"
    yield from notes
    for problem in problems.problems:
        yield f"\n{problem.title} ({in_points(problem.points)})"
        for item in problem.items:
            one = found[problem.id, item.id]
            yield f"\n{problem.id}.{item.id}  {item.question} ({points_text(item.points)})"
            yield f"    {'; '.join((one.answer, *one.accepted))}"
            if one.parts:
                yield f"    of these: {', '.join(f'{name} {points_text(points)}' for name, points in one.parts)}"
            for wrong in one.wrong:
                written = f"{wrong.text} = {wrong.value}" if wrong.value else wrong.text
                yield f"    {points_text(wrong.points):>5}  {written}  ({wrong.why})"
