"""The student's pages: the sheets, what came out of an attempt, and at last the reference answers."""

from __future__ import annotations

from starlette.responses import HTMLResponse, RedirectResponse, Response

from grader.reports.feedback import rows_by_problem
from grader.reports.worked import worked_html
from grader.web.access.headers import policy_for
from grader.web.pages import outcome
from grader.web.pages.render import render
from grader.web.pages.sheet_view import Shown, show_sheet, typed_of
from grader.web.rules import answers_shown, counting, standing
from grader.web.site import AppState
from grader.web.visit import Refused, RequestContext


def home(site: AppState, visit: RequestContext) -> Response:
    """List the sheets; where there is but one, go there."""
    if len(site.sheets) == 1:
        return RedirectResponse(f"/sheets/{next(iter(site.sheets))}", 303)
    rules = outcome.rules_text(site.rules, site.local_time)
    rows = [
        {"sheet": sheet, "made": outcome.made_text(site.rules, len(site.store.made(name, visit.person)))}
        for name, sheet in site.sheets.items()
    ]
    return render(site, visit, "home.html", rows=rows, rules=rules)


def sheet_page(site: AppState, visit: RequestContext) -> Response:
    """Show a sheet, with the answers of the last attempt to go on from."""
    sheet = site.sheet_of(visit.path["sheet"], visit.person)
    past = site.store.attempts(sheet.name, visit.person)
    return show_sheet(site, visit, sheet, Shown(typed=typed_of(sheet, past[-1].answers) if past else {}))


def attempt_page(site: AppState, visit: RequestContext) -> Response:
    """What came out of one of the student's own attempts."""
    attempt = site.store.attempt(visit.path["attempt"], visit.person)
    if attempt is None or attempt.sheet not in site.sheets:
        raise Refused(404, "You have made no such attempt.")
    sheet = site.sheet_of(attempt.sheet, visit.person)
    results = site.results_of(sheet.name, visit.person)
    marked = next(result.marked for result in results if result.attempt.id == attempt.id)
    kept = counting(site.rules, results)
    return render(
        site, visit, "attempt.html",
        sheet=sheet,
        attempt=attempt,
        result=outcome.result_text(marked),
        made=outcome.made_text(site.rules, len(results)),
        counts=outcome.counts_text(attempt, kept.attempt if kept else None),
        refusal=standing(site.rules, site.store.state(sheet.name), visit.at, results).refusal,
        problems=rows_by_problem(sheet.paper, marked),
    )  # fmt: skip


def answers_page(site: AppState, visit: RequestContext) -> Response:
    """Reference answers and worked solution, once nobody can make an attempt any more."""
    sheet = site.sheet_of(visit.path["sheet"], visit.person)
    if not answers_shown(site.rules, site.store.state(sheet.name), visit.at):
        raise Refused(403, "The reference answers are shown when the sheet is closed and its due time has passed.")
    page = site.solutions.made(
        sheet.digest,
        lambda: worked_html(
            sheet.key.rubric, [sheet.key.item(one.problem, one.item).reference for one in sheet.fields]
        ),
    )
    return HTMLResponse(page, headers={"Content-Security-Policy": policy_for(page)})
