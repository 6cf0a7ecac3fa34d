"""``grader codes``: personal access codes for ``grader serve``."""

import argparse
import csv
import io

from grader.errors import OutputError, UsageError
from grader.run.storage.private import write_private
from grader.uploads.escaping import escaped
from grader.uploads.roster import load_roster
from grader.web.access.codes import issue, read_records, write_records
from grader.web.data.folder import open_folder


def run(options: argparse.Namespace) -> int:
    """Make codes for whoever has none, and for those named; write them once."""
    students = load_roster(options.roster).students
    by_id = {student.id: student for student in students}
    unknown = [id for id in options.renew if id not in by_id]
    if unknown:
        raise UsageError(f"--renew: {', '.join(unknown)} is not on the roster; give an id as it stands there.")
    if options.output.exists():
        raise UsageError(
            f"{options.output} is there already, and may hold codes that cannot be had again; name another file (if the "
            "command that wrote it was stopped before it was done, they do not work: delete it)."
        )
    folder = open_folder(options.data)
    known = read_records(folder)
    have = {record.student for record in known} - set(options.renew)
    codes, records = issue([student.id for student in students if student.id not in have], known)
    if not codes:
        print("Every student on the roster has a code already; --renew ID replaces one.")
        return 0
    table = io.StringIO(newline="")
    rows = csv.writer(table)
    rows.writerow(["student", "name", "section", "code"])
    rows.writerows([*map(escaped, (id, by_id[id].name, by_id[id].section)), code] for id, code in codes.items())
    write_private(options.output, table.getvalue().encode("utf-8-sig"))
    try:
        write_records(folder, records)
    except OutputError:
        options.output.unlink()  # nobody could enter with these
        raise
    print(
        f"{options.output}: {len(codes)} new code{'' if len(codes) == 1 else 's'}. Hand each student their own line alone, then delete the file."
    )
    return 0
