"""``grader sheet``: the blank answer sheet of a rubric, or a sheet for every student."""

import argparse
from pathlib import Path

from grader.errors import OutputError, RubricError, UsageError
from grader.marking.key import build_key
from grader.problem import Rubric
from grader.reports.mark_scheme import write_scheme
from grader.reports.paper import paper
from grader.reports.sheet import write_sheet
from grader.rubric.files import load_rubric
from grader.rubric.personal import is_personal, personal_rubric
from grader.rubric.references import references
from grader.run.storage.folder import file_name
from grader.run.storage.private import kept_secret
from grader.uploads.roster import load_roster

OWN_FORMS = (".xlsx", ".html")
"""What every student gets: the workbook to fill in, and the page with the schematics."""


def run(options: argparse.Namespace) -> int:
    """Write the sheet, or all sheets, and say where."""
    rubric = load_rubric(options.rubric)
    if options.key:
        return _key(rubric, options)
    if options.roster is not None:
        return _own_sheets(rubric, options.output, options.roster, options.secret)
    if options.secret is not None:
        raise UsageError("--secret is for the students' own values; add --roster FILE, and name a folder with -o.")
    write_sheet(paper(rubric), options.output)
    print(options.output)
    if options.output.suffix.lower() in (".csv", ".txt"):
        print(f"The schematics are in the page: grader sheet {options.rubric} -o {options.output.with_suffix('.html')}")
    if is_personal(rubric):
        print("Values are personal, as the sheet says; --roster and --secret write each student's own.")
    return 0


def _key(rubric: Rubric, options: argparse.Namespace) -> int:
    if options.roster is not None or options.secret is not None:
        raise UsageError("--key is of the rubric's own values; a student's own answers: grader solve --student ID.")
    write_scheme(build_key(rubric), options.output)
    print(f"{options.output}: not for students.")
    return 0


def _own_sheets(rubric: Rubric, folder: Path, roster: Path, secret_file: Path | None) -> int:
    students = [student.id for student in load_roster(roster).students]
    secret = None
    if is_personal(rubric):
        if secret_file is None:
            raise UsageError(
                f"{rubric.name} has personal values, which follow from a secret; name its file with --secret "
                "(it is made if it is not there)."
            )
        secret = kept_secret(secret_file)
    rubrics = own_rubrics(rubric, students, secret)
    made_folder(folder)
    for student, own in rubrics.items():
        made_out = paper(own, student)
        for form in OWN_FORMS:
            write_sheet(made_out, folder / f"{file_name(student)}{form}")
    print(f"{folder}: {len(students)} sheets to fill in (.xlsx), and as many pages with the schematics (.html).")
    if secret is not None:
        print(
            f"{secret_file}: keep this file, and keep it to yourself. Every student's values follow from it; without it "
            "nothing can be marked."
        )
    return 0


def made_folder(folder: Path) -> None:
    """Make a folder that may be there already."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"{folder}: the folder cannot be made ({error.strerror}); name another with -o.") from None


def own_rubrics(rubric: Rubric, students: list[str], secret: bytes | None) -> dict[str, Rubric]:
    """Everybody's own rubric, each solved before a sheet is written: nobody is to meet a problem without an answer."""
    if secret is None:
        return dict.fromkeys(students, rubric)
    own, faults = {}, []
    for student in students:
        try:
            own[student] = personal_rubric(rubric, student, secret)
            references(own[student])
        except RubricError as error:
            faults += [f"{fault.rstrip('.')} (with the values of student {student})." for fault in error.faults]
    if faults:
        raise RubricError(tuple(faults))
    return own
