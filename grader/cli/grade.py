"""``grader grade``: mark a whole section's uploads and write gradebook, feedback, review list and audit."""

from __future__ import annotations

import argparse
import gc
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from grader.reports.into.fill import Headed
    from grader.run.grade import Progress
    from grader.run.summary import Summary


FILLED = "filled_"
"""Begins the name of a filled copy of the instructor's own table."""

LOWEST = 3
"""Items with the lowest share that the summary names."""


def run(options: argparse.Namespace) -> int:
    """Mark everything, and say how it went; status 1 with ``--strict`` if something waits for a person."""
    gc.disable()  # looking again and again through what is being loaded, and stays, keeps the first upload waiting
    from grader.jobs.pool import warm_up
    from grader.jobs.worker import MADE_BETWEEN

    warm_up("__main__", "grader.run.work", "grader.marking.mark")
    from grader.run.grade import RunOptions, grade, processors

    for module in ("grader.marking.key", "grader.rubric.files"):
        import_module(module)
    gc.freeze()
    gc.set_threshold(MADE_BETWEEN)
    gc.enable()
    table = _own_table(options.into, options.column)
    call = RunOptions(
        rubric=options.rubric,
        uploads=options.uploads,
        results=options.output,
        table=options.table,
        roster=options.roster,
        decisions=options.decisions,
        secret=options.secret,
        workers=processors() if options.workers is None else options.workers,
        cluster=options.cluster,
        workbooks=not options.pages_only,
        solutions=options.solutions,
    )
    with _progress(call.uploads) as progress:
        summary = grade(call, progress=progress)
    print("\n".join(lines(summary, call.results)))
    if table is not None:
        print("\n".join(_filled(table, options.into, call.results)))
    print("".join(f"{old}: of an earlier run; its points may be others.\n" for old in _earlier(options)), end="")
    return 1 if options.strict and summary.waiting else 0


def _earlier(options: argparse.Namespace) -> list[Path]:
    """Filled copies of tables that earlier runs left in the results, and this one did not write."""
    now = "" if options.into is None else f"{FILLED}{options.into.name}"
    return sorted(path for path in options.output.glob(f"{FILLED}*") if path.name != now)


def _own_table(file: Path | None, columns: list[str]) -> tuple[Headed, dict[str, str]] | None:
    """The instructor's own table with what each heading is to be filled with; looked at before anything is marked."""
    from grader.errors import UsageError

    if (file is None) != (not columns):
        raise UsageError("--into TABLE and --column HEADING go together: the table, and the column to be filled.")
    if file is None:
        return None
    from grader.reports.into.fill import headed
    from grader.uploads.files.sources import one_source

    source = one_source(file)
    if source.fault:
        raise UsageError(f"{file}: the table cannot be read: {source.fault}.")
    wanted = {heading: item for heading, _, item in (column.partition("=") for column in columns)}
    return headed(file.name, source.data, [*wanted]), wanted


def _filled(table: tuple[Headed, dict[str, str]], file: Path, results: Path) -> Iterator[str]:
    """Write the copy, and say what is in it and what is not."""
    import csv

    from grader.errors import OutputError, UsageError
    from grader.reports.into.fill import fill
    from grader.reports.wording import points_text
    from grader.reports.workbook import save
    from grader.rubric.table import nearest

    with (results / "gradebook.csv").open(encoding="utf-8-sig", newline="") as lines:
        rows = [*csv.DictReader(lines)]
    headed, wanted = table
    points = {}
    for heading, item in wanted.items():
        name = item or "total"
        if rows and name not in rows[0]:
            hint = nearest(name, [one for one in rows[0] if "." in one])
            raise UsageError(f"--column {heading}={item}: the rubric has no item '{item}'{hint}; all else is written.")
        points[heading] = {row["student"]: float(points_text(float(row[name]))) if row[name] else None for row in rows}
    filled = fill(headed, points)
    copy = results / f"{FILLED}{file.name}"
    draft = results / f".{copy.name}"
    save(filled.content, draft)
    try:
        draft.replace(copy)  # whole or not at all, wherever the call is ended
    except OSError as error:
        raise OutputError(f"{copy} cannot be replaced ({error.strerror}); close it elsewhere.") from None
    yield f"{copy}: a copy of {file.name} with {_count(filled.cells, 'cell')} filled."
    yield from (f"  {sentence}" for sentence in filled.told)


