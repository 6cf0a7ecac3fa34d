"""``grader try``: instant feedback on one file, once or at every save."""

import argparse
from pathlib import Path

from rich.console import Console

from grader.cli.watching import saves
from grader.errors import UsageError
from grader.marking.beliefs import with_own_explanation
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.reports.terminal import print_feedback
from grader.rubric.files import load_rubric
from grader.run.personal import Keys, secret_for
from grader.uploads.reader import read_one


def run(options: argparse.Namespace) -> int:
    """Show the feedback; with ``--watch`` at every save."""
    if not options.file.is_file():
        raise UsageError(f"{options.file}: there is no such file; name the answer sheet or text file to be looked at.")
    console = Console(highlight=False)
    rubric = load_rubric(options.rubric)
    secret = secret_for(rubric, options.secret)
    keys = Keys(build_key(rubric), secret)
    if not options.watch:
        show(console, keys, options.file, options.student)
        return 0
    try:
        for _ in saves(options.file):
            console.clear()
            show(console, keys, options.file, options.student)
            console.print(f"\nLooking at {options.file} again at every save; Ctrl-C ends.", style="dim", markup=False)
    except KeyboardInterrupt:
        console.print()
    return 0


def show(console: Console, keys: Keys, file: Path, named: str | None) -> None:
    """Read and mark the file as it is now, and print what came out; `named` goes before the student it tells."""
    pairs = tuple((problem.id, item.id) for problem in keys.key.rubric.problems for item in problem.items)
    for upload in read_one(file, pairs):
        student = named or upload.student or ""
        if keys.secret is not None:
            if not student:
                raise UsageError(
                    f"{file}: the file does not tell whose it is, and values are personal; add --student ID."
                )
            console.print(f"With the values of student '{student}' (another's: --student ID).", markup=False)
        key = keys.of(student)
        marked = with_own_explanation(key, mark_upload(key, upload))
        print_feedback(console, key.rubric, marked, upload.faults)
