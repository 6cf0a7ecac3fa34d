"""What the instructor takes away: the audit, the gradebook, the decisions, and everything handed in."""

from collections.abc import Callable
from urllib.parse import quote

from starlette.responses import Response

from grader.reports.audit import audit_html
from grader.reports.gradebook import GradebookCell, gradebook_csv, gradebook_xlsx
from grader.web.data.decisions import applying, decisions_csv
from grader.web.data.exports import late_zip, upload_name, uploads_zip
from grader.web.pages.instructor import all_results, class_audit, counting_results
from grader.web.pages.render import report_page
from grader.web.rules import counting
from grader.web.sheets import SheetView
from grader.web.site import AppState
from grader.web.visit import Refused, RequestContext


def audit(site: AppState, visit: RequestContext) -> Response:
    """The audit of the class as it stands now, over the attempts that count."""
    sheet = site.sheet(visit.path["sheet"])
    found = class_audit(site, sheet)
    if found is None:
        raise Refused(404, "There is nothing to audit yet: nobody has made an attempt.")
    return report_page(
        audit_html(found, {sheet.title: sheet.key.rubric}), f"/instructor/sheets/{sheet.name}", sheet.title
    )


def _gradebook(site: AppState, sheet: SheetView) -> list[GradebookCell]:
    results, entries = all_results(site, sheet.name), []
    for student in site.roster.students:
        own = results.get(student.id, ())
        kept = counting(site.rules, own)
        flags = (f"attempt {kept.attempt.number} of {len(own)}",) if kept is not None and len(own) > 1 else ()
        entries.append(GradebookCell(student=student, marked=kept.marked if kept else None, flags=flags))
    return entries


def _decisions(site: AppState, sheet: SheetView) -> bytes:
    """Those that are about the attempts that count: what the uploads' marks need."""
    made = site.store.decisions(sheet.name)
    kept = counting_results(site, sheet.name).values()
    return decisions_csv(pair for result in kept for pair in applying(result.marked, made))


def _uploads(site: AppState, sheet: SheetView) -> bytes:
    return uploads_zip(site.store, [result.attempt for result in counting_results(site, sheet.name).values()])


def _attempts(site: AppState, sheet: SheetView) -> bytes:
    results = all_results(site, sheet.name)
    attempts = [one.attempt for student in sorted(results) for one in results[student]]
    return uploads_zip(site.store, attempts, numbered=True)


XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

FILES: dict[str, tuple[str, Callable[[AppState, SheetView], bytes]]] = {
    "gradebook.csv": ("text/csv", lambda site, sheet: gradebook_csv(sheet.paper, _gradebook(site, sheet))),
    "gradebook.xlsx": (XLSX, lambda site, sheet: gradebook_xlsx(sheet.paper, _gradebook(site, sheet))),
    "decisions.csv": ("text/csv", _decisions),
    "uploads.zip": ("application/zip", _uploads),
    "attempts.zip": ("application/zip", _attempts),
    "late.zip": ("application/zip", lambda site, sheet: late_zip(site.store.late(sheet.name))),
}
"""What can be downloaded of a sheet, its type, and what makes it."""


def download(site: AppState, visit: RequestContext) -> Response:
    """One of `FILES`."""
    sheet = site.sheet(visit.path["sheet"])
    site.take_turn("export", visit.address, "Several files were just made.")
    name = visit.path["file"]
    if name not in FILES:
        raise Refused(404, "There is no such file.")
    kind, make = FILES[name]
    headers = {"Content-Disposition": f'attachment; filename="{sheet.name}-{name}"'}
    return Response(make(site, sheet), media_type=kind, headers=headers)


def handed_in(site: AppState, visit: RequestContext) -> Response:
    """The file of one attempt as it came, or the table of what was typed; never shown by the browser itself."""
    sheet = site.sheet(visit.path["sheet"])
    attempt = site.store.attempt(visit.path["attempt"], visit.path["student"])
    if attempt is None or attempt.sheet != sheet.name:
        raise Refused(404, "There is no such attempt.")
    name = upload_name(attempt.student, attempt.file or ".csv", f"_v{attempt.number}")
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}"}
    return Response(site.store.content(attempt.id), media_type="application/octet-stream", headers=headers)