@contextmanager
def _progress(uploads: Path) -> Iterator[Progress]:
    """A bar on a terminal, nothing elsewhere."""
    if not sys.stderr.isatty():
        yield lambda _what, _done, _of: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    from grader.uploads.files.sources import count_files

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        tasks = {"uploads": bar.add_task("uploads", total=count_files(uploads))}

        def progress(what: str, done: int, of: int | None) -> None:
            if what not in tasks:
                tasks[what] = bar.add_task(what, total=of)
            known = bar.tasks[tasks[what]].total
            bar.update(tasks[what], completed=done, total=max(done, known or 0))  # a file may hold several uploads

        yield progress


WRITTEN = (
    ("gradebook.csv, gradebook.xlsx", "points by student and item, and to what they were lost"),
    ("feedback", "marks with their reasons, to be handed out to students"),
    ("feedback/*.solution.html", "the worked solution beside what each student wrote"),
    ("review.csv", "what waits for a person; fill in decision and reason, give it back with --decisions"),
    ("audit.html, audit.xlsx", "what the class got wrong, and how"),
    ("changes.csv", "which points changed, and why"),
    ("marks.jsonl", "every mark with its reasons"),
    ("explained.jsonl", "what each student seems to believe, how surely, and by which answers"),
    ("rubric_as_marked.toml", "the rubric that these marks follow; grader audit draws its circuits from it"),
    ("run.json", "versions, hashes of all inputs, counts"),
)


def lines(summary: Summary, results: Path) -> Iterator[str]:
    """The words at the end of a run; ids and file names stay in the results."""
    mean = "" if summary.mean is None else f", mean {summary.mean:.1%} of the points"
    yield f"{_count(summary.students, 'student')} marked{mean}."
    if summary.missing:
        yield f"{_count(summary.missing, 'student')} of the roster handed in nothing that could be marked."
    files = summary.files
    others = [f"{number} {what}" for what, number in files.items() if number and what != "counted"]
    yield f"Uploads: {files['counted']} counted{''.join(f', {other}' for other in others)}."
    if summary.blank:
        yield f"{_count(summary.blank, 'upload')} without any answer, flagged in the gradebook."
    if summary.others:
        yield f"{_count(summary.others, 'upload')} with answers right for another student's values, noted in the review list."
    if summary.reused:
        again = "is as an earlier run read it" if summary.reused == 1 else "are as an earlier run read them"
        yield f"{_count(summary.reused, 'upload')} {again}; not marked again."
    if summary.lowest:
        yield "Lowest items: " + ", ".join(f"{item} {share:.0%}" for item, share in summary.lowest[:LOWEST]) + "."
    if summary.unmarked:
        left = "is left out of these figures" if summary.unmarked == 1 else "are left out of these figures"
        yield f"{_count(summary.unmarked, 'answer')} that nobody has marked yet {left}."
    if summary.decided:
        yield f"{_count(summary.decided, 'decision')} applied."
    yield from _since(summary, results / "changes.csv")
    waits = f"{_count(summary.waiting, 'row')} to look at in {summary.review}" if summary.waiting else "nothing"
    yield f"Waiting for a person: {waits}."
    yield f"Written to {results}:"
    yield from (f"  {names:<32}{what}" for names, what in WRITTEN if any(results.glob(names.split(",")[0])))


def _since(summary: Summary, changes: Path) -> Iterator[str]:
    """What changed since the run before, if there was one."""
    if summary.changed is not None:
        marks, students = summary.changed
        where = f"; see {changes}" if marks else ""
        yield f"Since the run before: {_count(marks, 'mark')} changed, of {_count(students, 'student')}{where}."
    elif changes.exists():
        yield f"Nothing went in that had not before: {changes} still tells what changed last."


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
