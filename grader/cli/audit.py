"""``grader audit``: rebuild the class audit from one or several results folders."""

import argparse

from grader.errors import OutputError
from grader.reports.audit import audit, audit_html, audit_xlsx, kept_rubrics
from grader.reports.workbook import save


def run(options: argparse.Namespace) -> int:
    """Write both files and say where they are."""
    found = audit(options.results)
    folder = options.output if options.output is not None else options.results[-1]
    page, workbook = folder / "audit.html", folder / "audit.xlsx"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"{folder} cannot be made ({error.strerror}); name another folder with -o.") from None
    save(audit_html(found, kept_rubrics(options.results)), page)
    save(audit_xlsx(found), workbook)
    print(f"{page}\n{workbook}")
    return 0
